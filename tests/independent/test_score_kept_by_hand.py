"""The score kept of a resolved question, against sums by hand and against a general library."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from sklearn.metrics import brier_score_loss, log_loss

from ledger.casebook.foretelling import Forecast, pool, stated
from ledger.casebook.moments import Course, Moment
from ledger.casebook.opening import open_casebook
from ledger.casebook.scores import Score, scores
from ledger.casebook.values import Casebook
from ledger.entries.parts import Resolution
from tests import casebooks
from tests.resolved import CAM, DRUM, FORKS, NONE, NOTED, lay_out
from tests.toys import TOYS


@pytest.fixture(scope="module")
def casebook(tmp_path_factory: pytest.TempPathFactory) -> Casebook:
    """The ledger whose past is known by hand, after all its postings."""
    root = tmp_path_factory.mktemp("resolved")
    lay_out(root)
    return open_casebook(root, register=TOYS, count=100)


@pytest.fixture(scope="module")
def by(casebook: Casebook) -> dict[tuple[str, str], Score]:
    """Its scores by kind and name."""
    return {(one.kind, one.name): one for one in scores(casebook).forecasters}


def brier(*row: float) -> float:
    """The original score of one forecast whose first column came true."""
    return (1 - row[0]) ** 2 + sum(share**2 for share in row[1:])


def test_the_ledgers_score_is_that_of_its_confidences_before_the_answer(by: dict[tuple[str, str], Score]) -> None:
    """0.723, 0.177 and 0.1 with the first true: Σ (f - o)² as first defined, a third of it half, -log2 0.723 bits."""
    own = by["ledger", ""]
    wanted = brier(NOTED[DRUM], NOTED[CAM], NOTED[NONE])
    assert own.brier == pytest.approx(wanted, rel=1e-12)
    assert own.half == pytest.approx(wanted / 3, rel=1e-12)
    assert own.bits.bits == pytest.approx(-math.log2(NOTED[DRUM]), rel=1e-12)
    assert own.parts.brier == pytest.approx(
        own.parts.reliability - own.parts.resolution + own.parts.uncertainty + own.parts.within, abs=1e-15
    )
    assert own.parts.uncertainty == pytest.approx(2 / 9)


def test_a_readers_score_is_that_of_their_latest_word_before_the_answer(by: dict[tuple[str, str], Score]) -> None:
    """Of two replies under one name, however spaced, the later counts; the one dated on the day itself counts not."""
    assert by["reader", "B. reader"].brier == pytest.approx(brier(0.5, 0.3, 0.2), rel=1e-12)
    assert by["reader", "B. reader"].bits.bits == pytest.approx(1.0)
    assert not any(name == "D. Wise" for _, name in by)


def test_whoever_the_investigation_is_by_is_an_author(by: dict[tuple[str, str], Score]) -> None:
    """A reply of an author is scored as theirs, apart from the ledger."""
    assert by["author", "A. Keeper"].brier == pytest.approx(brier(0.8, 0.1, 0.1), rel=1e-12)


def test_the_unnamed_are_counted_together(by: dict[tuple[str, str], Score]) -> None:
    """One without a name and one without consent: two forecasts, their mean; the infinite one is told beside it."""
    unnamed = by["unnamed", ""]
    assert (unnamed.questions, unnamed.forecasts) == (1, 2)
    assert unnamed.brier == pytest.approx((brier(0.6, 0.4, 0) + brier(0, 1, 0)) / 2, rel=1e-12)
    assert unnamed.bits.bits == math.inf
    assert (unnamed.bits.infinite, unnamed.bits.finite) == (1, pytest.approx(-math.log2(0.6)))
    assert not any("Hidden" in name for _, name in by)


def test_all_together_are_scored_too(by: dict[tuple[str, str], Score]) -> None:
    """The linear pool is the mean of the five; the logarithmic one is shut out by whoever gave the answer nothing."""
    rows = [[NOTED[DRUM], NOTED[CAM], NOTED[NONE]], [0.5, 0.3, 0.2], [0.8, 0.1, 0.1], [0.6, 0.4, 0], [0, 1, 0]]
    mean = np.mean(rows, axis=0)
    assert by["all-linear", ""].brier == pytest.approx(brier(*mean), rel=1e-12)
    assert by["all-logarithmic", ""].brier == pytest.approx(2.0)
    assert by["all-logarithmic", ""].bits.infinite == 1
    assert by["even", ""].brier == pytest.approx(brier(1 / 3, 1 / 3, 1 / 3), rel=1e-12)


def test_each_is_held_beside_the_ledger_over_the_same_questions(by: dict[tuple[str, str], Score]) -> None:
    """Everybody spoke to the one question there is, so the ledger's score stands beside each."""
    assert {one.ledger for one in by.values()} == {by["ledger", ""].brier}


