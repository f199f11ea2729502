"""The confidence over time as it is kept: worked out once, thinned evenly, honest about what cannot be rebuilt."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path
from unittest.mock import patch

import pytest

from ledger.casebook import course as going
from ledger.casebook import record
from ledger.casebook.moments import Course, earliest, latest
from ledger.casebook.opening import open_casebook
from ledger.casebook.verifying import problems
from ledger.store.derived import kept_moments
from ledger.store.engine import Store, open_store
from ledger.store.erasing import erase
from ledger.store.posting import post
from tests.resolved import DRUM, FORKS, POSTINGS, lay_out, note, reply
from tests.toys import TOYS

LATER = "2031-08-01T09:00:00Z"


def course(root: Path, told: list[str] | None = None) -> Course:
    """The course of the ledger in a folder; what had to be computed is added to `told`."""
    said = [] if told is None else told
    return open_casebook(root, register=TOYS, count=200, progress=said.append).course()


def add(root: Path, ref: str, text: str, at: str = LATER) -> Store:
    """Write and post one more entry."""
    path = root / "entries" / f"{ref}.md"
    path.parent.mkdir(exist_ok=True)
    path.write_text(text)
    store = open_store(root / "witness.sqlite")
    post(store, root / "entries", at)
    return store


def test_what_was_worked_out_once_is_not_worked_out_again(tmp_path: Path) -> None:
    """The second time nothing is computed, nothing rebuilt and nothing written; a posting more rebuilds nothing old."""
    store = lay_out(tmp_path)
    told: list[str] = []
    first = course(tmp_path, told)
    assert "calculations/size as of 2031-05-20" in told
    before = store.path.read_bytes()
    told.clear()
    with patch.object(record, "rebuilt", side_effect=AssertionError):
        assert course(tmp_path, told) == first
        assert told == []
        assert store.path.read_bytes() == before
        add(tmp_path, "evidence/more", note("More", 0.6, 0.5))
        again = course(tmp_path)
    assert again.moments[:-1] == first.moments
    assert again.moments[-1].at == LATER


def test_words_of_another_make_are_not_taken(tmp_path: Path) -> None:
    """Kept moments that cannot be read are worked out anew and kept in their place."""
    store = lay_out(tmp_path)
    first = course(tmp_path)
    kept = kept_moments(store)
    with closing(sqlite3.connect(store.path)) as behind, behind:
        behind.execute("UPDATE moment SET confidences = '{}'")
    assert course(tmp_path) == first
    assert kept_moments(store) == kept


def test_ranking_does_not_ask_for_the_past(tmp_path: Path) -> None:
    """A casebook that nobody asks for its course works none out and keeps none."""
    store = lay_out(tmp_path)
    open_casebook(tmp_path, register=TOYS, count=200)
    assert kept_moments(store) == {}


def test_a_ledger_that_cannot_be_written_tells_its_past_all_the_same(tmp_path: Path) -> None:
    """Read-only, the course is worked out, and not kept."""
    store = lay_out(tmp_path)
    with patch("ledger.store.engine.can_write", return_value=False):
        read = course(tmp_path)
    assert kept_moments(store) == {}
    assert read == course(tmp_path)


def test_another_draw_count_is_another_past(tmp_path: Path) -> None:
    """Moments are kept under what went into them: with another number of draws they are worked out anew."""
    store = lay_out(tmp_path)
    course(tmp_path)
    before = kept_moments(store)
    open_casebook(tmp_path, register=TOYS, count=300).course()
    after = kept_moments(store)
    assert before.keys() == after.keys()
    assert all(before[seq][0] != after[seq][0] for seq in before)


def test_moments_whose_words_were_erased_are_left_out_and_said(tmp_path: Path) -> None:
    """A note's words gone: the days it stood are named with the reason, those before and after are there."""
    store = lay_out(tmp_path)
    path = tmp_path / "entries" / "evidence" / "opened.md"
    erase(store, "evidence/opened", LATER)
    path.unlink()
    assert kept_moments(store) == {}
    add(tmp_path, "evidence/more", note("More", 0.6, 0.5), "2031-08-02T09:00:00Z")
    found = course(tmp_path)
    assert [one.at[:10] for one in found.lost] == ["2031-07-02", "2031-07-05"]
    assert {one.why for one in found.lost} == {"the words of evidence/opened were erased"}
    assert [one.at for one in found.moments] == [*list(POSTINGS)[:-2], LATER, "2031-08-02T09:00:00Z"]
    assert found.foretold[FORKS].at[:10] == "2031-06-10"


