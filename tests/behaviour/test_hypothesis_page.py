"""What a hypothesis' page says it stands on: what moves it most first, with the weights as the comparison has them."""

from __future__ import annotations

import html
import re
from dataclasses import replace
from typing import Any

from ledger.publishing import words
from tests import casebooks
from tests.casebook_calculators import REGISTER
from tests.casebooks import DRUM, FORKS, pages_of

NOTES = ("round-boss", "row-order", "sleeve-groove", "no-pipes", "foreman-drum", "letter-drum")
TESTS = ("How long would the drum be?", "Does the drum find room for every position?")


def grounds(**changes: Any) -> list[tuple[str, str]]:
    """Weight and words of each line under "It stands on" of the drum's page; changes of its question's weighing."""
    book = casebooks.casebook()
    weighing = replace(book.weighings[FORKS], **changes)
    page = pages_of(replace(book, weighings={**book.weighings, FORKS: weighing}), REGISTER)["hypotheses/drum.md"]
    page = re.sub(r'<span class="wl-sep">.</span>', "", page)
    (listed,) = re.findall(r'<ul class="wl-links wl-grounds">(.*?)</ul>', page, re.DOTALL)
    lines = re.findall(r"<li>(?:<span class=\"wl-weight[^>]*>([^<]*)</span>)?(.*?)</li>", listed, re.DOTALL)
    return [(weight, " ".join(html.unescape(re.sub("<[^>]+>", "", rest)).split())) for weight, rest in lines]


def test_what_moves_a_hypothesis_most_comes_first() -> None:
    """Weights are those of the weighing, to a tenth of a deciban, by their size; what has none has none and is last."""
    book = casebooks.casebook()
    weights = book.weighings[FORKS].weights
    found = grounds()
    shown = [(weight, said) for weight, said in found if weight]
    own = {book.entries[ref].title: row[DRUM] for ref, row in weights.items() if ref in book.entries and DRUM in row}
    assert [abs(own[said]) for _, said in shown] == sorted((abs(own[said]) for _, said in shown), reverse=True)
    assert shown == [(words.decibans(own[said]), said) for _, said in shown]
    observed = {*(f"evidence/{name}" for name in NOTES), "measurements/groove-pitch"}
    assert {said for _, said in shown} == {book.entries[ref].title for ref in observed}
    assert found[: len(shown)] == shown
    assert {*TESTS, "Motorcycle boxes with a shifting drum"} < {said for _, said in found[len(shown) :]}


def test_weights_of_either_sign_are_ordered_by_size() -> None:
    """What speaks against a hypothesis stands above what speaks less loudly for it."""
    weights = casebooks.casebook().weighings[FORKS].weights
    found = grounds(weights={**weights, "evidence/no-pipes": {DRUM: -5.04}})
    assert [weight for weight, _ in found[:3]] == ["+6.4", "−5.0", "+4.2"]


def test_calculations_weighed_together_have_one_weight() -> None:
    """Criteria that are weighed together stand in one line with the weight they have between them."""
    weights = casebooks.casebook().weighings[FORKS].weights
    found = grounds(weights={**weights, f"feasibility:{DRUM}": {DRUM: -3.3}})
    (said,) = [said for weight, said in found if weight == "−3.3"]
    assert said.endswith("their criteria together")
    for test in TESTS:
        assert [test in line for _, line in found].count(True) == 1
        assert test in said


def test_what_shuts_a_hypothesis_out_comes_first() -> None:
    """A weight without bound is said in words, above every number."""
    assert grounds(infinite={"evidence/letter-drum": (DRUM,)})[0] == (
        "without bound",
        "The letter speaks of a reel with tracks",
    )


def test_a_question_not_weighed_has_no_weights() -> None:
    """Where nothing was weighed, what a hypothesis stands on is listed all the same."""
    page = pages_of(replace(casebooks.casebook(), weighings={}), REGISTER)["hypotheses/drum.md"]
    assert "wl-grounds" not in page
    assert "wl-weight" not in page
    assert "The letter speaks of a reel with tracks" in page.partition("It stands on")[2]


def test_a_note_that_judges_it_among_others_is_listed() -> None:
    """What bears on a hypothesis without naming stands there too."""
    weights = casebooks.casebook().weighings[FORKS].weights
    found = grounds(weights={**weights, "evidence/idler-pin": {DRUM: 1.7}})
    title = casebooks.casebook().entries["evidence/idler-pin"].title
    assert ("+1.7", title) in found
