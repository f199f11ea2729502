"""What the pages say that a stranger meets first: gauges, the most telling notes with pictures, and what changed."""

from __future__ import annotations

import html
import re
from dataclasses import replace

import pytest

from ledger.casebook.editions import Change, Published
from ledger.casebook.items import Edition
from ledger.casebook.values import Casebook
from ledger.publishing.drawings.gauge import WIDTH, draw, ends, share
from ledger.quantities.notation import parse
from ledger.quantities.summary import Summary
from ledger.weighing.values import NONE
from tests import casebook_entries, casebooks
from tests.casebook_calculators import REGISTER
from tests.casebooks import CAM, DRUM, FORKS, RAMS, pages_of


def text(page: str) -> str:
    """Return what a reader reads of a page."""
    page = re.sub(r'<span class="wl-sep">.</span>', "", page)
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", page)).replace("\N{NO-BREAK SPACE}", " ").split())


@pytest.fixture(scope="module")
def page() -> str:
    """The comparison page of the hand-made casebook."""
    return pages_of(casebooks.casebook(), REGISTER)[f"{FORKS}.md"]


def at(drawing: str, what: str) -> tuple[float, float]:
    """Return where the first rectangle of a class begins and ends."""
    left, width = re.search(rf'<rect class="{what}" x="([\d.]+)"[^>]*width="([\d.]+)"', drawing).groups()  # type: ignore[union-attr]
    return float(left), float(left) + float(width)


def dot(drawing: str) -> float:
    """Return where the estimate's dot stands."""
    return float(re.search(r'<circle[^>]*cx="([\d.]+)"', drawing)[1])  # type: ignore[index]


@pytest.mark.parametrize(
    ("value", "limit", "beyond"), [(50.0, 62.0, False), (70.0, 62.0, True), (-3.0, -8.0, True), (0.001, 0.004, False)]
)
def test_a_dot_stands_on_forbidden_ground_when_its_number_is_too_great(
    value: float, limit: float, beyond: bool
) -> None:
    """Ground above a greatest limit is hatched from the limit to the edge; everything is in proportion."""
    drawing = draw((value - 1e-4, value, value + 1e-4), "mm", ceiling=(limit, limit, limit))
    left, right = at(drawing, "wl-gauge-past")
    assert right == pytest.approx(WIDTH, abs=0.1)
    assert (dot(drawing) > left) is beyond
    mirrored = draw((-value - 1e-4, -value, -value + 1e-4), "mm", floor=(-limit, -limit, -limit))
    low, high = at(mirrored, "wl-gauge-past")
    assert low == 0
    assert (dot(mirrored) < high) is beyond
    assert high == pytest.approx(WIDTH - left, abs=0.2)


def test_intervals_lie_in_proportion() -> None:
    """Value, soft limit and measured band keep their distances: twice as far in the number is twice as far drawn."""
    drawing = draw((10.0, 20.0, 40.0), "mm", ceiling=(45.0, 50.0, 55.0), band=(12.0, 16.0, 20.0))
    line = re.search(r'wl-gauge-line[^"]*" d="M([\d.]+) \d+H([\d.]+)"', drawing)
    assert line is not None
    scale = (float(line[2]) - float(line[1])) / 30
    soft, band = at(drawing, "wl-gauge-soft"), at(drawing, "wl-gauge-band")
    assert soft[1] - soft[0] == pytest.approx(10 * scale, abs=0.3)
    assert band[0] - float(line[1]) == pytest.approx(2 * scale, abs=0.3)
    assert dot(drawing) - float(line[1]) == pytest.approx(10 * scale, abs=0.3)


def test_a_single_number_that_equals_its_limit_can_be_drawn() -> None:
    """Exact numbers, also nought against nought, have a drawing without a place that is no number."""
    for number in (0.0, 5.0, -2e9):
        drawing = draw((number,) * 3, "", floor=(number,) * 3)
        assert "nan" not in drawing
        assert 0 <= dot(drawing) <= WIDTH
    assert at(share(0.25, "against"), "wl-gauge-some") == (0.0, WIDTH / 4)


def test_ends_of_a_quantity_hold_what_its_notation_says() -> None:
    """± covers 95 % and is drawn as written; a range is drawn whole; an exact number is a point."""
    assert ends(parse("62 ± 3 mm")) == pytest.approx((59, 62, 65), abs=0.001)
    assert ends(parse("55..68 mm")) == (55, 61.5, 68)
    assert ends(parse("30: 0.2, 31: 0.7, 32: 0.1")) == (30, 31, 32)
    assert ends(parse("62 mm")) == (62, 62, 62)


def test_what_fails_stands_first_among_the_gauges(page: str) -> None:
    """A limit kept in no draw comes before one that is kept; each says whose number it is and where it comes from."""
    section = page.partition("## Numbers against their limits")[2].partition("## Every note")[0]
    cards = re.findall(r'<li class="wl-gauge-card">(.*?)</li>', section)
    said = [text(card) for card in cards]
    assert "kept in none" in said[0]
    assert casebook_entries.FRONTS[CAM]["title"] in said[0]
    assert any("Fits into one turn" in one and "93 %" in one for one in said)
    assert all(card.count("<svg") == 1 and 'aria-hidden="true"' in card for card in cards)
    assert 'href="../calculations/cam-length.html"' in cards[0]
    assert "Turning shafts draw in cloth" in text(section)


