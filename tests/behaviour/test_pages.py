"""What the pages say, before any site is built of them."""

from __future__ import annotations

import html
import re
from dataclasses import replace

import pytest
from jinja2 import UndefinedError

from ledger.casebook.items import Edition
from ledger.photo.methods import METHODS
from ledger.publishing import navigation, rendering
from ledger.publishing.addresses import page_of
from ledger.weighing.values import NONE, Account, Weighing
from tests import casebook_entries, casebooks
from tests.casebook_calculators import REGISTER
from tests.casebooks import CAM, DRUM, FORKS, RAMS, pages_of


@pytest.fixture(scope="module")
def made() -> dict[str, str]:
    """All pages of the hand-made casebook."""
    return pages_of(casebooks.casebook(), REGISTER)


def text(page: str) -> str:
    """Return what a reader reads of a page."""
    page = re.sub(r'<span class="wl-sep">.</span>', "", page)
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", page)).replace("\N{NO-BREAK SPACE}", " ").split())


def test_every_entry_and_calculator_has_a_page(made: dict[str, str]) -> None:
    """Each standing or withdrawn entry has a page, but for the reply held without consent; so has each calculator.

    And each way of measuring.
    """
    wanted = {page_of(ref) for ref in (*casebook_entries.FRONTS, *casebook_entries.GONE) if ref != "replies/held-back"}
    wanted |= {f"calculators/{name}.md" for name in REGISTER} | {f"methods/{one.name}.md" for one in METHODS}
    wanted |= {"index.md", "reading.md", "impact.md", "editions.md", "calculators/index.md", "methods/index.md"}
    wanted |= {"checks.md", "data.md"}
    wanted |= {
        f"{folder}/index.md"
        for folder in ("questions", "hypotheses", "evidence", "sources", "measurements", "calculations")
    }
    wanted |= {f"{folder}/index.md" for folder in ("precedents", "lookouts", "decisions", "replies")}
    assert set(made) == wanted


def test_the_same_casebook_gives_the_same_text(made: dict[str, str]) -> None:
    """Pages are made of the casebook alone."""
    assert pages_of(casebooks.casebook(), REGISTER) == made


def test_an_entry_called_index_does_not_replace_its_section() -> None:
    """An entry may be called index; its page stands beside the section's."""
    assert page_of("evidence/index") == "evidence/index-.md"
    book = casebooks.casebook()
    book = replace(
        book,
        entries={
            **book.entries,
            "evidence/index": casebooks.item("evidence/index", casebook_entries.FRONTS["evidence/no-pipes"]),
        },
    )
    both = pages_of(book, REGISTER)
    assert "Evidence notes" in both["evidence/index.md"]
    assert "No pipe or hose" in both["evidence/index-.md"]


def test_the_front_page_says_what_it_is(made: dict[str, str]) -> None:
    """The front page has subject, banner, questions with leader and runner-up, findings, cautions and edition."""
    said = text(made["index.md"])
    for words in (
        "Invented. This mechanism",
        "rivets shut",
        "What moves the forks? Leading: A turning drum with four tracks 78 %",
        "Then: None of these , 12 %",
        "+8.1 decibans: “positive” on the Kass–Raftery scale, odds of about 6.5 to 1",
        "too few to lead",
        "evidence/nowhere",
        "Turning shafts draw in cloth",
        "Edition 4, fingerprint 9f2c41d07ab3",
    ):
        assert words in said
    assert "1 reply" in said


def test_a_real_mechanism_has_no_banner() -> None:
    """The banner stands only where the investigation calls itself invented."""
    book = casebooks.casebook()
    real = casebooks.item("investigation/box", {**casebook_entries.FRONTS["investigation/box"], "invented": False})
    assert (
        "Invented."
        not in pages_of(replace(book, entries={**book.entries, "investigation/box": real}), REGISTER)["index.md"]
    )


