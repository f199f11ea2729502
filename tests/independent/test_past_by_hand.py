"""The confidence over time against sums done by hand, and against the ledger opened at each of its states."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from ledger.casebook.opening import open_casebook
from ledger.casebook.values import Casebook
from ledger.store.engine import open_store
from ledger.store.posting import post
from tests.resolved import CAM, DRUM, FIRST_DAYS, FORKS, NONE, POSTINGS, lay_out
from tests.toys import TOYS

ROOT = Path(__file__).parents[2]
DRAWS = 300


def opened(root: Path) -> Casebook:
    """The casebook of a state, with few draws."""
    return open_casebook(root, register=TOYS, count=DRAWS)


def now(casebook: Casebook) -> dict[str, dict[str, float]]:
    """The present confidences by question and rival."""
    return {
        question: {one.rival: one.confidence for one in weighing.standings}
        for question, weighing in casebook.weighings.items()
    }


def test_each_day_has_the_confidences_worked_out_by_hand(tmp_path: Path) -> None:
    """Priors alone, then with a note, with a criterion that fails, and with one that holds; old names are led on."""
    lay_out(tmp_path)
    course = opened(tmp_path).course()
    assert course.postings == len(POSTINGS)
    assert [one.at for one in course.moments] == list(POSTINGS)
    assert course.lost == ()
    told = {one.at[:10]: one.confidences[FORKS] for one in course.moments}
    for day, wanted in FIRST_DAYS.items():
        assert told[day] == pytest.approx(wanted, abs=1e-12), day


def test_every_moment_is_the_ledger_opened_at_that_state(tmp_path: Path) -> None:
    """Each moment equals, to the last bit, what the ledger of that day says when opened; also the last one."""
    lay_out(tmp_path, copies=True)
    casebook = opened(tmp_path)
    moments = casebook.course().moments
    led_on = {"hypotheses/cam": CAM}
    for number, moment in enumerate(moments):
        then = now(opened(tmp_path / f"state-{number}"))
        assert moment.confidences == {
            question: {led_on.get(rival, rival): share for rival, share in standings.items()}
            for question, standings in then.items()
        }
    assert moments[-1].confidences == now(casebook)


def test_the_present_rebuilt_from_the_record_is_the_present(tmp_path: Path) -> None:
    """The last state, rebuilt from revisions as any earlier one is, equals the casebook to the last bit."""
    lay_out(tmp_path)
    last = list(POSTINGS)[-1]
    before = now(opened(tmp_path))
    more = "---\nkind: decision\ntitle: Build it\nchoice: a drum\ngrounds: [hypotheses/drum]\ntaken: 2031-08-01\n---\n"
    (tmp_path / "entries" / "decisions").mkdir()
    (tmp_path / "entries" / "decisions" / "build.md").write_text(more)
    post(open_store(tmp_path / "witness.sqlite"), tmp_path / "entries", "2031-08-01T09:00:00Z")
    moments = {one.at: one.confidences for one in opened(tmp_path).course().moments}
    assert moments[last] == before


def test_the_demo_at_each_posting_is_its_history_replayed_so_far(tmp_path: Path) -> None:
    """Of the demo, each moment equals what a ledger says into which the history was replayed up to there."""
    lines = (ROOT / "entries" / "history.jsonl").read_bytes().splitlines(keepends=True)
    revisions = [line for line in lines if b'"edition"' not in line]
    ats = [json.loads(line)["at"] for line in revisions]
    kept = [place for place, at in enumerate(ats) if place + 1 == len(ats) or ats[place + 1] != at]
    moments = None
    for end in (kept[-1], *kept[1:4]):
        root = tmp_path / str(end)
        (root / "entries").mkdir(parents=True)
        (root / "entries" / "history.jsonl").write_bytes(b"".join(revisions[: end + 1]))
        post(open_store(root / "witness.sqlite"), root / "entries", "2031-01-01T00:00:00Z")
        casebook = open_casebook(root, count=DRAWS)
        if moments is None:
            course = casebook.course()
            assert course.lost == ()
            moments = {one.seq: one.confidences for one in course.moments}
            renamed = _renamed(revisions)
        wanted = {
            question: {renamed.get(rival, rival): share for rival, share in standings.items()}
            for question, standings in now(casebook).items()
        }
        assert moments[end + 1] == wanted
        shutil.rmtree(root)


def _renamed(revisions: list[bytes]) -> dict[str, str]:
    """Present refs of hypotheses by former ones."""
    said = [json.loads(line) for line in revisions]
    names = {one["entry"]: one["name"] for one in said if one["kind"] == "hypothesis"}
    return {f"hypotheses/{one['name']}": f"hypotheses/{names[one['entry']]}" for one in said if one["entry"] in names}


def test_the_last_word_before_the_answer_is_taken(tmp_path: Path) -> None:
    """Neither what was posted with the answer, nor on the day it was known, nor afterwards is the forecast."""
    lay_out(tmp_path)
    course = opened(tmp_path).course()
    assert course.foretold[FORKS].at == "2031-06-10T09:00:00Z"
    assert course.foretold[FORKS].confidences[FORKS][DRUM] == pytest.approx(0.5064 / 0.7, abs=1e-12)
    assert course.moments[-1].confidences[FORKS][NONE] != course.foretold[FORKS].confidences[FORKS][NONE]
