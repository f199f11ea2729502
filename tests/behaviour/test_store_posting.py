"""What a posting does with files: new, revised, withdrawn, restored, renamed, absent, faulty."""

from __future__ import annotations

from collections.abc import Mapping, Set
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest

from ledger.entries.reading import Document
from ledger.errors import Fault, FaultsFound, NotInLedger, StoreBusy
from ledger.store.engine import Store, open_store
from ledger.store.posting import Report, post
from ledger.store.records import current, history
from ledger.store.verifying import verify
from tests.ledger_files import SMALL, put
from tests.states import fingerprint, head

AT = "2031-05-17T09:00:00Z"
LATER = "2031-05-18T09:00:00Z"
NOTE = "evidence/sleeve-groove"


@pytest.fixture
def entries(tmp_path: Path) -> Path:
    """The small ledger as files."""
    return put(tmp_path / "entries", SMALL)


@pytest.fixture
def store(tmp_path: Path, entries: Path) -> Store:
    """A store into which the small ledger was posted."""
    store = open_store(tmp_path / "witness.sqlite")
    post(store, entries, AT)
    return store


def edit(entries: Path, ref: str, old: str, new: str) -> None:
    """Change one piece of an entry's file."""
    path = entries / f"{ref}.md"
    text = path.read_text()
    assert old in text
    path.write_text(text.replace(old, new))


def actions(store: Store, ref: str) -> list[str]:
    return [link.action for link in history(store, ref)]


def test_a_first_posting_takes_every_file_as_new(tmp_path: Path, entries: Path) -> None:
    """Each file becomes an entry with one revision, its words kept to the byte."""
    store = open_store(tmp_path / "witness.sqlite")
    report = post(store, entries, AT)
    assert report == Report(new=tuple(sorted(SMALL)))
    assert report.changed
    records = current(store)
    assert {ref: record.text for ref, record in records.items()} == SMALL
    assert list(records) == sorted(SMALL)
    note = records[NOTE]
    assert (note.kind, note.name, note.withdrawn, note.revisions) == ("evidence", "sleeve-groove", None, 1)
    assert note.first == note.latest
    assert note.front["bearing"] == {"drum": 0.9, "face-cam": "likely"}
    assert note.body == "The groove is bright on both flanks — 3 µm at most.\n"
    assert verify(store).sound


def test_posting_again_changes_nothing(store: Store, entries: Path) -> None:
    """The same files posted twice leave the store's bytes as they were."""
    before = store.path.read_bytes()
    report = post(store, entries, LATER)
    assert report == Report(unchanged=tuple(sorted(SMALL)))
    assert not report.changed
    assert store.path.read_bytes() == before


