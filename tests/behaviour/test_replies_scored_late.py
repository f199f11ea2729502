"""Confidences posted after an answer was known are late by the order of the record, whatever their dates say."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from ledger.casebook.foretelling import readers_pool
from ledger.casebook.opening import open_casebook
from ledger.casebook.scores import scores
from ledger.casebook.values import Casebook
from ledger.store.engine import open_store
from ledger.store.export import export
from ledger.store.posting import post
from tests.ledger_files import put
from tests.resolved import CAM, DRUM, FORKS, NONE, POSTINGS, hypothesis, lay_out, reply
from tests.toys import TOYS

Run = Callable[..., tuple[int, str, str]]
LATER = "2031-07-06T09:00:00Z"
SURE = {"drum": 1.0, "face-cam": 0.0}


def opened(root: Path) -> Casebook:
    """The casebook of the ledger there."""
    return open_casebook(root, register=TOYS, count=500)


def readers(casebook: Casebook) -> set[str]:
    """Who is scored as a reader by name."""
    return {one.name for one in scores(casebook).forecasters if one.kind == "reader"}


def late(casebook: Casebook) -> tuple[str, ...]:
    """Which replies are flagged."""
    return scores(casebook).answered[0].late


def test_a_reply_posted_after_the_answer_scores_nothing_whatever_its_date(tmp_path: Path) -> None:
    """Dated weeks before, posted days after: flagged by name, and neither scored nor pooled."""
    store = lay_out(tmp_path)
    before = opened(tmp_path)
    put(tmp_path / "entries", {"replies/prophet": reply("2031-05-02", SURE, "E. Prophet")})
    post(store, tmp_path / "entries", LATER)
    after = opened(tmp_path)
    assert late(before) == ()
    assert late(after) == ("replies/prophet",)
    assert "E. Prophet" not in readers(after)
    assert readers(after) == readers(before)
    assert readers_pool(after, FORKS) == readers_pool(before, FORKS)


def test_what_was_posted_before_the_answer_counts(tmp_path: Path) -> None:
    """In an earlier posting, and in the posting of the answer itself, which is not after it."""
    store = lay_out(tmp_path, 6)
    entries = tmp_path / "entries"
    put(entries, {"replies/prophet": reply("2031-05-02", SURE, "E. Prophet")})
    post(store, entries, "2031-07-01T12:00:00Z")
    at = "2031-07-02T09:00:00Z"
    files = {ref: text for ref, text in POSTINGS[at].items() if text is not None}
    put(entries, {**files, "replies/seer": reply("2031-05-03", SURE, "F. Seer")})
    post(store, entries, at)
    casebook = opened(tmp_path)
    assert late(casebook) == ()
    assert {"E. Prophet", "F. Seer"} <= readers(casebook)


def test_confidences_changed_after_the_answer_are_late(tmp_path: Path) -> None:
    """A reply that was there in time, with other shares, is late by those it has now; other words change nothing."""
    store = lay_out(tmp_path)
    entries = tmp_path / "entries"
    early = POSTINGS["2031-06-10T09:00:00Z"]["replies/late"]
    assert early is not None
    put(entries, {"replies/late": early.replace("unrepeatable", "mended")})
    post(store, entries, LATER)
    assert late(opened(tmp_path)) == ()
    put(entries, {"replies/late": reply("2031-06-05", SURE, "B.  reader")})
    post(store, entries, "2031-07-07T09:00:00Z")
    assert late(opened(tmp_path)) == ("replies/late",)


def test_what_was_taken_back_and_said_again_is_late(tmp_path: Path) -> None:
    """Said in time, unsaid after the answer and then said again: it counts from when it was last said anew."""
    store = lay_out(tmp_path)
    entries = tmp_path / "entries"
    early = POSTINGS["2031-06-10T09:00:00Z"]["replies/late"]
    assert early is not None
    put(entries, {"replies/late": reply("2031-06-05", SURE, "B.  reader")})
    post(store, entries, LATER)
    put(entries, {"replies/late": early})
    post(store, entries, "2031-07-07T09:00:00Z")
    assert late(opened(tmp_path)) == ("replies/late",)


def test_a_rival_renamed_since_makes_nobody_late(tmp_path: Path) -> None:
    """The same shares under the rival's new name are the same shares."""
    store = lay_out(tmp_path)
    entries = tmp_path / "entries"
    for path in entries.rglob("*.md"):
        text = path.read_text("utf-8")
        path.write_text(text.replace("face-cam", "disc-cam"), "utf-8")
    (entries / "hypotheses/face-cam.md").unlink()
    put(entries, {"hypotheses/disc-cam": hypothesis("A face cam", 0.3, "formerly: face-cam\n")})
    post(store, entries, LATER)
    casebook = opened(tmp_path)
    assert late(casebook) == ()
    assert {"B. reader"} <= readers(casebook)


def test_the_order_travels_with_the_history(tmp_path: Path) -> None:
    """A clone flags the same replies."""
    (tmp_path / "first").mkdir()
    store = lay_out(tmp_path / "first")
    entries = tmp_path / "first" / "entries"
    put(entries, {"replies/prophet": reply("2031-05-02", SURE, "E. Prophet")})
    post(store, entries, LATER)
    export(store, entries)
    (tmp_path / "second").mkdir()
    (tmp_path / "second/entries").symlink_to(entries, target_is_directory=True)
    post(open_store(tmp_path / "second/witness.sqlite"), entries, "2031-08-01T09:00:00Z")
    assert late(opened(tmp_path / "second")) == ("replies/prophet",)


def test_an_open_question_has_nobody_late(tmp_path: Path) -> None:
    """While no answer is known, every reply counts; once it is taken back, all count again."""
    lay_out(tmp_path, 5)
    casebook = opened(tmp_path)
    assert casebook.late() == {}
    pool = readers_pool(casebook, FORKS)
    assert pool is not None
    assert set(pool.linear) == {DRUM, CAM, NONE}


def test_the_command_tells_which_are_not_counted(tmp_path: Path, run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    """Beside the forecasts of the question, and in JSON."""
    import json

    from ledger.cli import scoring

    store = lay_out(tmp_path)
    put(tmp_path / "entries", {"replies/prophet": reply("2031-05-02", SURE, "E. Prophet")})
    post(store, tmp_path / "entries", LATER)
    monkeypatch.setattr(scoring, "open_casebook", lambda root: opened(root))
    _, out, _ = run("scores", "--in", tmp_path)
    assert "not counted  replies/prophet: dated before, but posted after the answer was." in out
    _, out, _ = run("scores", "--in", tmp_path, "--json")
    assert json.loads(out)["answered"][0]["late"] == ["replies/prophet"]


def test_the_page_of_scores_names_them(tmp_path: Path) -> None:
    """With a link to each, below the answer."""
    from ledger.publishing.scoring import sheet

    store = lay_out(tmp_path)
    put(tmp_path / "entries", {"replies/prophet": reply("2031-05-02", SURE, "E. Prophet")})
    post(store, tmp_path / "entries", LATER)
    (shown,) = sheet(opened(tmp_path)).questions
    assert [link.href for link in shown.late] == ["replies/prophet.html"]