def test_the_comparison_answers_first(made: dict[str, str]) -> None:
    """The leader, its confidence, the margin in decibans and words, and judged n of m stand before everything else."""
    said = text(made["questions/forks.md"].partition("## Rivals")[0])
    for words in (
        "Leading: A turning drum",
        "78 % confidence – likely (90 % range 61 % to 89 %)",
        "judged in 6 of 6 notes",
    ):
        assert words in said
    assert (
        "Over None of these (12 %): +8.1 decibans , “positive” on the Kass–Raftery scale, odds of about 6.5 to 1"
        in said
    )


def test_rivals_stand_side_by_side(made: dict[str, str]) -> None:
    """Each rival has confidence, prior, feasibility or why not, judged n of m; numbers have criterion and chance."""
    said = text(made["questions/forks.md"])
    assert (
        "A turning drum with four tracks leads 78 % likely; 61 % to 89 % , median 78 % ; first in 99 % of the draws "
        "45 % some setting keeps all criteria in 93 % of the draws The best single setting Angle between positions: "
        "45 deg in Does the drum find room for every position? : Fits into one turn, must hold: kept in 93 % of the "
        "draws. 6 of 6" in said
    )
    assert (
        "Four small hydraulic rams judged too seldom to lead 3 % almost no chance; under 0.1 % to 9 % , median 3 % ; "
        "first in none of the draws 25 % cannot be computed 2 of 6" in said
    )
    assert "at most 62 ± 3 mm: kept in over 99 % of the draws" in said
    assert "at most 62 ± 3 mm: kept in none" in said


def test_notes_are_sorted_by_their_greatest_weight(made: dict[str, str]) -> None:
    """The weightiest note for any rival stands first, and each names source, grade and the chance that it is sound."""
    section = made["questions/forks.md"].partition("## Every note")[2].partition("Every source")[0]
    order = re.findall(r'<th scope="row"><a href="\.\./((?:evidence|measurements|calculations)/[a-z-]+)', section)
    assert order == [
        "evidence/no-pipes", "evidence/round-boss", "evidence/row-order", "evidence/sleeve-groove",
        "measurements/groove-pitch", "evidence/foreman-drum", "evidence/letter-drum", "calculations/cam-length",
    ]  # fmt: skip
    said = text(section)
    assert "reliability B, usually reliable; sound with chance 89 %" in said
    assert "−6.9" in said
    assert "which it retells, is sound with chance 58 %" in said
    rest = text(made["questions/forks.md"].partition("Every source")[2].partition('id="the-account"')[0])
    assert "The pitch is weighed as a prediction already." in rest
    assert "Photograph of the box on a bench, from the left reliability B, usually reliable 91 % +7.7" in rest


def test_the_account_adds_up_on_the_page(made: dict[str, str]) -> None:
    """The lines of the account as shown add up to the total as shown."""
    section = made["questions/forks.md"].partition('id="the-account"')[2].partition("<table")[2]
    section = section.partition("</table>")[0]
    shown = [float(one.replace("−", "-")) for one in re.findall(r'wl-weight wl-\w+">([^<]+)<', section)]
    assert round(sum(shown[:-1]), 1) == shown[-1]


def test_weights_are_signed_as_well_as_coloured(made: dict[str, str]) -> None:
    """No weight is told by colour alone."""
    for leaning, number in re.findall(r'wl-weight wl-(for|against|even)">([^<]+)<', "".join(made.values())):
        assert {"for": "+", "against": "−", "even": "0"}[leaning] == number[0]


def question(**changes: object) -> str:
    """Return the comparison page of a changed weighing."""
    book = casebooks.casebook()
    weighing: Weighing = replace(book.weighings[FORKS], **changes)  # type: ignore[arg-type]
    return text(pages_of(replace(book, weighings={**book.weighings, FORKS: weighing}), REGISTER)["questions/forks.md"])


def test_no_leader_is_said_with_its_reason() -> None:
    """Where nobody may lead the page says so and why."""
    standings = casebooks.casebook().weighings[FORKS].standings
    said = question(leader=None, standings=(replace(standings[0], judged=2, may_lead=False), *standings[1:]))
    assert "No leader; standing highest: A turning drum" in said
    assert "judged in only 2 of 6 notes, under half, and so is not called the leader" in said


