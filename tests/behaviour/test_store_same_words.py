"""A renamed file without `formerly` is not counted twice, and there is a way out for whoever did it already."""

from __future__ import annotations

from pathlib import Path

import pytest

from ledger.errors import Fault, FaultsFound
from ledger.store.engine import Store, open_store
from ledger.store.posting import post
from ledger.store.records import current
from ledger.store.verifying import verify
from tests.ledger_files import SMALL, put

AT = "2031-05-17T09:00:00Z"
HISS = SMALL["evidence/hiss"]


@pytest.fixture
def entries(tmp_path: Path) -> Path:
    return put(tmp_path / "entries", SMALL)


@pytest.fixture
def store(tmp_path: Path, entries: Path) -> Store:
    store = open_store(tmp_path / "witness.sqlite")
    post(store, entries, AT)
    return store


def faults(store: Store, entries: Path) -> tuple[Fault, ...]:
    with pytest.raises(FaultsFound) as found:
        post(store, entries, AT)
    return found.value.faults


def move(entries: Path, old: str, new: str, text: str | None = None) -> None:
    content = (entries / f"{old}.md").read_text() if text is None else text
    (entries / f"{old}.md").unlink()
    put(entries, {new: content})


@pytest.mark.parametrize(
    "change", [("", ""), ("title:", "formerly: gasp\ntitle:"), ("credibility: 5", "credibility: 5")]
)
def test_the_same_words_under_a_new_name_are_a_fault(store: Store, entries: Path, change: tuple[str, str]) -> None:
    """With the old file gone, it is asked whether the new one is the same entry; another `formerly` is no answer."""
    move(entries, "evidence/hiss", "evidence/whistle", HISS.replace(*change) if change[0] else HISS)
    (fault,) = faults(store, entries)
    assert fault.file == "entries/evidence/whistle.md"
    assert fault.given == "the same words as `evidence/hiss`, whose file is gone"
    assert "`formerly: hiss`" in fault.remedy
    put(entries, {"evidence/whistle": HISS.replace("title:", "formerly: hiss\ntitle:")})
    assert post(store, entries, AT).renamed == (("evidence/hiss", "evidence/whistle"),)


def test_a_renamed_rival_is_one_fault(store: Store, entries: Path) -> None:
    """Neither the sum of priors nor what names the old or the new one is told besides."""
    move(entries, "hypotheses/drum", "hypotheses/barrel")
    put(entries, {"evidence/note": HISS.replace("---\n", "---\nbearing: {barrel: 0.4, others: 0.2}\n", 1)})
    assert [fault.file for fault in faults(store, entries)] == ["entries/hypotheses/barrel.md"]


def test_both_other_ways_out_work(store: Store, entries: Path) -> None:
    """With the old file restored the new one is a copy; with the old entry withdrawn it is an entry of its own."""
    move(entries, "evidence/hiss", "evidence/whistle")
    put(entries, {"evidence/hiss": HISS})
    assert post(store, entries, AT).new == ("evidence/whistle",)
    move(entries, "evidence/whistle", "evidence/wheeze")
    put(entries, {"evidence/whistle": HISS.replace("title:", "withdrawn: it is a wheeze\ntitle:")})
    report = post(store, entries, AT)
    assert (report.new, report.withdrawn) == (("evidence/wheeze",), ("evidence/whistle",))


def test_a_copy_of_what_is_there_or_was_withdrawn_is_no_fault(store: Store, entries: Path) -> None:
    """Only an entry that stands and has lost its file is asked about."""
    put(entries, {"evidence/hiss": HISS.replace("title:", "withdrawn: a kettle\ntitle:")})
    post(store, entries, AT)
    (entries / "evidence/hiss.md").unlink()
    put(entries, {"evidence/whistle": HISS, "sources/bench-again": SMALL["sources/bench-left"]})
    assert post(store, entries, AT).new == ("evidence/whistle", "sources/bench-again")


@pytest.fixture
def doubled(store: Store, entries: Path) -> Store:
    """A ledger in which the same words were posted twice, and whose first file then went away."""
    put(entries, {"evidence/whistle": HISS})
    post(store, entries, AT)
    (entries / "evidence/hiss.md").unlink()
    return store


def test_what_was_posted_twice_is_pointed_at(doubled: Store, entries: Path) -> None:
    """Nothing is at fault, but a person is told that both count."""
    put(entries, {"questions/forks": SMALL["questions/forks"] + "More.\n"})
    (warning,) = post(doubled, entries, AT).warnings
    assert warning.file == "entries/evidence/whistle.md"
    assert "`witness withdraw evidence/hiss`" in warning.remedy


def test_two_entries_do_not_become_one_by_a_line(doubled: Store, entries: Path) -> None:
    """There is one fault; its remedy names no file that is gone, and following it works."""
    put(entries, {"evidence/whistle": HISS.replace("title:", "formerly: hiss\ntitle:")})
    (fault,) = faults(doubled, entries)
    assert (fault.file, fault.field) == ("entries/evidence/whistle.md", "formerly")
    assert "take `formerly` out" in fault.remedy
    assert "`witness withdraw evidence/hiss` first" in fault.remedy
    assert "Delete" not in fault.remedy
    put(entries, {"evidence/hiss": HISS.replace("title:", "withdrawn: twice\ntitle:")})
    assert post(doubled, entries, AT, only={"evidence/hiss"}).withdrawn == ("evidence/hiss",)
    (fault,) = faults(doubled, entries)
    assert "withdrawn: take `formerly` out." in fault.remedy
    put(entries, {"evidence/whistle": HISS})
    assert post(doubled, entries, AT).warnings == ()
    assert verify(doubled).sound


def test_faults_elsewhere_hold_up_no_posting_of_one_entry(store: Store, entries: Path) -> None:
    """With `only`, neither faulty files, nor strays, nor what other files would change are looked at."""
    put(entries, {"evidence/note": "no entry", "hypotheses/drum": SMALL["hypotheses/drum"].replace("0.6", "0.9")})
    (entries / "notes.txt").write_text("x")
    (entries / "replies/reader-one.md").unlink()
    put(entries, {"evidence/hiss": HISS.replace("title:", "withdrawn: a kettle\ntitle:")})
    report = post(store, entries, AT, only={"evidence/hiss"})
    assert (report.withdrawn, report.absent, report.unchanged, report.new) == (("evidence/hiss",), (), (), ())
    assert "0.6" in current(store)["hypotheses/drum"].text
    assert verify(store).sound


def test_its_own_faults_hold_it_up(store: Store, entries: Path) -> None:
    """What is wrong with the entry itself, or comes about by it, is told as ever."""
    put(entries, {"evidence/hiss": HISS.replace("sources/letter", "sources/lettre")})
    with pytest.raises(FaultsFound, match="lettre"):
        post(store, entries, AT, only={"evidence/hiss"})
    text = SMALL["investigation/gearbox"].replace("title:", "withdrawn: done\ntitle:")
    put(entries, {"investigation/gearbox": text, "evidence/hiss": HISS})
    with pytest.raises(FaultsFound, match="no investigation"):
        post(store, entries, AT, only={"investigation/gearbox"})
