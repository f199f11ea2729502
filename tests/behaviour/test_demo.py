"""The demo is whole: its past replays, nothing is wrong or refused, every calculator is used, it can be published."""

from __future__ import annotations

import shutil
from collections import Counter
from pathlib import Path

import pytest

from ledger.calculators.declared import check_calculations
from ledger.calculators.register import REGISTER
from ledger.casebook.opening import open_casebook
from ledger.casebook.values import Casebook
from ledger.casebook.verifying import problems
from ledger.press import build
from ledger.store.engine import open_store
from ledger.store.posting import Report, post

ROOT = Path(__file__).parents[2]
LEAST = {
    "question": 4,
    "hypothesis": 14,
    "precedent": 5,
    "source": 8,
    "evidence": 25,
    "measurement": 10,
    "calculation": 12,
    "decision": 4,
}


@pytest.fixture(scope="module")
def posted(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Report]:
    """The demo posted into an empty ledger, in a folder of its own."""
    folder = tmp_path_factory.mktemp("demo")
    for part in ("entries", "site"):
        shutil.copytree(ROOT / part, folder / part)
    store = open_store(folder / "witness.sqlite")
    report = post(
        store, folder / "entries", "2021-12-01T12:00:00Z", lambda *given: check_calculations(REGISTER, *given)
    )
    return folder, report


@pytest.fixture(scope="module")
def casebook(posted: tuple[Path, Report]) -> Casebook:
    """The demo opened, all computed."""
    return open_casebook(posted[0], numbering=True)


def test_the_past_replays_and_the_files_say_nothing_else(posted: tuple[Path, Report]) -> None:
    """A clone has the whole history, and posting the files on top of it changes nothing."""
    report = posted[1]
    assert report.replayed > 200
    changed = (report.new, report.revised, report.withdrawn, report.restored, report.renamed, report.absent)
    assert changed == ((),) * 6


def test_the_demo_has_the_weight_of_a_real_case(casebook: Casebook) -> None:
    """It says that it is invented, has enough of everything, and uses every calculator."""
    assert casebook.investigation.invented
    counts = Counter(item.kind for item in casebook.entries.values())
    assert all(counts[kind] >= least for kind, least in LEAST.items()), counts
    assert {result.calculator for result in casebook.results.values()} == set(REGISTER)


def test_nothing_is_refused_and_nothing_counts_twice(posted: tuple[Path, Report], casebook: Casebook) -> None:
    """Every calculation runs, every question is weighed, and the check finds nothing wrong."""
    assert casebook.refused == {}
    assert set(casebook.weighings) == {item.ref for item in casebook.of_kind("question")}
    assert [one.message for one in problems(posted[0]) if one.severity == "wrong"] == []


def test_the_ranking_is_no_foregone_conclusion(casebook: Casebook) -> None:
    """On what moves the selectors the leader is short of certainty, and another has a real chance."""
    first, second = casebook.weighings["questions/what-moves-the-selectors"].standings[:2]
    assert first.confidence < 0.8
    assert second.confidence > 0.1


def test_the_demo_is_published_strictly(posted: tuple[Path, Report], casebook: Casebook) -> None:
    """The strict build passes, and the comparison of the selectors stands in it with its leader."""
    site = build(posted[0] / "site" / "mkdocs.yml", casebook)
    page = (site / "questions" / "what-moves-the-selectors.html").read_text("utf-8")
    leader = casebook.weighings["questions/what-moves-the-selectors"].leader
    assert leader is not None
    assert casebook.entries[leader].title in page