def test_a_leader_below_another_is_no_lead() -> None:
    """A leader that stands below one judged too seldom is not said to be ahead."""
    book = casebooks.casebook().weighings[FORKS]
    drum, none, cam, rams = book.standings
    standings = (
        replace(rams, confidence=0.8),
        replace(drum, confidence=0.1),
        replace(none, confidence=0.06),
        replace(cam, confidence=0.04),
    )
    account = replace(book.account, leader=DRUM, runner_up=RAMS, total=-9.0)
    said = question(standings=standings, account=account)
    assert "Against Four small hydraulic rams (80 %): −9.0 decibans ." in said
    assert (
        "The one that stands highest was judged in only 2 of 6 notes, under half, "
        "and so is not called the leader although it stands higher." in said
    )
    assert "Kass–Raftery" not in said


def test_a_lead_without_bound() -> None:
    """A runner-up without any confidence gives no finite margin, and the page does not invent one."""
    said = question(account=Account(DRUM, NONE, 0.0, ()))
    assert "a lead without bound" in said
    assert "no confidence left at all" in said


def test_an_infinite_weight_is_said_in_words() -> None:
    """A note that alone shuts a rival out has a weight without bound and stands first."""
    said = question(infinite={"evidence/letter-drum": (CAM,)})
    assert said.partition("Every note and its weight")[2].index("The letter speaks") < said.partition(
        "Every note and its weight"
    )[2].index("No pipe")
    assert "without bound" in said


def test_an_exact_weighing_shows_no_range() -> None:
    """Where nothing was given as a range there is no interval and nothing was drawn."""
    standings = tuple(
        replace(one, low=one.confidence, high=one.confidence) for one in casebooks.casebook().weighings[FORKS].standings
    )
    head = question(standings=standings).partition("What was calculated")[0]
    assert "90 % range 7" not in head
    assert "first in" not in head


def test_an_unweighed_question_says_so() -> None:
    """A question that could not be weighed has a page that says so."""
    book = casebooks.casebook()
    made = pages_of(replace(book, weighings={}), REGISTER)
    assert "This question is not weighed yet." in made["questions/forks.md"]
    assert "Not weighed yet." in made["index.md"]


def test_an_entry_page_has_all_its_parts(made: dict[str, str]) -> None:
    """A note's page has source, grade, marks, bearings, weights, body, ground, what stands on it and revisions."""
    said = text(made["evidence/sleeve-groove.md"])
    for words in (
        "Credibility 2, probably true",
        "groove: a box on the picture, from 812, 440 to 1010, 655 px",
        "very likely (80 % to 95 %)",
        "20 % to 60 %",
        "+2.1",
        "The groove is bright on both flanks",
        "What it stands on Photograph of the box on a bench, from the left",
        "Evidence note with 3 revisions in the ledger.",
        "Also about it A reader doubts the groove",
    ):
        assert words in said
    assert "A flat face cam with levers" in said.partition("What stands on it")[2]


def test_a_withdrawn_entry_is_marked_and_listed_last(made: dict[str, str]) -> None:
    """A withdrawn entry keeps a page with the reason, and stands at the end of its section."""
    assert "Withdrawn. The line was a scratch in the negative." in text(made["evidence/paint-line.md"])
    section = made["evidence/index.md"]
    assert section.index("## Withdrawn") > section.index("no-pipes.html")
    assert section.index("paint-line.html") > section.index("## Withdrawn")


def test_an_uncounted_note_says_why(made: dict[str, str]) -> None:
    """A note that does not count says so and why on its page."""
    assert "Not counted. The pitch is weighed as a prediction already." in text(made["evidence/pitch-note.md"])


