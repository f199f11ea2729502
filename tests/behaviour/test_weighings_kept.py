"""Weighings are kept beside the record, never outlive what they were made from, and are held against the entries."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import numpy as np
import pytest
from sqlalchemy import Connection

from ledger.casebook import opening, weighed
from ledger.casebook.opening import STORE, open_casebook
from ledger.casebook.values import Casebook
from ledger.casebook.verifying import problems
from ledger.errors import StoreDamaged, StoreRefused, WeighingRefused
from ledger.store import derived
from ledger.store.derived import cached_results, confidences
from ledger.store.engine import open_store
from ledger.store.posting import post
from ledger.store.records import Record
from ledger.weighing.values import Weighing
from tests.ledger_files import put
from tests.resolved import FORKS, lay_out, note
from tests.toys import TOYS

COUNT = 300
NAME = f"weighing of {FORKS}"
LATER = "2031-08-01T09:00:00Z"


@pytest.fixture
def root(tmp_path: Path) -> Path:
    """A posted investigation of a few questions, some linked."""
    lay_out(tmp_path, 5)
    return tmp_path


def opened(root: Path, count: int = COUNT) -> Casebook:
    """The casebook of the ledger there."""
    return open_casebook(root, register=TOYS, count=count)


def forbid(monkeypatch: pytest.MonkeyPatch) -> None:
    """Have every weighing fail from here on."""

    def refuse(*one: object) -> dict[str, Weighing]:
        raise AssertionError("weighed again")

    monkeypatch.setattr(weighed, "weigh_together", refuse)


def change(root: Path, how: str) -> None:
    """Change a kept weighing behind the program's back."""
    with sqlite3.connect(root / STORE) as store:
        assert store.execute(f"UPDATE result SET {how} WHERE ref = ?", (NAME,)).rowcount == 1


def told(root: Path) -> list[str]:
    """What `witness check` finds wrong."""
    return [one.message for one in problems(root, register=TOYS, count=COUNT) if one.severity == "wrong"]


