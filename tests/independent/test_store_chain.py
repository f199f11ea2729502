"""The chain and the fingerprint computed a second time, from exported files alone, by the rule in words."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

import pytest

from ledger.store.derived import edition
from ledger.store.engine import Store, open_store
from ledger.store.erasing import erase
from ledger.store.export import export
from ledger.store.posting import post
from tests.ledger_files import SMALL, put
from tests.states import fingerprint, head


@pytest.fixture
def entries(tmp_path: Path) -> Path:
    return put(tmp_path / "entries", SMALL)


@pytest.fixture
def store(tmp_path: Path, entries: Path) -> Store:
    """A store with a revision, a withdrawal and an erasure, exported."""
    store = open_store(tmp_path / "witness.sqlite")
    post(store, entries, "2031-05-17T09:00:00Z")
    put(entries, {"evidence/sleeve-groove": SMALL["evidence/sleeve-groove"] + "Größe: 3 µm.\n"})
    put(entries, {"evidence/hiss": SMALL["evidence/hiss"].replace("title:", "withdrawn: A kettle.\ntitle:")})
    post(store, entries, "2031-05-18T09:00:00Z")
    erase(store, "replies/reader-one", "2031-05-19T09:00:00Z")
    (entries / "replies/reader-one.md").unlink()
    edition(store)
    export(store, entries)
    return store


def stated_hash(line: dict[str, object]) -> str:
    """Hash a revision by the rule: the other fields as JSON, keys in order, no spaces, ASCII; written by hand."""

    def said(value: object) -> str:
        return "null" if value is None else str(value) if isinstance(value, int) else f'"{value}"'

    fields = ("action", "at", "digest", "entry", "kind", "name", "previous", "seq")
    return hashlib.sha256(
        ("{" + ",".join(f'"{name}":{said(line[name])}' for name in fields) + "}").encode("ascii")
    ).hexdigest()


def test_the_chain_follows_from_the_exported_history(store: Store, entries: Path) -> None:
    """Every hash, every digest and the head come out the same without the program."""
    previous, digests = "0" * 64, 0
    lines = [json.loads(line) for line in (entries / "history.jsonl").read_text(encoding="utf-8").splitlines()]
    revisions = [line for line in lines if "hash" in line]
    for number, line in enumerate(revisions, 1):
        assert line["seq"] == number
        assert line["previous"] == previous
        assert line["hash"] == stated_hash(line)
        if "text" in line:
            assert line["digest"] == hashlib.sha256((line["salt"] + line["text"]).encode("utf-8")).hexdigest()
            digests += 1
        previous = line["hash"]
    assert previous == head(store)
    assert len(revisions) == len(SMALL) + 3
    assert digests == len(revisions) - 2


def test_a_changed_word_is_seen_by_the_rule(store: Store, entries: Path) -> None:
    """The second method refuses a history in which one letter was changed."""
    line = json.loads((entries / "history.jsonl").read_text(encoding="utf-8").splitlines()[0])
    assert stated_hash(line | {"name": line["name"] + "x"}) != line["hash"]
    assert hashlib.sha256((line["salt"] + line["text"] + "x").encode()).hexdigest() != line["digest"]


def test_the_fingerprint_follows_from_the_files(store: Store, entries: Path) -> None:
    """The fingerprint is sha256 of a JSON list `[ref, text]` and a line feed for each standing file, by ref."""
    total = ""
    for path in sorted(entries.rglob("*.md")):
        text = path.read_text(encoding="utf-8")
        if "\nwithdrawn:" not in text:
            total += json.dumps([path.relative_to(entries).as_posix().removesuffix(".md"), text]) + "\n"
    expected = hashlib.sha256(total.encode()).hexdigest()
    assert fingerprint(store) == expected
    line = json.loads((entries / "history.jsonl").read_text(encoding="utf-8").splitlines()[-1])
    assert line == {"edition": 1, "fingerprint": expected, "seq": len(SMALL) + 3}