def test_only_days_on_which_the_words_counted_are_lost(tmp_path: Path) -> None:
    """A note withdrawn before it was erased costs the days before its withdrawal, and none after its erasure."""
    lay_out(tmp_path, 2)
    text = note("Gone", 0.9, 0.1, "cam")
    add(tmp_path, "evidence/gone", text, "2031-06-01T09:00:00Z")
    withdrawn = text.replace("title:", "withdrawn: A mistake.\ntitle:")
    store = add(tmp_path, "evidence/gone", withdrawn, "2031-06-02T09:00:00Z")
    add(tmp_path, "evidence/more", note("More", 0.6, 0.5, "cam"), "2031-06-03T09:00:00Z")
    (tmp_path / "entries" / "evidence" / "gone.md").unlink()
    erase(store, "evidence/gone", "2031-06-04T09:00:00Z")
    add(tmp_path, "evidence/last", note("Last", 0.6, 0.5, "cam"), "2031-06-05T09:00:00Z")
    found = course(tmp_path)
    assert [one.at[:10] for one in found.lost] == ["2031-06-01"]
    told = {one.at[:10]: one.confidences[FORKS] for one in found.moments}
    assert told["2031-06-02"] == told["2031-05-10"]
    assert told["2031-06-04"] == told["2031-06-03"]


def test_what_was_withdrawn_from_the_first_never_counted(tmp_path: Path) -> None:
    """A note posted as withdrawn leaves every confidence where it was, then and later."""
    lay_out(tmp_path, 2)
    withdrawn = note("Never", 0.9, 0.1, "cam").replace("title:", "withdrawn: A mistake.\ntitle:")
    add(tmp_path, "evidence/never", withdrawn, "2031-06-01T09:00:00Z")
    add(tmp_path, "replies/one", reply("2031-06-02", {"drum": 0, "cam": 1}), "2031-06-02T09:00:00Z")
    _, noted, never, last = course(tmp_path).moments
    assert never.confidences == noted.confidences == last.confidences


def test_the_course_is_worked_out_once_a_casebook(tmp_path: Path) -> None:
    """Asked again, the same casebook gives the same values and does not look at the store."""
    lay_out(tmp_path, 2)
    casebook = open_casebook(tmp_path, register=TOYS, count=200)
    assert casebook.course() is casebook.course()


def test_a_readers_words_may_be_erased_and_the_past_stands(tmp_path: Path) -> None:
    """No confidence stands on a reply, so no moment is lost with it."""
    store = lay_out(tmp_path)
    before = course(tmp_path)
    (tmp_path / "entries" / "replies" / "held.md").unlink()
    erase(store, "replies/held", LATER)
    after = course(tmp_path)
    assert after.lost == ()
    assert after.moments[:-1] == before.moments


def test_a_forecast_whose_words_are_gone_is_no_forecast(tmp_path: Path) -> None:
    """If the state before the answer cannot be rebuilt, that is said instead of another state being taken for it."""
    lay_out(tmp_path, 5)
    store = add(tmp_path, "evidence/gone", note("Gone", 0.9, 0.1), "2031-06-20T09:00:00Z")
    resolved = "resolved:\n  answer: drum\n  date: 2031-07-01\n  reason: It was opened.\n"
    question = f"---\nkind: question\ntitle: What moves the forks?\n{resolved}---\n"
    add(tmp_path, "questions/forks", question, "2031-07-02T09:00:00Z")
    assert course(tmp_path).foretold[FORKS].at[:10] == "2031-06-20"
    (tmp_path / "entries" / "evidence" / "gone.md").unlink()
    erase(store, "evidence/gone", LATER)
    found = course(tmp_path)
    assert FORKS not in found.foretold
    assert "evidence/gone were erased" in found.unforetold[FORKS]


@pytest.mark.parametrize(("date", "wanted"), [("2031-06-10", "2031-06-01"), ("2031-06", "2031-05-20"), ("2031", None)])
def test_a_date_known_to_the_month_counts_from_its_first_day(tmp_path: Path, date: str, wanted: str | None) -> None:
    """What was posted on a day that may already have been after the answer is no forecast."""
    lay_out(tmp_path, 5)
    resolved = f"resolved:\n  answer: drum\n  date: {date}\n  reason: It was opened.\n"
    add(tmp_path, "questions/forks", f"---\nkind: question\ntitle: What moves the forks?\n{resolved}---\n")
    found = course(tmp_path)
    if wanted is None:
        assert found.unforetold[FORKS] == "nothing was posted before 2031-01-01, when the answer was known"
    else:
        assert found.foretold[FORKS].at[:10] == wanted


