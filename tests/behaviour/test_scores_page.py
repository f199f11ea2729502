"""What pages say of forecasts, of answers, and of how confidences went."""

from __future__ import annotations

import html
import re
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

from ledger.casebook.moments import Course, Lost, Moment
from ledger.casebook.opening import open_casebook
from ledger.casebook.values import Casebook
from ledger.publishing import navigation
from ledger.publishing.addresses import SCORES, Link, Ways, page_of
from ledger.publishing.drawings import reliability, timeline
from ledger.publishing.past import past
from ledger.publishing.rendering import environment
from ledger.weighing.scoring import CalibrationLine
from tests import casebooks
from tests.casebooks import pages_of
from tests.resolved import CAM, DRUM, FORKS, NONE, lay_out
from tests.toys import TOYS


def at(root: Path, postings: int) -> Casebook:
    """The ledger whose past is known by hand, after so many postings."""
    lay_out(root, postings)
    return open_casebook(root, register=TOYS, count=100)


@pytest.fixture(scope="module")
def resolved(tmp_path_factory: pytest.TempPathFactory) -> Casebook:
    """After all postings."""
    return at(tmp_path_factory.mktemp("resolved"), 8)


@pytest.fixture(scope="module")
def made(resolved: Casebook) -> dict[str, str]:
    """All its pages."""
    return pages_of(resolved, TOYS)


def text(page: str) -> str:
    """What a reader reads of a page."""
    page = re.sub(r'<span class="wl-sep">.</span>|<svg.*?</svg>', "", page, flags=re.DOTALL)
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", page)).replace("\N{NO-BREAK SPACE}", " ").split())


def macro(name: str, value: object) -> str:
    """What one of the macros for a question's page gives."""
    return str(getattr(environment().get_template("past.jinja").module, name)(value))


def test_the_page_is_there_when_there_is_something_to_keep_score_of(tmp_path: Path) -> None:
    """Not before a reader or an answer came; then it stands, and the navigation leads to it."""
    for postings, wanted in ((4, False), (5, True)):
        root = tmp_path / str(postings)
        root.mkdir()
        casebook = at(root, postings)
        assert (SCORES in pages_of(casebook, TOYS)) is wanted
        assert (SCORES in navigation.paths(navigation.nav(casebook, TOYS))) is wanted


def test_the_answer_comes_first(made: dict[str, str]) -> None:
    """What the ledger gave the answers, its score, what even shares score, and that one question tells little."""
    said = text(made[SCORES])
    assert "In 1 question whose answer is known by now, the ledger had given the answer 72 % on average." in said
    assert said.index("72 % on average") < said.index("By forecaster") < said.index("Question by question")
    assert "So few questions tell little" in said


def test_infinite_scores_are_told(made: dict[str, str]) -> None:
    """Who gave the answer no chance has an infinite score, and what the others come to stands beside it."""
    said = text(made[SCORES])
    assert "infinite: 1 of 2 gave the answer no chance; 0.74 over the others" in said


def test_words_and_names_without_consent_are_nowhere(made: dict[str, str]) -> None:
    """The reader who did not consent counts, unnamed, and nothing they said or are called is on any page."""
    for page in made.values():
        assert "Hidden" not in page
        assert "Words of C." not in page
        assert "replies/held" not in page
    assert text(made[SCORES]).count("A reader not named") == 2


def test_readers_are_linked_to_what_they_said(made: dict[str, str]) -> None:
    """A named reader's forecast leads to the reply; the question and its answer lead to their pages."""
    page = made[SCORES]
    assert '<a href="replies/late.html">B. reader</a>' in page
    assert '<a href="questions/forks.html">What moves the forks?</a>' in page
    assert '<a href="hypotheses/drum.html">A drum</a>' in page
    assert '<h3 id="forks">' in page


def test_a_question_says_how_it_came_out(resolved: Casebook) -> None:
    """The answer, when and by what, and what the ledger had given it on which day."""
    shown = past(resolved, FORKS, Ways(resolved, page_of(FORKS)))
    said = text(macro("came_out", shown.came_out))
    assert "Resolved. It was A drum , known 2031-07-01: The box was opened." in said
    assert "The ledger had given this 72 % on 2031-06-10" in said
    assert 'href="../scores.html#forks"' in macro("came_out", shown.came_out)


def test_readers_stand_beside_the_ledger(resolved: Casebook) -> None:
    """Of a resolved question both are from before: 72 and 48 %; whoever shut a rival out did so for all."""
    shown = past(resolved, FORKS, Ways(resolved, page_of(FORKS)))
    assert shown.pooled is not None
    rows = {row.rival.words: row for row in shown.pooled.rows}
    assert (rows["A drum"].ledger[:2], rows["A drum"].linear[:2], rows["A drum"].logarithmic[:1]) == ("72", "48", "0")
    assert "4 readers stated confidences before the answer was known" in text(macro("pooled", shown.pooled))