def test_pools_of_readers_are_apart_from_those_of_all(casebook: Casebook) -> None:
    """Four readers, worth four; with the ledger five."""
    found = scores(casebook)
    assert (found.readers[FORKS].people, found.readers[FORKS].number) == (4, 4.0)
    assert found.readers[FORKS].linear == pytest.approx({DRUM: 1.9 / 4, CAM: 1.8 / 4, NONE: 0.3 / 4})
    assert found.pools[FORKS].people == 5


def test_many_questions_score_as_the_library_does() -> None:
    """Forty questions of four rivals: both Brier scores and the bits are scikit-learn's, whoever they are of."""
    chance = np.random.default_rng(4)
    rows, truths = chance.dirichlet(np.ones(4), size=40), chance.integers(0, 4, size=40)
    found = scores(_many(rows.tolist(), truths.tolist()))
    own = next(one for one in found.forecasters if one.kind == "ledger")
    assert own.questions == 40
    assert own.brier == pytest.approx(brier_score_loss(truths, rows, labels=range(4), scale_by_half=False), rel=1e-9)
    assert own.bits.bits == pytest.approx(log_loss(truths, rows, labels=range(4)) / math.log(2), rel=1e-9)
    came = (np.arange(4) == truths[:, None]).astype(int).ravel()
    assert own.half == pytest.approx(brier_score_loss(came, rows.ravel()), rel=1e-9)
    parts = own.parts
    assert parts.reliability - parts.resolution + parts.uncertainty + parts.within == pytest.approx(own.half, abs=1e-12)
    assert parts.within != 0


def test_a_rival_that_was_not_there_yet_is_none_of_those() -> None:
    """The answer came true under a name that the forecast did not have: its share for none of these is what counts."""
    forecast = Forecast("questions/q", "ledger", "", {"hypotheses/a": 0.7, NONE: 0.3}, "2031-01-01")
    assert forecast.share("hypotheses/late") == 0.3
    assert forecast.share("hypotheses/a") == 0.7


def test_a_pool_is_over_what_all_had_before_them() -> None:
    """A rival that one of two did not have counts as none of these for both; by hand (0.5 + 0.6)/2 and √(0.5 · 0.6)."""
    one = Forecast("questions/q", "reader", "x", {"hypotheses/a": 0.5, "hypotheses/b": 0.2, NONE: 0.3}, "2031")
    two = Forecast("questions/q", "reader", "y", {"hypotheses/a": 0.6, NONE: 0.4}, "2031")
    found = pool([one, two])
    assert found is not None
    assert found.folded == ("hypotheses/b",)
    assert found.linear == pytest.approx({"hypotheses/a": 0.55, NONE: 0.45})
    means = math.sqrt(0.5 * 0.6), math.sqrt(0.5 * 0.4)
    assert found.logarithmic == pytest.approx({"hypotheses/a": means[0] / sum(means), NONE: means[1] / sum(means)})


def test_a_pool_that_everybody_shuts_out_has_no_logarithm() -> None:
    """Two who are sure of different rivals have a mean, and nothing else."""
    sure = [
        Forecast("questions/q", "reader", name, {"hypotheses/a": share, NONE: 1 - share}, "2031")
        for name, share in (("x", 1.0), ("y", 0.0))
    ]
    found = pool(sure)
    assert found is not None
    assert found.logarithmic is None
    assert found.linear == {"hypotheses/a": 0.5, NONE: 0.5}
    assert pool([]) is None


def test_a_withdrawn_rivals_share_is_divided_while_the_question_is_open(tmp_path: Path) -> None:
    """A reader's 0.5, 0.3, 0.2 without the second is 5/7 and 2/7; a forecast with nothing left falls out."""
    lay_out(tmp_path, 5)
    casebook = open_casebook(tmp_path, register=TOYS, count=100)
    gone = {ref: item for ref, item in casebook.entries.items() if ref != CAM}
    casebook = replace(casebook, entries=gone, withdrawn={CAM: casebook.entries[CAM]})
    said = {one.name or one.date: one.confidences for one in stated(casebook, FORKS)}
    assert said["B. reader"] == pytest.approx({DRUM: 5 / 7, NONE: 2 / 7})
    assert "2031-06-02" not in said


def _many(rows: list[list[float]], truths: list[int]) -> Casebook:
    """A casebook of resolved questions whose past is as given."""
    book = casebooks.casebook()
    entries = {ref: item for ref, item in book.entries.items() if item.kind == "investigation"}
    told = {}
    for number, (row, truth) in enumerate(zip(rows, truths, strict=True)):
        rivals = [*(f"hypotheses/r{number}-{place}" for place in range(3)), NONE]
        ref = f"questions/q{number}"
        item = casebooks.item(ref, {"title": f"Question {number}"})
        resolved = Resolution(answer=rivals[truth], date="2031-07-01", reason="Seen.")
        entries[ref] = replace(item, entry=item.entry.model_copy(update={"resolved": resolved}))
        told[ref] = dict(zip(rivals, row, strict=True))
    moment = Moment(1, "2031-01-01T00:00:00Z", told)
    course = Course((moment,), foretold=dict.fromkeys(told, moment))
    return replace(book, entries=entries, weighings={}, course=lambda: course)