def test_the_same_entries_are_weighed_once(root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A casebook opened later has what an earlier one weighed, to the last digit and the last draw."""
    first = opened(root).weighings
    assert first
    assert first[FORKS].drawn
    before = (root / STORE).read_bytes()
    forbid(monkeypatch)
    again = opened(root).weighings
    assert again == first
    for question, weighing in first.items():
        assert list(again[question].drawn) == list(weighing.drawn)
        for rival, drawn in weighing.drawn.items():
            assert np.array_equal(again[question].drawn[rival], drawn)
    assert (root / STORE).read_bytes() == before


def test_another_note_weighs_anew(root: Path) -> None:
    """One more note: other confidences, and they are the ones kept."""
    first = opened(root).weighings[FORKS]
    put(root / "entries", {"evidence/more": note("More", 0.9, 0.1)})
    post(open_store(root / STORE), root / "entries", LATER)
    again = opened(root).weighings[FORKS]
    assert again.standings != first.standings
    kept = {one.rival: one.confidence for one in confidences(open_store(root / STORE)) if one.question == FORKS}
    assert kept == {one.rival: one.confidence for one in again.standings}


def test_another_count_or_code_weighs_anew(root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What other draws or another formula gave is not taken for what these give."""
    first = opened(root).weighings[FORKS]
    assert len(next(iter(opened(root, 200).weighings[FORKS].drawn.values()))) == 200
    assert opened(root).weighings[FORKS] == first
    monkeypatch.setattr(weighed, "code_digest", lambda packages: "another formula")
    forbid(monkeypatch)
    with pytest.raises(AssertionError, match="weighed again"):
        opened(root)


def test_a_question_withdrawn_leaves_nothing_kept(root: Path) -> None:
    """What no question asks for any more is dropped."""
    opened(root)
    assert NAME in cached_results(open_store(root / STORE))
    for path in [*(root / "entries").rglob("*.md")]:
        if path.parent.name != "investigation" and path.name != "investigation.md":
            text = path.read_text("utf-8")
            if "withdrawn:" not in text:
                path.write_text(text.replace("title:", "withdrawn: A mistake.\ntitle:", 1), "utf-8")
    post(open_store(root / STORE), root / "entries", LATER)
    opened(root)
    assert NAME not in cached_results(open_store(root / STORE))


@pytest.mark.parametrize(
    "how",
    [
        "summary = json_set(summary, '$.standings[0].high', 0.999)",
        "draws = zeroblob(length(draws))",
    ],
)
def test_what_was_changed_in_the_store_is_found(root: Path, how: str) -> None:
    """A kept weighing that the entries do not give is wrong, and check says of which question."""
    opened(root)
    assert not told(root)
    change(root, how)
    (message,) = told(root)
    assert f"what the store keeps of {NAME} is not what the entries give" in message


@pytest.mark.parametrize(
    "how",
    [
        *(f"summary = '{said}'" for said in ("{}", "[]", "3", '{"standings": [{}], "account": {}}')),
        "summary = json_set(summary, '$.standings[0].confidence', 'abc')",
        "summary = json_set(summary, '$.standings[0].confidence', 5.0)",
        "summary = json_set(summary, '$.standings', json_array())",
        "summary = json_set(summary, '$.leader', 'hypotheses/another')",
        "summary = json_set(summary, '$.question', 'questions/another')",
    ],
)
def test_words_of_another_make_are_not_taken(root: Path, how: str) -> None:
    """What is no weighing of its question is found, and weighed anew and kept in its place when next asked for."""
    first = opened(root).weighings
    change(root, how)
    assert [one for one in told(root) if NAME in one]
    assert opened(root).weighings == first
    assert not told(root)


def test_a_weighing_of_what_cannot_be_weighed_is_found(root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A kept row, its key right, of a question that nobody can weigh has no ground, and check names it."""
    opened(root)

    def refuse(*one: object) -> dict[str, Weighing]:
        raise WeighingRefused("no combination is left")

    monkeypatch.setattr(weighed, "weigh_together", refuse)
    assert [one for one in told(root) if f"what the store keeps of {NAME} is not what the entries give" in one]
    with sqlite3.connect(root / STORE) as store:
        store.execute("UPDATE result SET key = 'of entries before' WHERE ref LIKE 'weighing of %'")
    assert not [one for one in told(root) if NAME in one]


def test_draws_that_cannot_be_read_are_refused_with_a_remedy(root: Path) -> None:
    """Where the draws are asked for, it says how to have them made again."""
    opened(root)
    change(root, "draws = x'00'")
    drawn = opened(root).weighings[FORKS].drawn
    with pytest.raises(StoreDamaged, match="DELETE FROM result"):
        list(drawn)


def test_a_ledger_is_read_at_one_moment(root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What another program posts while a ledger is opened belongs to the next opening, entries and record alike."""
    read = opening.current_entries

    def late(connection: Connection) -> dict[str, Record]:
        monkeypatch.setattr(opening, "current_entries", read)
        put(root / "entries", {"evidence/more": note("More", 0.9, 0.1)})
        post(open_store(root / STORE), root / "entries", LATER)
        return read(connection)

    before = opened(root)
    monkeypatch.setattr(opening, "current_entries", late)
    during = opened(root)
    assert "evidence/more" not in during.entries
    assert during.edition.fingerprint == before.edition.fingerprint
    assert during.course().moments == before.course().moments
    after = opened(root)
    assert "evidence/more" in after.entries
    assert after.course().moments[:-1] == before.course().moments
    assert not told(root)


def test_what_cannot_be_kept_is_told_and_used(
    root: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    """Without room to keep them, weighings and the past are worked out all the same; a damaged file stays a refusal."""
    honest = opened(root)
    moments = honest.course().moments
    put(root / "entries", {"evidence/more": note("More", 0.9, 0.1)})
    post(open_store(root / STORE), root / "entries", LATER)

    def full(*given: object, **named: object) -> None:
        raise StoreRefused("the disc is full.")

    monkeypatch.setattr(derived, "put_results", full)
    monkeypatch.setattr(derived, "replace_moments", full)
    found = opened(root)
    assert found.course().moments[:-1] == moments
    assert "was not kept" in caplog.text
    assert "the disc is full" in caplog.text

    def damaged(*given: object, **named: object) -> None:
        raise StoreDamaged("the file is malformed.")

    monkeypatch.setattr(derived, "put_results", damaged)
    with pytest.raises(StoreDamaged):
        opened(root)