def test_the_course_names_each_line_and_tells_it_in_words_and_numbers(resolved: Casebook) -> None:
    """The drawing has a title and a description, a name beside each line, and the same as a table."""
    shown = past(resolved, FORKS, Ways(resolved, page_of(FORKS)))
    assert shown.course is not None
    drawn = str(shown.course.chart.svg)
    assert 'role="img"' in drawn
    assert "A drum: from 60\N{NO-BREAK SPACE}% to 79\N{NO-BREAK SPACE}%." in drawn
    for name in ("A drum", "A face cam", "None of these"):
        assert f">{name}</text>" in drawn
    assert len(shown.course.chart.grid.rows) == 8
    assert shown.course.marked
    assert "marks the last posting before the answer" in text(macro("course", shown.course))
    assert not re.search(r'(?:fill|stroke)="#', drawn)


def test_one_posting_is_no_course(tmp_path: Path) -> None:
    """With a single moment there is nothing to draw, no answer and no reader to show."""
    casebook = at(tmp_path, 1)
    shown = past(casebook, FORKS, Ways(casebook, page_of(FORKS)))
    assert (shown.course, shown.came_out, shown.pooled) == (None, None, None)
    assert [macro(name, None).strip() for name in ("came_out", "pooled", "course")] == ["", "", ""]


def _course(*days: dict[str, float]) -> Course:
    moments = tuple(Moment(place, f"2031-0{place + 1}-01T09:00:00Z", {FORKS: one}) for place, one in enumerate(days))
    return Course(moments, (Lost(99, "2031-09-01T09:00:00Z", "the words of evidence/x were erased"),), 90)


def test_lost_days_thinning_and_fallen_rivals_are_said() -> None:
    """What is left out is named with its reason; a rival that is none any more has its line, named below."""
    book = replace(
        casebooks.casebook(),
        course=lambda: _course({casebooks.DRUM: 0.5, casebooks.CAM: 0.5}, {casebooks.DRUM: 0.9, NONE: 0.1}),
    )
    shown = past(book, FORKS, Ways(book, page_of(FORKS))).course
    said = text(macro("course", shown))
    assert "What stood on 2031-09-01 cannot be rebuilt and is left out: the words of evidence/x were erased." in said
    assert "Of 90 postings only some are shown" in said
    assert "no rival any more" in said


@pytest.mark.parametrize("end", [0.0, 1 / 9, 0.5, 1.0])
def test_names_never_cover_each_other_or_leave_the_drawing(end: float) -> None:
    """Nine rivals that end at the same height: names are apart by a line each, inside, and marks cannot be smuggled."""
    rivals = {f"hypotheses/r{number}": Link(f"<b>Rival</b> & number {number} of nine", None) for number in range(9)}
    share = dict.fromkeys(rivals, end)
    chart = timeline.draw(FORKS, "Title", _course(share, share).moments, rivals)
    assert chart is not None
    drawn = str(chart.svg)
    tall = float(re.search(r'viewBox="0 0 420 (\d+)"', drawn)[1])
    ys = [float(y) for x, y in re.findall(r'<text x="([\d.]+)" y="([\d.]+)">', drawn) if float(x) > 272]
    assert ys == sorted(ys)
    assert all(after - before >= 14.9 for before, after in pairwise(ys))
    assert ys[0] > 14.9
    assert ys[-1] < tall
    assert "<b>" not in drawn


def test_a_rival_that_came_later_begins_later() -> None:
    """Its line starts at its first posting, and the words say when."""
    rivals = {DRUM: Link("A drum", None), CAM: Link("A cam", None)}
    moments = _course({DRUM: 1.0}, {DRUM: 0.6, CAM: 0.4}).moments
    chart = timeline.draw(FORKS, "Title", moments, rivals)
    assert chart is not None
    assert "A cam: from 40\N{NO-BREAK SPACE}% on 2031-02-01 to" in str(chart.svg)
    assert [cell.words for cell in chart.grid.rows[0]] == ["2031-01-01", "100\N{NO-BREAK SPACE}%", "–"]


def test_the_calibration_picture_is_true_to_its_table() -> None:
    """A mark of 0.25 of which half came true stands a quarter across and half way up, and is told in words."""
    chart = reliability.draw({"One": [CalibrationLine(0.2, 0.3, 4, 0.25, 0.5)], "Other": []})
    assert chart is not None
    assert f'cx="{60 + 320 * 0.25:.1f}" cy="{26 + 320 * 0.5:.1f}" r="9.0"' in chart.svg
    assert "One: 4 chances of 25\N{NO-BREAK SPACE}% on average, 50\N{NO-BREAK SPACE}% of them true." in chart.svg
    assert reliability.draw({"One": []}) is None


def test_a_question_nobody_foretold_says_so(tmp_path: Path) -> None:
    """A question that was resolved from the first posting on has no forecast, and the page says why."""
    casebook = at(tmp_path, 1)
    item = casebook.entries[FORKS]
    from ledger.entries.parts import Resolution

    answered = item.entry.model_copy(update={"resolved": Resolution(answer=DRUM, date="2031", reason="Seen.")})
    casebook = replace(
        casebook,
        entries={**casebook.entries, FORKS: replace(item, entry=answered)},
        course=lambda: Course(unforetold={FORKS: "nothing was posted before"}),
    )
    said = text(pages_of(casebook, TOYS)[SCORES])
    assert "The ledger has no forecast of a question whose answer is known by now." in said
    assert "The ledger has no forecast of it: nothing was posted before." in said
    assert "Nobody said anything of it beforehand." in said