def test_the_most_telling_notes_stand_first_with_both_weights(page: str) -> None:
    """Cards are ordered by how far apart a note moves the first two rivals, as the table of all weights has them."""
    weighing = casebooks.casebook().weighings[FORKS]
    first, second = DRUM, NONE
    order = sorted(
        (ref for ref in weighing.weights if not ref.startswith(("sources/", "questions/"))),
        key=lambda ref: -abs(weighing.weights[ref].get(first, 0) - weighing.weights[ref].get(second, 0)),
    )
    cards = page.partition('<ol class="wl-weighty">')[2].partition("</ol>")[0]
    named = re.findall(r'wl-weighty-top"><a href="\.\./([a-z]+/[a-z-]+)\.html', cards)
    apart = [abs(weighing.weights[ref].get(first, 0) - weighing.weights[ref].get(second, 0)) for ref in named]
    wanted = [abs(weighing.weights[ref].get(first, 0) - weighing.weights[ref].get(second, 0)) for ref in order[:3]]
    assert apart == pytest.approx(wanted)
    assert cards.count("None of these") == 3


def edition(number: int, shares: dict[str, float], *changes: Change) -> Published:
    """Return an edition in which the question of the forks stands so."""
    return Published(number, f"{number}" * 64, number, f"2031-0{number}-01T00:00:00Z", changes, {FORKS: shares}, {})


def since(*published: Published) -> tuple[str, str]:
    """Return the comparison page and the front page of a casebook with these editions."""
    latest = Edition(published[-1].number, published[-1].fingerprint)
    book: Casebook = replace(casebooks.casebook(), editions=lambda: published, edition=latest)
    made = pages_of(book, REGISTER)
    return text(made[f"{FORKS}.md"]), text(made["index.md"])


def test_a_page_says_what_the_latest_edition_changed() -> None:
    """An answer that moved or turned is told with what it was before, one that stayed as such, and what touched it."""
    then, now = {DRUM: 0.6, RAMS: 0.4}, {DRUM: 0.78, RAMS: 0.22}
    news = Change("evidence/no-pipes", "evidence", "No pipe", "revised")
    aside = Change("questions/reverse", "question", "Reverse", "new")
    question, home = since(edition(1, then), edition(2, now, news, aside))
    assert "Edition 2 : it was 60 % before." in question
    assert "What it changed here: 1" in question
    assert "2031-02-01: 2 entries changed, and these answers moved:" in home
    assert "78 % (before: 60 %)" in home
    question, _ = since(edition(1, {DRUM: 0.4, RAMS: 0.6}), edition(2, now))
    assert f"before it, {casebook_entries.FRONTS[RAMS]['title']}, 60 % stood highest" in question
    question, home = since(edition(1, now), edition(2, now, aside))
    assert "Edition 2 left this answer where it was." in question
    assert "1 entry changed, and every answer stayed where it was." in home


def test_a_first_edition_claims_no_change() -> None:
    """With no edition before it nothing is said to have changed."""
    for said in since(edition(1, {DRUM: 0.7, RAMS: 0.3})):
        assert "What changed" not in said
        assert "left this answer" not in said


def test_a_gauge_that_is_open_is_neither_green_nor_red() -> None:
    """A limit kept in 62 % of the draws is called open in a neutral colour, wherever its dot stands."""
    book = casebooks.casebook()
    result = book.results["calculations/cam-length"]
    open_ = replace(result, kept=(replace(result.kept[0], chance=0.62),))
    made = pages_of(replace(book, results={**book.results, result.ref: open_}), REGISTER)[f"{result.ref}.md"]
    card = re.search(r'<li class="wl-gauge-card">.*?</li>', made, re.DOTALL)
    assert card is not None
    assert "wl-gauge-open" in card[0]
    assert not re.search("wl-gauge-good|wl-gauge-bad|wl-for|wl-against", card[0])
    assert "open , kept in 62 % of the draws" in text(card[0])
    assert "missed: in 5 % or fewer" in text(made)


@pytest.mark.parametrize(("uncertainty", "said"), [(48.0, True), (30.0, False)])
def test_a_chance_of_two_ends_says_so(uncertainty: float, said: bool) -> None:
    """A chance that is nearly 0 or 100 in each draw has nearly the greatest variance its mean allows, and says so."""
    book = casebooks.casebook()
    result = book.results["calculations/cam-length"]
    chance = replace(result.outcomes[0], unit="%", summary=Summary(62.0, uncertainty, 0.0, 100.0))
    changed = replace(book, results={**book.results, result.ref: replace(result, outcomes=(chance,))})
    assert ("nearly 0 or nearly 100" in text(pages_of(changed, REGISTER)[f"{result.ref}.md"])) is said
