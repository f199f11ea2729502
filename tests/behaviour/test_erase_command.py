"""Erasing on request, at a terminal: asked first, told what remains, and not a byte of the words left in the ledger."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from pathlib import Path

import pytest

from ledger.store.derived import (
    Cached,
    Confidence,
    cached_results,
    confidences,
    kept_moments,
    put_results,
    replace_confidences,
    replace_moments,
)
from ledger.store.engine import open_store
from ledger.store.export import export
from ledger.store.posting import post
from ledger.store.records import history
from ledger.store.verifying import verify
from tests.ledger_files import SMALL, put
from tests.states import head

Run = Callable[..., tuple[int, str, str]]
REF, SECRET = "replies/reader-one", b"C. Reader"
AT = "2031-06-01T09:00:00Z"


@pytest.fixture
def case(tmp_path: Path) -> Path:
    """A small ledger, posted."""
    put(tmp_path / "entries", SMALL)
    post(open_store(tmp_path / "witness.sqlite"), tmp_path / "entries", AT)
    return tmp_path


def test_words_are_erased_and_the_rest_stands(run: Run, case: Path) -> None:
    """The file and every byte of the words go; name and hashes stay, the chain verifies, what is left to do is told."""
    export(open_store(case / "witness.sqlite"), case / "entries")
    code, out, _ = run("erase", REF, "--reason", "asked by the writer", "--yes", "--in", case)
    assert code == 0
    assert "1 revisions of replies/reader-one have no words any more; its file is gone." in out
    for words in ("What remains: the name", "the chain still verifies", "`witness export`", "version control"):
        assert words in out
    assert not (case / "entries" / f"{REF}.md").exists()
    assert all(SECRET not in path.read_bytes() for path in case.glob("witness.sqlite*"))
    assert verify(open_store(case / "witness.sqlite")).sound
    assert SECRET in (case / "entries/history.jsonl").read_bytes()
    assert run("export", "--in", case)[0] == 0
    assert SECRET not in (case / "entries/history.jsonl").read_bytes()
    assert run("post", "--in", case)[0] == 0


def test_nothing_that_was_worked_out_from_the_words_stays(run: Run, case: Path) -> None:
    """Results, weighings, confidences and moments may quote them: all are gone, to be worked out again."""
    store = open_store(case / "witness.sqlite")
    put_results(store, {"calculations/mass": Cached("key", '{"reason": "as the reader says"}', b"")})
    replace_confidences(store, [Confidence("questions/forks", "hypotheses/drum", 0.5, 0.5, None, None, 1)])
    replace_moments(store, {1: ("key", "{}")})
    assert run("erase", REF, "--reason", "asked by the writer", "--yes", "--in", case)[0] == 0
    assert (cached_results(store), confidences(store), kept_moments(store)) == ({}, (), {})


def test_the_reason_is_kept_and_travels_with_the_history(run: Run, case: Path, tmp_path: Path) -> None:
    """`history` shows it, the export has it on the line of the erasure, and a clone has it too, with the same head."""
    run("erase", REF, "--reason", "asked by\nthe writer", "--yes", "--in", case)
    _, out, _ = run("history", REF, "--in", case)
    assert "erased: asked by the writer" in out
    store = open_store(case / "witness.sqlite")
    export(store, case / "entries")
    lines = [json.loads(line) for line in (case / "entries/history.jsonl").read_text("utf-8").splitlines()]
    assert [line.get("reason") for line in lines if line.get("action") == "erased"] == ["asked by the writer"]
    assert all("reason" not in line for line in lines if line.get("action") != "erased")
    clone = open_store(tmp_path / "clone.sqlite")
    post(clone, case / "entries", AT)
    assert history(clone, REF)[-1].reason == "asked by the writer"
    assert (head(clone), verify(clone).problems) == (head(store), ())


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('"reason":"asked"', '"reason":" "'),
        ('"reason":"asked"', '"reason":7'),
        ('"action":"new",', '"action":"new","reason":"why",'),
    ],
)
def test_a_reason_out_of_place_in_a_history_is_refused(run: Run, case: Path, old: str, new: str) -> None:
    """Of an erasure alone, and some words."""
    run("erase", REF, "--reason", "asked", "--yes", "--in", case)
    export(open_store(case / "witness.sqlite"), case / "entries")
    path = case / "entries/history.jsonl"
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), "utf-8")
    (case / "witness.sqlite").unlink()
    code, _, err = run("post", "--in", case)
    assert code == 1
    assert "`reason` is out of bounds" in err


def test_it_asks_first(run: Run, case: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A no, and nobody to answer, leave everything; a yes does it."""
    for answer, code in (("n\n", 1), ("", 1), ("y\n", 0)):
        monkeypatch.setattr("sys.stdin", io.StringIO(answer))
        assert run("erase", REF, "--reason", "asked", "--in", case)[0] == code
        assert (case / "entries" / f"{REF}.md").exists() is bool(code)