def test_unchanged_files_are_not_parsed(store: Store, entries: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Only what changed is read as an entry; and when nothing changed, nothing is."""
    parsed = []
    from ledger.store import posting

    parse = posting.parse
    monkeypatch.setattr(posting, "parse", lambda file, *rest: parsed.append(file.ref) or parse(file, *rest))
    post(store, entries, LATER)
    assert parsed == []
    edit(entries, NOTE, "bright", "dull")
    post(store, entries, LATER)
    assert parsed == [NOTE]


def test_a_changed_file_is_a_revision(store: Store, entries: Path) -> None:
    """The entry keeps its first seq and its past; only its latest words change."""
    edit(entries, NOTE, "bright", "dull")
    assert post(store, entries, LATER).revised == (NOTE,)
    record = current(store)[NOTE]
    assert "dull" in record.body
    assert record.revisions == 2
    assert record.latest == len(SMALL) + 1
    assert actions(store, NOTE) == ["new", "revised"]
    assert [link.at for link in history(store, NOTE)] == [AT, LATER]
    assert "bright" in str(history(store, NOTE)[0].text)


def test_a_withdrawn_entry_stays_and_can_be_restored(store: Store, entries: Path) -> None:
    """`withdrawn:` takes an entry out of the content, not out of the record; dropping the line brings it back."""
    standing = fingerprint(store)
    edit(entries, "evidence/hiss", "credibility: 5", "credibility: 5\nwithdrawn: It was the kettle.")
    assert post(store, entries, LATER).withdrawn == ("evidence/hiss",)
    assert current(store)["evidence/hiss"].withdrawn == "It was the kettle."
    assert fingerprint(store) != standing
    edit(entries, "evidence/hiss", "\nwithdrawn: It was the kettle.", "")
    assert post(store, entries, LATER).restored == ("evidence/hiss",)
    assert actions(store, "evidence/hiss") == ["new", "withdrawn", "restored"]
    assert fingerprint(store) == standing
    assert verify(store).sound


def test_an_entry_may_come_withdrawn(store: Store, entries: Path) -> None:
    """A file that is withdrawn when first seen is new and withdrawn, both in the history."""
    put(
        entries, {"evidence/hum": SMALL["evidence/hiss"].replace("credibility: 5", "credibility: 5\nwithdrawn: A fan.")}
    )
    report = post(store, entries, LATER)
    assert (report.new, report.withdrawn) == (("evidence/hum",), ("evidence/hum",))
    assert actions(store, "evidence/hum") == ["new", "withdrawn"]


def test_a_deleted_file_deletes_nothing(store: Store, entries: Path) -> None:
    """An entry without a file is kept and reported, also while others change."""
    (entries / "evidence/hiss.md").unlink()
    assert post(store, entries, LATER).absent == ("evidence/hiss",)
    edit(entries, NOTE, "bright", "dull")
    assert post(store, entries, LATER).absent == ("evidence/hiss",)
    assert "evidence/hiss" in current(store)


def test_an_absent_entry_still_counts_in_checks(store: Store, entries: Path) -> None:
    """What refers to an entry without a file is no fault: the record has it."""
    (entries / "sources/bench-left.md").unlink()
    edit(entries, NOTE, "bright", "dull")
    assert post(store, entries, LATER).revised == (NOTE,)


def rename(entries: Path, old: str, new: str, extra: str = "") -> None:
    """Move a file within its folder and say what it was called."""
    text = (entries / f"{old}.md").read_text()
    (entries / f"{old}.md").unlink()
    lines = [line for line in text.split("\n") if not line.startswith("formerly:")]
    lines[1] += f"\nformerly: {old.partition('/')[2]}{extra}"
    (entries / f"{new}.md").write_text("\n".join(lines))


def test_a_renamed_entry_keeps_its_history(store: Store, entries: Path) -> None:
    """`formerly` carries an entry on under a new name; both names lead to one history."""
    first = current(store)["evidence/hiss"].first
    rename(entries, "evidence/hiss", "evidence/whistle")
    report = post(store, entries, LATER)
    assert report.renamed == (("evidence/hiss", "evidence/whistle"),)
    assert report.absent == ()
    assert report.new == ()
    assert "evidence/hiss" not in current(store)
    assert current(store)["evidence/whistle"].first == first
    assert history(store, "evidence/hiss") == history(store, "evidence/whistle")
    assert actions(store, "evidence/whistle") == ["new", "renamed"]
    assert post(store, entries, LATER).unchanged == tuple(sorted({*SMALL, "evidence/whistle"} - {"evidence/hiss"}))
    assert verify(store).sound


def test_a_rename_and_a_withdrawal_are_two_revisions(store: Store, entries: Path) -> None:
    """What happens to an entry in one go is told apart in its history."""
    rename(entries, "evidence/hiss", "evidence/whistle", "\nwithdrawn: It was the kettle.")
    report = post(store, entries, LATER)
    assert (len(report.renamed), report.withdrawn) == (1, ("evidence/whistle",))
    assert actions(store, "evidence/whistle") == ["new", "renamed", "withdrawn"]
    assert verify(store).sound


def test_an_entry_can_take_its_old_name_back(store: Store, entries: Path) -> None:
    """A former name is free for the entry that had it."""
    rename(entries, "evidence/hiss", "evidence/whistle")
    post(store, entries, LATER)
    rename(entries, "evidence/whistle", "evidence/hiss")
    assert post(store, entries, LATER).renamed == (("evidence/whistle", "evidence/hiss"),)
    assert actions(store, "evidence/whistle") == ["new", "renamed", "renamed"]
    assert verify(store).sound


def refused(store: Store, entries: Path, *said: str) -> FaultsFound:
    """Post, expect faults that say all that, and see that the store kept its bytes."""
    before = store.path.read_bytes()
    with pytest.raises(FaultsFound) as found:
        post(store, entries, LATER)
    assert store.path.read_bytes() == before
    for piece in said:
        assert piece in str(found.value)
    return found.value


def test_a_name_is_never_taken_over(store: Store, entries: Path) -> None:
    """Not while the old file is there, not by a former name, not twice, not from another entry."""
    put(entries, {"evidence/whistle": SMALL["evidence/hiss"].replace("title:", "formerly: hiss\ntitle:")})
    refused(store, entries, "evidence/whistle.md", "formerly", "Delete evidence/hiss.md")
    (entries / "evidence/hiss.md").unlink()
    put(entries, {"evidence/wheeze": SMALL["evidence/hiss"].replace("title:", "formerly: hiss\ntitle:")})
    refused(store, entries, "`evidence/wheeze` claims it too")
    (entries / "evidence/wheeze.md").unlink()
    post(store, entries, LATER)
    put(entries, {"evidence/hiss": SMALL["evidence/hiss"]})
    refused(store, entries, "`evidence/hiss` was renamed to `evidence/whistle`")
    (entries / "evidence/hiss.md").unlink()
    put(entries, {"evidence/wheeze": SMALL["evidence/hiss"].replace("title:", "formerly: hiss\ntitle:")})
    refused(store, entries, "already renamed to `evidence/whistle`")
    (entries / "evidence/wheeze.md").unlink()
    edit(entries, "evidence/whistle", "formerly: hiss", "formerly: sleeve-groove")
    refused(store, entries, "`evidence/sleeve-groove` is an entry of its own")


def test_formerly_may_name_what_the_record_never_knew(store: Store, entries: Path) -> None:
    """Files posted without their history may still say what they were called."""
    put(entries, {"evidence/wheeze": SMALL["evidence/hiss"].replace("title:", "formerly: gasp\ntitle:")})
    assert post(store, entries, LATER).new == ("evidence/wheeze",)
    assert verify(store).sound


def test_all_faults_are_told_at_once_and_nothing_is_posted(store: Store, entries: Path) -> None:
    """A fault in one file, one in another, and one only the whole ledger shows; the good files wait too."""
    edit(entries, "evidence/hiss", "credibility: 5", "credibility: 9")
    edit(entries, NOTE, "source: bench-left", "source: bench-right")
    edit(entries, "hypotheses/drum", "prior: 0.6", "prior: 0.9")
    edit(entries, "replies/reader-one", "chain", "belt")
    found = refused(store, entries)
    assert {fault.file for fault in found.faults} >= {
        "entries/evidence/hiss.md",
        "entries/evidence/sleeve-groove.md",
    }
    assert any("prior" in fault.field or "prior" in str(fault) for fault in found.faults)


def test_a_fault_that_shows_in_an_unchanged_file_has_its_line(store: Store, entries: Path) -> None:
    """When a rename breaks a reference elsewhere, the fault names file and line of that reference."""
    rename(entries, "hypotheses/face-cam", "hypotheses/face-groove")
    found = refused(store, entries, "`hypotheses/face-groove`: it was renamed")
    fault = next(fault for fault in found.faults if fault.file == "entries/evidence/sleeve-groove.md")
    assert fault.line == SMALL[NOTE].split("\n").index("  face-cam: likely") + 1


@pytest.mark.parametrize("stray", ["notes.txt", "evidence/picture.jpg", "evidences/hiss.md", "evidence/old/hiss.md"])
def test_what_is_no_entry_file_is_a_fault(store: Store, entries: Path, stray: str) -> None:
    """Files and folders that would be passed over in silence are named instead."""
    (entries / stray).parent.mkdir(exist_ok=True)
    (entries / stray).write_text("stray")
    refused(store, entries, stray.rpartition("/old")[0] or stray.partition("/")[0])


def test_a_link_is_a_fault(store: Store, entries: Path) -> None:
    """A symbolic link is no file of its own."""
    (entries / "evidence/linked.md").symlink_to(entries / "evidence/hiss.md")
    refused(store, entries, "evidence/linked.md", "symbolic link")


def test_bytes_that_are_no_text_are_a_fault(store: Store, entries: Path) -> None:
    """A file that is not UTF-8 is named with its line."""
    (entries / "evidence/hiss.md").write_bytes(SMALL["evidence/hiss"].encode() + b"\xff\n")
    refused(store, entries, "evidence/hiss.md:7", "UTF-8")


def test_line_ends_are_kept(store: Store, entries: Path) -> None:
    """A file with line ends of another system is posted to the byte, and posting it again changes nothing."""
    (entries / "evidence/hiss.md").write_bytes(SMALL["evidence/hiss"].replace("\n", "\r\n").encode())
    assert post(store, entries, LATER).revised == ("evidence/hiss",)
    assert current(store)["evidence/hiss"].text == SMALL["evidence/hiss"].replace("\n", "\r\n")
    assert not post(store, entries, LATER).changed


def test_the_clock_is_given_and_may_jump_back(store: Store, entries: Path) -> None:
    """Times stand in UTC to the second, whatever their zone; a time without a zone is a fault.

    A clock set back is told of, and its time is kept as it said: the order of the record does not hang on it.
    """
    edit(entries, NOTE, "bright", "dull")
    told = post(store, entries, datetime(2001, 1, 1, 2, tzinfo=timezone(timedelta(hours=2)))).warnings
    assert [(one.file, one.given) for one in told] == [("the clock", "2001-01-01T00:00:00Z")]
    assert history(store, NOTE)[-1].at == "2001-01-01T00:00:00Z"
    edit(entries, NOTE, "dull", "bright")
    assert post(store, entries, datetime(2001, 1, 1, 0, 0, 30, tzinfo=UTC)).warnings == ()
    edit(entries, NOTE, "bright", "dull")
    assert post(store, entries, datetime(2001, 1, 1, tzinfo=UTC)).warnings == ()
    assert [link.seq for link in history(store, NOTE)] == sorted(link.seq for link in history(store, NOTE))
    assert verify(store).sound
    with pytest.raises(ValueError, match="zone"):
        post(store, entries, datetime(2001, 1, 1))
    post(store, entries, datetime(2031, 1, 1, tzinfo=UTC))


def test_salts_are_fresh(store: Store, entries: Path) -> None:
    """The same words twice have different salts and digests, so that a digest tells nothing of the words."""
    for text in ("dull", "bright"):
        edit(entries, NOTE, "bright" if text == "dull" else "dull", text)
        post(store, entries, LATER)
    first, _, third = history(store, NOTE)
    assert first.text == third.text
    assert first.salt != third.salt
    assert first.digest != third.digest


def test_a_posting_waits_for_another_program(store: Store, entries: Path) -> None:
    """While another program writes, a posting is refused in words and changes nothing."""
    hasty = open_store(store.path, busy_seconds=0.05)
    with store.writing(), pytest.raises(StoreBusy):
        post(hasty, entries, LATER)


def test_an_unknown_name_is_answered_with_the_nearest(store: Store) -> None:
    """A name that leads nowhere is a refusal that helps."""
    with pytest.raises(NotInLedger, match="evidence/sleeve-groove"):
        history(store, "evidence/sleve-groove")


def test_the_fingerprint_is_of_content_alone(tmp_path: Path, store: Store, entries: Path) -> None:
    """The same files posted at another time, in two goes, have the same fingerprint and another head."""
    other = open_store(tmp_path / "other.sqlite")
    late = entries / "evidence/hiss.md"
    text = late.read_text()
    late.unlink()
    post(other, entries, LATER)
    assert fingerprint(other) != fingerprint(store)
    late.write_text(text)
    post(other, entries, LATER)
    assert fingerprint(other) == fingerprint(store)
    assert head(other) != head(store)


def test_a_file_that_cannot_be_read_is_no_traceback(
    store: Store, entries: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """When a file goes away or is forbidden while it is read, the posting is refused in words."""
    from ledger.store import posting

    def forbidden(path: str) -> bytes:
        raise PermissionError(path)

    monkeypatch.setattr(posting, "content_of", forbidden)
    refused(store, entries, "entries", "came or went")
    refused(store, entries / "nowhere", "nowhere", "a folder that can be read")


def test_large_files_are_read_whole(store: Store, entries: Path) -> None:
    """A file longer than one piece of reading is posted to the byte and known again; one too long is a fault."""
    text = SMALL["evidence/hiss"] + "Hiss. " * 30_000
    put(entries, {"evidence/hiss": text})
    assert post(store, entries, LATER).revised == ("evidence/hiss",)
    assert current(store)["evidence/hiss"].text == text
    assert not post(store, entries, LATER).changed
    put(entries, {"evidence/hiss": text * 6})
    refused(store, entries, "more than 1 MB")


def test_rules_from_above_hold_too(store: Store, entries: Path) -> None:
    """Rules given by the layers above see the whole ledger and what changed, and their faults keep everything out."""
    seen = []

    def rules(documents: Mapping[str, Document], changed: Set[str]) -> list[Fault]:
        seen.append((set(documents), set(changed)))
        return [Fault("entries/evidence/hiss.md", 0, "title", "a hiss", "a hum", "Listen again.")]

    edit(entries, NOTE, "bright", "dull")
    with pytest.raises(FaultsFound, match="Listen again"):
        post(store, entries, LATER, rules)
    assert seen == [(set(SMALL), {NOTE})]
    assert len(history(store, NOTE)) == 1
