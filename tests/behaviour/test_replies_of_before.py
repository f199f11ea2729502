"""A reply accepted when something is no longer as its reader saw it: rivals, names, entries, the day."""

from __future__ import annotations

from pathlib import Path

import pytest

from ledger.errors import FaultsFound
from ledger.replies.accepting import accept
from ledger.replies.composing import Wanted
from ledger.replies.received import Incoming, received
from ledger.replies.taking import checked
from tests.accepting import AT, SHARES, about, accepted, front
from tests.accepting import case as case
from tests.accepting import posted as posted
from tests.conftest import Run


def test_confidences_that_cannot_be_carried_whole_are_told(case: Path) -> None:
    """Rivals that are gone go to none of these; another sum is divided by; two questions, or nothing, are left out."""
    gone = {"hypotheses/coil-spring": 0.3, "hypotheses/gone": 0.6, "none-of-these": 0.1}
    done = accepted(case, about(1, text="One.", confidences=gone))
    assert front(case, done.written[0])["confidences"] == {"hypotheses/coil-spring": 0.3, "none-of-these": 0.7}
    assert any("hypotheses/gone" in note for note in done.notes)
    done = accepted(case, about(2, text="Two.", confidences={name: 2 * share / 4 for name, share in SHARES.items()}))
    assert front(case, done.written[0])["confidences"] == pytest.approx(SHARES)
    assert any("came to 0.5" in note for note in done.notes)
    for number, said in ((3, dict.fromkeys(SHARES, 0.0)), (4, {"none-of-these": 1.0}), (5, {"hypotheses/gone": 1.0})):
        done = accepted(case, about(number, text=f"Number {number}.", confidences=said))
        assert "confidences" not in front(case, done.written[0])
        assert any("left out" in note for note in done.notes)
    done = accepted(case, about(6, text="Six.", confidences={}, inputs={"calculations/gone": {"a": "1"}}))
    assert any("calculations/gone" in note for note in done.notes)
    strange = {"calculations/coil-fits": {"wire-colour": "5 mm"}}
    done = accepted(case, about(7, text="Seven.", confidences={}, inputs=strange))
    assert any("no input wire-colour" in note for note in done.notes)


def test_a_reader_s_clock_may_be_wrong(case: Path) -> None:
    """A day still to come is kept and told of, as it stands in the reply's file; a day long gone is taken."""
    late, early = (checked(about(number, text=f"On {number}."))[0] for number in (1, 2))
    assert late is not None
    assert early is not None
    with received(case) as store:
        store.take([Incoming(late, "9999-12-31", "a test"), Incoming(early, "0001-01-01", "a test")])
        told = accept(case, store, late.id, Wanted(), AT).notes
        assert any("9999-12-31, is still to come" in note for note in told)
        assert not any("to come" in note for note in accept(case, store, early.id, Wanted(), AT).notes)


def test_what_was_erased_is_told_and_another_subject_is_taken(case: Path, run: Run) -> None:
    """A reply about an entry whose words are gone waits until a person says what it is about now."""
    assert run("withdraw", "evidence/ping", "--reason", "x", "--in", case)[0] == 0
    assert run("erase", "evidence/ping", "--reason", "asked", "--yes", "--in", case)[0] == 0
    with pytest.raises(FaultsFound, match=r"--about"):
        accepted(case, about(1))
    with received(case) as store:
        done = accept(case, store, about(1)["id"], Wanted(about="questions/return"), AT)
    assert front(case, done.written[0])["about"] == "questions/return"


def test_an_entry_that_was_renamed_is_found_by_its_old_name(case: Path, run: Run) -> None:
    """The reader saw an edition from before: what it named then is named as it is now."""
    old, new = case / "entries/evidence/ping.md", case / "entries/evidence/pong.md"
    new.write_text(old.read_text("utf-8").replace("title:", "formerly: ping\ntitle:", 1), "utf-8")
    old.unlink()
    assert run("post", "--in", case)[0] == 0
    done = accepted(case, about(stance="doubt"))
    assert front(case, done.written[0])["about"] == "evidence/pong"


def test_a_rival_that_came_since_is_no_fault_of_the_reader_s(case: Path, run: Run) -> None:
    """Confidences in the rivals of an earlier edition are taken; what they leave is in none of these."""
    draft = "---\nkind: hypothesis\ntitle: A magnet\nquestion: return\nprior: 0\nreason: Invented.\n---\n"
    (case / "entries/hypotheses/magnet.md").write_text(draft, "utf-8")
    assert run("post", "--in", case)[0] == 0
    done = accepted(case, about())
    assert front(case, done.written[0])["confidences"] == SHARES
    code, out, _ = run("post", "--in", case)
    assert (code, "nothing for magnet" in out) == (0, True)