def test_an_answer_taken_back_counts_from_when_it_was_given_again(tmp_path: Path) -> None:
    """The forecast is from before the answer that has stood ever since; a better reason later changes nothing."""
    lay_out(tmp_path, 5)
    plain = "---\nkind: question\ntitle: What moves the forks?\n{}---\n"
    answer = "resolved:\n  answer: {}\n  date: 2031-07-30\n  reason: {}\n"
    for at, said in (
        ("2031-07-01T09:00:00Z", answer.format("drum", "Seen.")),
        ("2031-07-03T09:00:00Z", ""),
        ("2031-07-05T09:00:00Z", answer.format("face-cam", "Seen again.")),
        ("2031-07-07T09:00:00Z", answer.format("face-cam", "Measured, too.")),
    ):
        add(tmp_path, "questions/forks", plain.format(said), at)
    assert course(tmp_path).foretold[FORKS].at == "2031-07-03T09:00:00Z"


def test_many_postings_are_thinned_evenly_and_steadily() -> None:
    """At most some forty are shown, one in 1, 2, 4 …; the last always; growth brings no old one anew."""
    shown: set[int] = set()
    for count in range(1, 400):
        now = going._thinned(count)
        assert count - 1 in now
        assert len(now) <= going.MOST + 1
        steps = {after - before for before, after in zip(sorted(now), sorted(now)[1:-1], strict=False)}
        assert len(steps) <= 1
        assert now <= shown | {count - 1}
        shown = now


def test_postings_of_one_time_are_one_moment_even_when_the_clock_goes_back(tmp_path: Path) -> None:
    """Moments follow the record, not the clock."""
    lay_out(tmp_path, 2)
    add(tmp_path, "evidence/more", note("More", 0.6, 0.5, "cam"), "2031-04-01T09:00:00Z")
    found = course(tmp_path)
    assert [one.at[:10] for one in found.moments] == ["2031-05-01", "2031-05-10", "2031-04-01"]
    assert found.moments[0].confidences[FORKS][DRUM] == pytest.approx(0.6)


def test_a_changed_moment_in_the_store_is_found(tmp_path: Path) -> None:
    """`witness check` works every kept moment out again; one that was changed by hand is named."""
    store = lay_out(tmp_path)
    course(tmp_path)
    assert [one for one in problems(tmp_path, register=TOYS, count=200) if one.severity == "wrong"] == []
    with closing(sqlite3.connect(store.path)) as shell, shell:
        shell.execute("UPDATE moment SET confidences = replace(confidences, '0.6', '0.7') WHERE seq = 5")
    (wrong,) = [one.message for one in problems(tmp_path, register=TOYS, count=200) if one.severity == "wrong"]
    assert "2031-05-01T09:00:00Z" in wrong
    assert "empty the table `moment`" in wrong


def test_words_that_are_no_entry_any_more_lose_their_moment(tmp_path: Path) -> None:
    """Should a later program read more strictly, old words it cannot read are named, and later states stand."""
    lay_out(tmp_path)
    from ledger.casebook import rebuilding
    from ledger.entries.reading import read_text

    def stricter(text: str, folder: str, name: str):
        return read_text(text.replace("credibility: 1\nbearing:\n  drum: 0.9\n  cam", "x: 1\n  cam"), folder, name)

    with patch.object(rebuilding, "read_text", stricter):
        found = course(tmp_path)
    assert [one.at[:10] for one in found.lost] == ["2031-05-10", "2031-05-20"]
    assert "evidence/groove are no entry any more" in found.lost[0].why


def test_dates_stand_for_all_their_days() -> None:
    """A year begins with January and ends with December."""
    assert [earliest(one) for one in ("2031", "2031-05", "2031-05-17")] == ["2031-01-01", "2031-05-01", "2031-05-17"]
    assert [latest(one) for one in ("2031", "2031-05", "2031-05-17")] == ["2031-12-31", "2031-05-31", "2031-05-17"]


def test_replies_are_not_weighed(tmp_path: Path) -> None:
    """A posting of replies alone leaves every confidence where it was."""
    lay_out(tmp_path, 4)
    add(tmp_path, "replies/one", reply("2031-06-02", {"drum": 0, "face-cam": 1}))
    moments = course(tmp_path).moments
    assert moments[-1].confidences == moments[-2].confidences