def test_a_calculation_page_has_grounds_and_criteria(made: dict[str, str]) -> None:
    """A calculation's page links each input to its ground and shows outcomes, criteria, cautions and sources."""
    page = made["calculations/cam-length.md"]
    said = text(page)
    assert '<a href="drum-length.html">How long would the drum be?: Length in all</a>' in page
    for words in (
        "From the patent's drawing.",
        "at most 62 ± 3 mm: missed , kept in none",
        "Plain addition",
        "cover a model before it runs",
    ):
        assert words in said
    states = text(made["calculations/drum-states.md"])
    assert "Angle between positions 45 deg 30..60 deg chosen freely" in states
    assert "must hold: open , kept in 93 % of the draws" in states
    assert "position gear angle 0 neutral 0 1 first 45" in states


def test_a_refused_calculation_gives_the_reason(made: dict[str, str]) -> None:
    """A refused calculation has a page with the reason and no numbers."""
    said = text(made["calculations/rams-torque.md"])
    assert "Refused. calculations/rams-torque: `given` is in mm" in said
    assert "What comes out" not in said


def test_an_unknown_calculator_is_named_and_not_linked() -> None:
    """A calculation whose calculator this program lacks still has a page."""
    made = pages_of(casebooks.casebook(), {})
    assert "axial-length, which this edition does not know" in text(made["calculations/drum-length.md"])


def test_a_calculator_page_is_made_of_its_declaration(made: dict[str, str]) -> None:
    """A calculator's page has purpose, inputs with unit and range, outputs, formula, source, cautions and uses."""
    said = text(made["calculators/axial-length.md"])
    for words in (
        "Adds the lengths",
        "layout – a table of 2 rows or more must be given",
        "Columns of layout , 2 Input Name Unit May be Otherwise Part part – words must be given Length length mm",
        "a number, at least 0, at most 20 0.4 mm",
        "L = sum of the lengths + play",
        "Plain addition",
        "How long would the drum be?",
    ):
        assert words in said
    states = text(made["calculators/shift-states.md"])
    assert "a number, above 5, at most 120" in states
    assert "one of in a row, free" in states
    assert "yes or no yes" in states


def test_a_retelling_names_its_origin(made: dict[str, str]) -> None:
    """A source that retells another links to it, and its address elsewhere is a link only."""
    page = made["sources/club-letter.md"]
    assert '<a href="foreman.html">' in page
    assert '<a href="https://club.example/newsletter/2031-08" rel="noopener noreferrer">' in page


def test_how_to_read_it_all_has_the_tables_in_use(made: dict[str, str]) -> None:
    """The page on reading shows the grades with the R and r used, the doubt d, and the words for margins."""
    said = text(made["reading.md"])
    for words in (
        "B usually reliable 85 %",
        "2 probably true 85 %",
        "is 5 % here",
        "More than, decibans Odds above Called 0.0 1 to 1 not worth more than a bare mention",
        "4.8 3 to 1 positive 13.0 20 to 1 strong 21.8 150 to 1 very strong",
        "Each question judges soundness apart",
    ):
        assert words in said


def test_a_private_reply_leaves_no_trace(made: dict[str, str]) -> None:
    """Nothing of a reply without consent is published: not its words, title, writer, nor its name in the ledger."""
    everything = "".join(made.values())
    for words in ("Private words", "must not be printed", "Someone private", "held-back"):
        assert words not in everything


def test_only_questions_and_sections_stand_in_the_navigation(made: dict[str, str]) -> None:
    """The navigation names pages that exist, every question, and no other entry."""
    listed = list(navigation.paths(navigation.nav(casebooks.casebook(), REGISTER)))
    assert set(listed) <= set(made)
    assert len(listed) == len(set(listed))
    assert {"questions/forks.md", "questions/reverse.md", "reading.md"} <= set(listed)
    assert not any(path.startswith("evidence/") and path != "evidence/index.md" for path in listed)


def test_a_state_without_number_says_so() -> None:
    """A preview has no edition number and claims none."""
    made = pages_of(replace(casebooks.casebook(), edition=Edition(0, "ab" * 32)), REGISTER)
    assert "A state without edition number" in made["index.md"]


def test_a_template_that_names_what_is_not_there_fails() -> None:
    """A misspelt name in a template is an error, never an empty place."""
    with pytest.raises(UndefinedError):
        rendering.page("section", title="x", purpose="x")
