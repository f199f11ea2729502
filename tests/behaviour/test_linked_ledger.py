"""A ledger whose questions are linked, from its files to what is weighed."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import numpy as np
import pytest

from ledger.casebook.opening import open_casebook
from ledger.casebook.values import Casebook
from ledger.quantities.draws import generator
from ledger.store.engine import open_store
from ledger.store.posting import post
from ledger.weighing.values import NONE, Link
from ledger.weighing.weigh import weigh_together
from tests.ledger_files import SMALL, put

DRUM, CAM, LEVER, CABLE = (f"hypotheses/{name}" for name in ("drum", "face-cam", "lever", "cable"))
FORKS, ARMS, APART = "questions/forks", "questions/arms", "questions/apart"


def hypothesis(question: str, prior: str, *lines: str) -> str:
    """Return a hypothesis's file."""
    more = "".join(f"{line}\n" for line in lines)
    return (
        f"---\nkind: hypothesis\ntitle: One of them\nquestion: {question}\nprior: {prior}\nreason: Some were built.\n"
        f"{more}---\n"
    )


def question(*lines: str) -> str:
    """Return a question's file."""
    return "---\nkind: question\ntitle: Which of them?\n" + "".join(f"{line}\n" for line in lines) + "---\n"


def files(**changes: str) -> dict[str, str]:
    """Return a ledger of three questions; a key of `changes` is `folder__name`."""
    return {
        **SMALL,
        "questions/arms": question(),
        "hypotheses/lever": hypothesis("arms", "0.5"),
        "hypotheses/cable": hypothesis("arms", "0.4"),
        "questions/apart": question(),
        "hypotheses/oil": hypothesis("apart", "0.5"),
        "hypotheses/grease": hypothesis("apart", "0.4"),
    } | {ref.replace("__", "/").replace("_", "-"): text for ref, text in changes.items()}


def opened(root: Path, entries: dict[str, str], draws: int = 200) -> Casebook:
    """Return the casebook of a posted ledger."""
    folder = root / "entries"
    folder.mkdir(exist_ok=True)
    put(folder, entries)
    post(open_store(root / "witness.sqlite"), folder, "2031-06-02T10:00:00Z")
    return open_casebook(root, count=draws)


def shares(book: Casebook, question: str) -> dict[str, float]:
    return {one.rival: one.confidence for one in book.weighings[question].standings}


def test_a_posted_ledger_with_links_ranks_its_questions_jointly(tmp_path: Path) -> None:
    """What a rival of one question needs moves both questions, by the arithmetic of every combination."""
    lever = hypothesis("arms", "0.5", "needs: [face-cam]")
    book = opened(tmp_path, files(hypotheses__lever=lever))
    assert book.links == (Link(LEVER, "needs", CAM),)
    assert book.weighings[FORKS].linked == book.weighings[ARMS].linked == (ARMS, FORKS)
    assert book.weighings[APART].linked == ()
    alone = {one.rival: one for one in weigh_together([book.cases[FORKS]], ())[FORKS].standings}
    drum, cam, none = (alone[rival].confidence for rival in (DRUM, CAM, NONE))
    total = 0.5 * cam + 0.5  # lever with the cam; cable or none with any
    assert shares(book, ARMS) == pytest.approx({LEVER: 0.5 * cam / total, CABLE: 0.4 / total, NONE: 0.1 / total})
    assert shares(book, FORKS) == pytest.approx({DRUM: 0.5 * drum / total, CAM: cam / total, NONE: 0.5 * none / total})
    before = {one.rival: one.linked_prior for one in book.weighings[ARMS].standings}
    assert before == pytest.approx({LEVER: 0.15 / 0.65, CABLE: 0.4 / 0.65, NONE: 0.1 / 0.65})
    through = book.weighings[ARMS].through
    assert {"evidence/sleeve-groove", "sources/bench-left", FORKS, f"{LEVER} needs {CAM}"} == set(through)
    assert through[f"{LEVER} needs {CAM}"][LEVER] < 0 < through[f"{LEVER} needs {CAM}"][CABLE]


def test_ranges_of_factors_and_priors_are_drawn(tmp_path: Path) -> None:
    """A factor and a prior as ranges widen the confidences; drawn priors keep to their stated proportions."""
    oil = hypothesis("apart", "0.2..0.6")
    grease = hypothesis("apart", "0.6")
    lever = hypothesis("arms", "0.5", "favours: {drum: 1..9}")
    book = opened(tmp_path, files(hypotheses__oil=oil, hypotheses__grease=grease, hypotheses__lever=lever))
    assert book.links[0].factor == 3.0
    first = next(one for one in book.weighings[ARMS].standings if one.rival == LEVER)
    assert first.low < first.confidence < first.high
    drawn = book.weighings[APART].drawn["hypotheses/oil"]
    prior = 0.2 + 0.4 * generator("weighing", "prior hypotheses/oil").random(200)
    assert drawn == pytest.approx(prior / (prior + 0.6 + 0.1), rel=1e-12)
    middle = {one.rival: one.prior for one in book.weighings[APART].standings}
    assert middle["hypotheses/oil"] == pytest.approx(0.4 / 1.1)


