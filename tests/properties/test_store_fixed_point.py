"""Posting, exporting and replaying go round: whatever was posted comes back, to the byte and to the hash."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from ledger.entries.models import FOLDERS, MODELS
from ledger.entries.reading import read_text
from ledger.entries.withdrawing import withdrawn_text
from ledger.entries.writing import write
from ledger.errors import FaultsFound
from ledger.store.chain import FIELDS, START, digest, link_hash
from ledger.store.derived import edition
from ledger.store.engine import Store, open_store
from ledger.store.erasing import erase
from ledger.store.export import export
from ledger.store.posting import post
from ledger.store.records import current
from ledger.store.verifying import verify
from tests import drawn_entries, drawn_ledgers, drawn_words
from tests.ledger_files import SMALL, put, taken
from tests.states import fingerprint, head

AT = "2031-05-17T09:00:00Z"
QUICK = settings(deadline=None, max_examples=15, suppress_health_check=list(HealthCheck))


@contextmanager
def folder() -> Iterator[Path]:
    """A folder that is gone afterwards; Hypothesis runs many examples in one test."""
    with tempfile.TemporaryDirectory() as path:
        yield Path(path)


def goes_round(store: Store, entries: Path, top: Path) -> None:
    """Export, post, and replay, and see that nothing moves."""
    before, state, content = head(store), current(store), fingerprint(store)
    assert verify(store).problems == ()
    export(store, entries)
    assert not post(store, entries, AT).changed
    assert head(store) == before
    clone_entries = top / "clone"
    clone_entries.mkdir()
    export(store, clone_entries)
    assert taken(clone_entries) == taken(entries)
    clone = open_store(top / "clone.sqlite")
    report = post(clone, clone_entries, "2040-01-01T00:00:00Z")
    assert report.replayed > 0
    assert (report.new, report.revised, report.renamed, report.absent) == ((), (), (), ())
    assert (head(clone), current(clone), fingerprint(clone)) == (before, state, content)
    assert verify(clone).problems == ()
    files = taken(clone_entries)
    export(clone, clone_entries)
    assert taken(clone_entries) == files


@QUICK
@given(ledger=drawn_ledgers.ledgers())
def test_post_export_post_is_a_fixed_point(ledger: drawn_ledgers.Ledger) -> None:
    """Any ledger without faults, of all kinds, with any words, goes round unchanged."""
    files = {f"{kind}/{name}": write(front, body) for (kind, name), (front, body) in ledger.items()}
    with folder() as top:
        entries = put(top / "entries", files)
        store = open_store(top / "witness.sqlite")
        assert len(post(store, entries, AT).new) == len(files)
        assert {ref: record.text for ref, record in current(store).items()} == files
        goes_round(store, entries, top)


CHANGES = st.lists(
    st.tuples(
        st.sampled_from(("revise", "withdraw", "rename", "erase", "publish")), st.integers(0, 99), drawn_words.names()
    ),
    min_size=1,
    max_size=6,
)


def change(store: Store, entries: Path, what: str, ref: str, name: str) -> None:
    """Try one change in the files and post it; a refused one is taken back, as a person would."""
    path, text = entries / f"{ref}.md", (entries / f"{ref}.md").read_bytes().decode()
    target = path.with_name(f"{name}.md")
    folder, _, old = ref.partition("/")
    document = read_text(text, folder, old)
    if what == "publish":
        edition(store)
        return
    if what == "erase":
        try:
            erase(store, ref, AT)
            path.unlink()
        except FaultsFound:
            pass
        return
    if what == "revise":
        path.write_bytes((text + f"\nSeen again: {name}").encode())
    elif what == "withdraw":
        path.write_bytes(withdrawn_text(text, f"Because of {name}.").encode())
    elif not target.exists():
        path.unlink()
        target.write_bytes(write({**document.front, "formerly": old}, document.body).encode())
    try:
        post(store, entries, AT)
    except FaultsFound:
        if what == "rename":
            target.unlink()
        path.write_bytes(text.encode())


@QUICK
@given(ledger=drawn_ledgers.ledgers(), changes=CHANGES)
def test_any_past_goes_round(ledger: drawn_ledgers.Ledger, changes: list[tuple[str, int, str]]) -> None:
    """Revisions, withdrawals, renames, erasures and editions in any order come back by replay with the same head."""
    files = {f"{kind}/{name}": write(front, body) for (kind, name), (front, body) in ledger.items()}
    with folder() as top:
        entries = put(top / "entries", files)
        store = open_store(top / "witness.sqlite")
        post(store, entries, AT)
        for what, number, name in changes:
            refs = list(current(store))
            change(store, entries, what, refs[number % len(refs)], name)
        goes_round(store, entries, top)


@settings(deadline=None, max_examples=150)
@given(data=st.data(), kind=st.sampled_from(sorted(FOLDERS)), body=drawn_words.bodies())
def test_the_record_keeps_what_front_matter_means(data: st.DataObject, kind: str, body: str) -> None:
    """Front matter kept as JSON gives the same entry as reading its text again."""
    text = write(data.draw(drawn_entries.fronts(kind)), body)
    document = read_text(text, FOLDERS[kind], "some-name")
    kept = json.loads(json.dumps(document.front))
    assert MODELS[kind].model_validate(kept, by_alias=True, by_name=False) == document.entry
    assert kept == document.front


ODD = st.sampled_from(
    (None, True, 0, -1, 3, 10**30, 1.5, "", "x", "0" * 64, "\ud800", [], {}, [[]], "erased", "new", "renamed", "reply")
)


def forged(lines: list[dict[str, object]]) -> list[dict[str, object]]:
    """Compute every digest and hash anew, as someone would who means to deceive."""
    previous = START
    for line in lines:
        with suppress(Exception):
            if isinstance(line.get("text"), str):
                line["digest"] = digest(str(line["salt"]), str(line["text"]).encode())
            line["previous"] = previous
            previous = str(line.setdefault("hash", ""))
            previous = line["hash"] = link_hash(line)
    return lines


@settings(deadline=None, max_examples=80, suppress_health_check=list(HealthCheck))
@given(
    edits=st.lists(
        st.tuples(
            st.integers(0, 11), st.sampled_from((*FIELDS, "hash", "salt", "text", "edition", "fingerprint")), ODD
        ),
        min_size=1,
        max_size=2,
    ),
    anew=st.booleans(),
)
def test_a_forged_history_is_refused_or_sound(edits: list[tuple[int, str, object]], anew: bool) -> None:
    """Whatever a history says, posting it ends in faults with nothing posted, or in a store that verifies."""
    with folder() as top:
        entries = put(top / "entries", SMALL)
        store = open_store(top / "witness.sqlite")
        post(store, entries, AT)
        erase(store, "replies/reader-one", AT)
        (entries / "replies/reader-one.md").unlink()
        export(store, entries)
        path = entries / "history.jsonl"
        lines = [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]
        for number, field, value in edits:
            lines[number % len(lines)][field] = value
        path.write_text(
            "".join(json.dumps(line) + "\n" for line in (forged(lines) if anew else lines)), encoding="utf-8"
        )
        empty = open_store(top / "empty.sqlite")
        before = empty.path.read_bytes()
        with suppress(FaultsFound):
            post(empty, entries, AT)
            assert verify(empty).problems == ()
            return
        assert empty.path.read_bytes() == before
