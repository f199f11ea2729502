"""Numbers on pages: their ground, their digits, whether a criterion is kept, what is predicted, which doubt matters."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from ledger.calculators.contract import Number, Rows, Text
from ledger.calculators.results import Bound, Outcome, Result, Share
from ledger.casebook.values import Casebook
from ledger.entries.models import Calculation
from ledger.entries.parts import Observed
from ledger.publishing import declaring, figures
from ledger.quantities.summary import Summary
from tests import casebook_entries, casebooks
from tests.behaviour.test_pages import text
from tests.casebook_calculators import REGISTER
from tests.casebooks import CAM, FORKS, pages_of

LENGTH, CAM_LENGTH, STATES = "calculations/drum-length", "calculations/cam-length", "calculations/drum-states"


def with_result(ref: str, **changes: object) -> Casebook:
    """Return the casebook with one result changed."""
    book = casebooks.casebook()
    return replace(book, results={**book.results, ref: replace(book.results[ref], **changes)})  # type: ignore[arg-type]


def with_entry(book: Casebook, ref: str, **changes: object) -> Casebook:
    """Return a casebook with one entry's front matter changed."""
    item = book.entries[ref]
    return replace(book, entries={**book.entries, ref: replace(item, entry=item.entry.model_copy(update=changes))})


def rows(result: Result, *cells: dict[str, object]) -> tuple[Bound, ...]:
    """Return a result's inputs with the rows of its first replaced."""
    return (replace(result.inputs[0], rows=cells), *result.inputs[1:])


def test_a_cell_taken_from_an_entry_shows_its_value_and_leads_there() -> None:
    """A reference in a row shows what it stands for and links to the entry; none is left as it was written."""
    result = casebooks.casebook().results[CAM_LENGTH]
    given = rows(
        result,
        {"part": "boss", "length": "measurements/hub-width"},
        {"part": "drum", "length": "calculations/drum-length#length"},
    )
    page = pages_of(with_result(CAM_LENGTH, inputs=given), REGISTER)["calculations/cam-length.md"]
    assert '<a href="../measurements/hub-width.html">62 ± 3 mm</a>' in page
    assert '<a href="drum-length.html">54.4 (52.1…56.6) mm</a>' in page or '<a href="drum-length.html">54.4 ±' in page
    assert "calculations/drum-length#length" not in text(page).partition("What goes in")[2].partition("As written")[0]
    assert "measurements/hub-width" not in text(page)


def test_a_cell_that_leads_nowhere_is_marked() -> None:
    """A reference to what is not in the ledger keeps its name and is marked."""
    result = casebooks.casebook().results[CAM_LENGTH]
    given = rows(result, {"part": "boss", "length": "measurements/nowhere"})
    page = pages_of(with_result(CAM_LENGTH, inputs=given), REGISTER)["calculations/cam-length.md"]
    assert "measurements/nowhere (not in the ledger)" in text(page)


def test_a_long_table_is_folded_and_says_how_long_it_is() -> None:
    """A table of over twelve cells is folded under its name and number of rows; one of twelve stands open."""
    for count, folded in ((12, False), (13, True)):
        table = tuple({"position": place} for place in range(count))
        made = with_result(STATES, outcomes=(Outcome("table", "Positions in order", "", "rows", value=table),))
        page = re.sub(r'<span class="wl-sep">.</span>', "", pages_of(made, REGISTER)["calculations/drum-states.md"])
        assert ("<summary><strong>Positions in order</strong>, 13 rows</summary>" in page) is folded
        assert ("<h3>Positions in order</h3>" in page) is not folded


def test_a_row_is_named_by_what_tells_rows_apart() -> None:
    """Rows that begin alike are named by their second cell; what is empty is marked, so that a card leaves it out."""
    table = ({"layout": "this", "part": "boss", "note": ""}, {"layout": "this", "part": "drum", "note": "turned"})
    made = with_result(STATES, outcomes=(Outcome("table", "Parts", "", "rows", value=table),))
    page = pages_of(made, REGISTER)["calculations/drum-states.md"]
    assert '<th scope="row" data-label="part">boss' in page
    assert '<td data-label="layout">this' in page
    assert '<td data-label="note" class="wl-empty">' in page
    alone = with_result(STATES, outcomes=(Outcome("table", "Parts", "", "rows", value=table[:1]),))
    assert '<th scope="row" data-label="layout">this' in pages_of(alone, REGISTER)["calculations/drum-states.md"]


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (5.27831, "5.278"),
        (32.3042, "32.3"),
        (12345.678, "12346"),
        (30305.0, "30305"),
        (7.0, "7"),
        (-0.00123456, "−0.001235"),
        (1234567.8, "1234568"),
    ],
)
def test_numbers_without_doubt_have_few_digits(value: float, said: str) -> None:
    """A number without doubt has four digits that count, and never loses a whole unit."""
    assert figures.number(value) == said


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("-3 ± 1 mm", "−3 ± 1 mm"),
        ("20 +0/-0.05 mm", "20 +0/−0.05 mm"),
        ("-3..-1 mm", "−3..−1 mm"),
        ("2031-04-11", "2031-04-11"),
        ("face-cam-2", "face-cam-2"),
    ],
)
def test_one_minus_everywhere(written: str, said: str) -> None:
    """Numbers below nought have a proper minus; hyphens of names and dates stay."""
    assert figures.minus(written) == said