def test_what_cannot_be_erased_is_told(run: Run, case: Path) -> None:
    """What others refer to, the investigation, a name that is none, no reason: told, and nothing is changed."""
    before = (case / "witness.sqlite").read_bytes()
    for ref, reason, said in (
        ("sources/bench-left", "asked", "no reference to it"),
        ("investigation/gearbox", "asked", "any other entry"),
        ("replies/reader-onne", "asked", "Nearest: replies/reader-one"),
        (REF, "  ", "why the words go"),
    ):
        code, _, err = run("erase", ref, "--reason", reason, "--yes", "--in", case)
        assert (code, said in err) == (1, True)
    assert (case / "witness.sqlite").read_bytes() == before
    assert (case / "entries" / f"{REF}.md").exists()


def test_erasing_again_finishes_what_was_left(run: Run, case: Path) -> None:
    """A file that came back is taken away; copies of the ledger from before are named."""
    run("erase", REF, "--reason", "asked", "--yes", "--in", case)
    put(case / "entries", {REF: SMALL[REF]})
    (case / "witness.sqlite.before-v2").write_bytes(b"old")
    code, out, _ = run("erase", REF, "--reason", "asked", "--yes", "--in", case)
    assert code == 0
    assert "its file is gone" in out
    assert "witness.sqlite.before-v2: it is a copy of the ledger" in out
    assert run("post", "--in", case)[0] == 0


def test_a_reply_that_was_received_is_named(run: Run, case: Path, tmp_path: Path) -> None:
    """Its words stand with what was received too, and how to forget them there is said."""
    from tests.intakes import reply

    path = tmp_path / "reply.json"
    path.write_text(json.dumps(reply(1, text="Unrepeatable.", confidences={})))
    run("replies", "read", path, "--in", case)
    run("replies", "accept", reply(1)["id"], "--in", case)
    run("post", "--in", case)
    code, out, _ = run("erase", "replies/unrepeatable", "--reason", "asked", "--yes", "--in", case)
    assert code == 0
    assert f"`witness replies forget {reply(1)['id'][:8]}`" in out


def test_a_reply_s_words_can_be_forgotten_first_and_erased_then(run: Run, case: Path, tmp_path: Path) -> None:
    """In either order; of the reader nothing is left in stores, entries and history, not even in the name of a file."""
    from tests.intakes import reply

    path = tmp_path / "reply.json"
    given = reply(1, text="Unrepeatable.", name="Odalinde Quist", stance="new-evidence", confidences={})
    path.write_text(json.dumps(given))
    run("replies", "read", path, "--in", case)
    _, out, _ = run("replies", "accept", given["id"], "--in", case, "--json")
    written = json.loads(out)["written"]
    run("post", "--in", case)
    assert run("replies", "forget", given["id"], "--reason", "asked", "--yes", "--in", case)[0] == 0
    # The note names the source, so that it goes first.
    for ref in sorted(one.removeprefix("entries/").removesuffix(".md") for one in written):
        code, out, err = run("erase", ref, "--reason", "asked", "--yes", "--in", case)
        assert (code, "witness replies forget" in out, err) == (0, False, "")
    assert run("export", "--in", case)[0] == 0
    assert run("post", "--in", case)[0] == 0
    assert verify(open_store(case / "witness.sqlite")).sound
    path.unlink()
    for file in (one for one in case.rglob("*") if one.is_file()):
        assert not any(words in file.read_bytes().lower() for words in (b"odalinde", b"quist"))
        assert b"Unrepeatable" not in file.read_bytes()
        assert "quist" not in file.name