def test_kept_weighings_are_of_these_links_and_these_draws(tmp_path: Path) -> None:
    """A factor or a number of draws that alone is another weighs the whole group anew, also from what is kept."""
    book = opened(tmp_path, files(hypotheses__lever=hypothesis("arms", "0.5", "favours: {drum: 1..9}")))
    again = opened(tmp_path, files(hypotheses__lever=hypothesis("arms", "0.5", "favours: {drum: 2..18}")))
    assert shares(again, FORKS) != shares(book, FORKS)
    assert shares(again, ARMS) != shares(book, ARMS)
    assert len(open_casebook(tmp_path, count=300).weighings[ARMS].drawn[LEVER]) == 300


def test_a_group_is_taken_whole_or_not_at_all(tmp_path: Path) -> None:
    """Where one of two linked questions is kept from another state, neither is taken."""
    linked = files(hypotheses__lever=hypothesis("arms", "0.5", "favours: {drum: 1..9}"))
    book = opened(tmp_path, linked)
    with closing(sqlite3.connect(tmp_path / "witness.sqlite")) as store, store:
        store.execute(
            "UPDATE result SET key = 'of before', summary = json_set(summary, '$.standings[0].confidence', 0.5) "
            "WHERE ref = ?",
            (f"weighing of {ARMS}",),
        )
    again = open_casebook(tmp_path, count=200)
    assert again.weighings == book.weighings


def test_one_word_as_two_priors_is_one_draw(tmp_path: Path) -> None:
    """Two rivals that are `unlikely` beforehand keep equal shares in every draw."""
    book = opened(
        tmp_path,
        files(
            hypotheses__oil=hypothesis("apart", "unlikely"),
            hypotheses__grease=hypothesis("apart", "unlikely"),
            questions__apart=question("none-of-these: 0.3..0.6"),
        ),
    )
    drawn = book.weighings[APART].drawn
    assert np.array_equal(drawn["hypotheses/oil"], drawn["hypotheses/grease"])
    assert np.ptp(drawn[NONE]) > 0.1


def test_a_link_to_a_withdrawn_hypothesis_falls_away_with_a_finding(tmp_path: Path) -> None:
    """Once what it needs is withdrawn, a rival is weighed as if it needed nothing, and somebody is told to look."""
    linked = files(hypotheses__lever=hypothesis("arms", "0.5", "needs: [face-cam]"))
    assert opened(tmp_path, linked).links
    gone = linked["hypotheses/face-cam"].replace("---\n", "---\nwithdrawn: It cannot be.\n", 1)
    book = opened(tmp_path, {**linked, "hypotheses/face-cam": gone})
    assert book.links == ()
    assert book.weighings[ARMS].linked == ()
    assert shares(book, ARMS) == pytest.approx({LEVER: 0.5, CABLE: 0.4, NONE: 0.1})
    told = [finding for finding in book.findings if set(finding.about) == {LEVER, CAM}]
    assert [finding.message for finding in told] == [f"{LEVER} names {CAM}, withdrawn or not in the ledger: revise it."]


def test_a_rival_that_links_shut_out_is_a_finding_that_names_the_links(tmp_path: Path) -> None:
    """A rival that needs, two links on, what rules it out is told with just those links; all else is weighed."""
    book = opened(
        tmp_path,
        files(
            hypotheses__face_cam=hypothesis("forks", "0.3", "needs: [lever]"),
            hypotheses__lever=hypothesis("arms", "0.5", "needs: [oil]"),
            hypotheses__oil=hypothesis("apart", "0.5", "rules-out: [face-cam]", "favours: {drum: 2}"),
        ),
    )
    assert set(book.weighings) == {FORKS, ARMS, APART}
    (impossible,) = book.weighings[FORKS].impossible
    assert impossible.rival == CAM
    links = (f"{CAM} needs {LEVER}", f"{LEVER} needs hypotheses/oil", f"hypotheses/oil rules-out {CAM}")
    assert sorted(impossible.links) == sorted(links)
    told = [finding.message for finding in book.findings if finding.about == (CAM, FORKS)]
    assert any(all(link in message for link in links) and "favours" not in message for message in told)
    assert shares(book, FORKS)[CAM] == 0.0
    assert [one.impossible for question, one in book.weighings.items() if question != FORKS] == [(), ()]


def test_questions_linked_too_closely_are_a_finding_and_the_rest_is_weighed(tmp_path: Path) -> None:
    """Eight questions of five rivals, all linked with all, are not weighed but told with their links."""
    close = {}
    for number in range(8):
        close[f"questions/close-{number}"] = question()
        for rival in range(5):
            lines = [f"favours: {{{', '.join(f'close-{other}-0: 2' for other in range(number))}}}"] if number else []
            close[f"hypotheses/close-{number}-{rival}"] = hypothesis(
                f"close-{number}", "0.18", *(lines if rival == 0 else ())
            )
    book = opened(tmp_path, {**files(), **close}, draws=20)
    assert set(book.weighings) == {FORKS, ARMS, APART}
    (told,) = [finding for finding in book.findings if "linked so closely" in finding.message]
    assert told.about == tuple(f"questions/close-{number}" for number in range(8))
    assert "1,679,616 entries, more than 1,000,000" in told.message
    assert all(link.name in told.message for link in book.links)
    assert len(book.links) == 28