def test_a_criterion_without_any_doubt_is_kept_or_not() -> None:
    """Where neither inputs nor limits are in doubt the page says yes or no, and speaks of no draws."""
    exact = Summary(54.4, 0.0, 54.4, 54.4)
    result = casebooks.casebook().results[LENGTH]
    inputs = rows(result, {"part": "land", "length": "54 mm"})
    made = with_result(
        LENGTH,
        inputs=inputs,
        outcomes=(Outcome("length", "Length in all", "mm", "number", exact),),
        kept=(replace(result.kept[0], limit="at most 62 mm", chance=1.0),),
    )
    entry = made.entries[LENGTH].entry
    assert isinstance(entry, Calculation)
    soft = text(pages_of(made, REGISTER)["calculations/drum-length.md"])
    assert "at most 62 mm: kept in all draws" in soft
    limit = entry.criteria[0].model_copy(update={"at_most": casebooks.item(
        "measurements/x", {**casebook_entries.FRONTS["measurements/hub-width"], "quantity": "62 mm"}
    ).entry.quantity})  # type: ignore[union-attr]  # fmt: skip
    firm = text(pages_of(with_entry(made, LENGTH, criteria=[limit]), REGISTER)["calculations/drum-length.md"])
    assert "54.4 mm ; at most 62 mm: yes" in firm
    assert "draws" not in firm.partition("Criteria")[2].partition("What comes out")[0]


def test_two_chances_of_what_is_chosen_are_both_named() -> None:
    """Where an input is chosen, both what some setting keeps and what the best single one keeps are shown."""
    said = text(pages_of(casebooks.casebook(), REGISTER)["hypotheses/drum.md"])
    assert "some setting keeps all criteria in 93 % of the draws" in said
    assert "The best single setting (Angle between positions: 45 deg) in" in said
    reading = text(pages_of(casebooks.casebook(), REGISTER)["reading.md"])
    assert "Inputs chosen freely" in reading


def observed() -> Casebook:
    """Return the casebook with the drum's length held against the grooves' pitch."""
    return with_entry(
        casebooks.casebook(), LENGTH, observed=Observed(output="length", measurement="measurements/groove-pitch")
    )


def test_every_prediction_stands_beside_the_measured_value() -> None:
    """What a rival computes and what another states of a measurement stand in one row with the measured value."""
    page = pages_of(observed(), REGISTER)["questions/forks.md"]
    row = next(one for one in page.split("<tr>") if "Prediction of: Pitch" in one)
    said = text(row)
    assert '<a href="../measurements/groove-pitch.html">measured: 17.5 ± 1.5 mm</a>' in row
    assert "8..40 mm stated" in said
    assert "mm calculated" in said
    assert "held against Pitch of the two visible grooves , measured 17.5 ± 1.5 mm" in text(page)


def test_a_prediction_that_is_not_weighed_says_so() -> None:
    """A stated prediction is shown also where no calculation is held against the measurement, as not weighed."""
    said = text(pages_of(casebooks.casebook(), REGISTER)["questions/forks.md"])
    assert "measured: 17.5 ± 1.5 mm ; not weighed" in said
    assert "8..40 mm stated" in said


def test_none_of_these_has_no_bearing_that_nobody_stated() -> None:
    """A note's page says that "none of these" takes the mean of the others, whatever the note says of others."""
    page = pages_of(casebooks.casebook(), REGISTER)["evidence/sleeve-groove.md"]
    row = next(one for one in page.split("<tr>") if "None of these" in one)
    assert "takes the prior-weighted mean of the others" in row
    assert "20" not in text(row)


def test_a_rival_that_a_note_does_not_judge_is_said_to_be_unjudged() -> None:
    """A rival without a bearing is said to be placed between, not left with a dash."""
    book = casebooks.casebook()
    bearing = {key: one for key, one in book.entries["evidence/round-boss"].entry.bearing.items() if key != CAM}  # type: ignore[union-attr]
    page = text(pages_of(with_entry(book, "evidence/round-boss", bearing=bearing), REGISTER)["evidence/round-boss.md"])
    assert "A flat face cam with levers not judged: placed between the least and the greatest" in page


def test_which_doubt_matters() -> None:
    """The roots of an output's doubt stand with their share, what halving leaves and the chance then, six at most."""
    found = (
        Share("length", "measurements/hub-width", 0.61, 0.9, 0.97),
        Share("length", f"{LENGTH}, layout row 2, length", 0.2, 1.1, 0.96),
        Share("length", f"{LENGTH}, play", 0.1, None, None),
        *(Share("length", f"{LENGTH}, other-{place}", 0.01, 1.2, 0.95) for place in range(9)),
    )
    page = pages_of(with_result(LENGTH, shares=found), REGISTER)["calculations/drum-length.md"]
    section = page.partition("## Which doubt matters")[2].partition("## What goes in")[0]
    said = text(section)
    assert '<a href="../measurements/hub-width.html">' in section
    assert "61 % ± 1.7 mm 97 %" in said
    assert "Parts in order, row 2 (four tracks): Length" in said
    assert "Play in all 10 % cannot be halved –" in said
    assert "Length in all, now ± 2.3 mm" in said
    assert section.count('<th scope="row">') == 6


def test_a_section_lists_what_a_calculation_answers() -> None:
    """The list of calculations shows the criterion kept least, not whatever output comes first."""
    said = text(pages_of(casebooks.casebook(), REGISTER)["calculations/index.md"])
    assert "Fits into one turn; must hold: kept in 93 % of the draws" in said
    assert "Length in all: 88 ± 7 mm; at most 62 ± 3 mm: kept in none" in said


def test_an_input_without_limit_says_so() -> None:
    """A default so great that it bounds nothing is shown as no limit, and an optional table need not be given."""
    slip = Number("slip", "Slip", "N*m", 0, default="1e9 N*m")
    assert declaring.otherwise(slip) == "no limit"
    assert declaring.otherwise(Rows("hubs", "Hubs", (), optional=True)) == "may be left out"
    assert declaring.otherwise(Text("note", "Note", default="")) == "empty"


def test_a_range_that_was_not_drawn_is_not_shown() -> None:
    """Where a standing has no range yet no page shows one, and the page on reading says so."""
    book = casebooks.casebook()
    weighings = {
        ref: replace(
            weighing,
            standings=tuple(replace(one, low=None, high=None, first=None) for one in weighing.standings),  # type: ignore[arg-type]
        )
        for ref, weighing in book.weighings.items()
    }
    made = pages_of(replace(book, weighings=weighings), REGISTER)
    assert "90 % range" not in text(made[f"{FORKS}.md"].replace("the 90&nbsp;% range from", ""))
    assert "90 % range" not in text(made["index.md"])
    assert "not yet drawn" in text(made["reading.md"])
    assert "not yet drawn" not in text(pages_of(book, REGISTER)["reading.md"])


def test_no_page_shows_a_hyphen_for_a_minus() -> None:
    """No weight, value or chance on a page begins with a hyphen."""
    for path, page in pages_of(casebooks.casebook(), REGISTER).items():
        assert not re.search(r"wl-(?:number|weight)[^>]*>-\d", page), path


@pytest.mark.parametrize(
    ("own", "said"),
    [
        ("12 mm", "Length in all, at Play in all: 20 mm, chosen freely there; that page stands at Play in all: 12 mm"),
        ("20 mm", "Length in all, at Play in all: 20 mm, chosen freely there"),
    ],
)
def test_a_number_taken_from_a_calculation_says_at_which_choice(own: str, said: str) -> None:
    """Where the page linked to stands at another setting of what is chosen there, both settings are named."""
    book = with_result(LENGTH, choice={"play": own})
    taken = replace(book.results[CAM_LENGTH], above={LENGTH: {"play": "20 mm"}})
    shown = text(pages_of(replace(book, results={**book.results, CAM_LENGTH: taken}), REGISTER)[f"{CAM_LENGTH}.md"])
    shown = shown.replace(" ,", ",")
    assert said in shown
    assert ("that page stands" in shown) is (own != "20 mm")


def test_criteria_kept_more_often_than_all_together_say_why() -> None:
    """Where some setting keeps all less often than each is kept at its own best setting, the page says so."""
    rival = next(iter(casebooks.casebook().entries[STATES].entry.hypotheses))  # type: ignore[union-attr]
    for chance, said in ((0.75, True), (0.93, False)):
        book = casebooks.casebook()
        made = pages_of(replace(book, feasibility={**book.feasibility, rival: chance}), REGISTER)
        for path in (f"{rival}.md", f"{FORKS}.md"):
            assert ("at its own best setting" in text(made[path])) is said


def test_a_table_with_numbers_of_another_setting_says_so() -> None:
    """A cell shows the number of the page it leads to; where another setting was used here, the table says so."""
    book = with_result(LENGTH, choice={"play": "12 mm"})
    for used in ("20 mm", "12 mm"):
        given = rows(book.results[CAM_LENGTH], {"part": "drum", "length": "calculations/drum-length#length"})
        taken = replace(book.results[CAM_LENGTH], inputs=given[:1], above={LENGTH: {"play": used}})
        made = pages_of(replace(book, results={**book.results, CAM_LENGTH: taken}), REGISTER)[f"{CAM_LENGTH}.md"]
        assert (
            "used here at Play in all: 20 mm, chosen freely there; that page stands at Play in all: 12 mm" in text(made)
        ) is (used == "20 mm")
