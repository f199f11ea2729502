"""Calculators held to the printed cases that the site shows too (`ledger/calculators/printed.py`)."""

from __future__ import annotations

from dataclasses import replace

import pytest

from ledger.calculators.checked import ours
from ledger.calculators.printed import CASES, CITED, COPY, MEMORY, SECOND_HAND, Case
from ledger.mechanics import bearing_life


def off(case: Case) -> list[str]:
    """Return the figures of a case that ours miss by more than is permitted."""
    found = zip(case.figures, ours(case), strict=True)
    return [one.output for one, value in found if abs(value - one.value) > one.within]


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case.calculator}: {case.title}")
def test_printed_figures_are_met(case: Case) -> None:
    """Every printed figure is met within what its row permits; the row says why it permits that."""
    assert off(case) == []
    assert case.why
    assert case.seen in (CITED, COPY, MEMORY, SECOND_HAND)


@pytest.mark.parametrize("case", CASES[:6], ids=lambda case: case.title)
def test_a_misprint_is_found_out(case: Case) -> None:
    """A figure that is off by three times what is permitted is refused."""
    wrong = tuple(replace(one, value=one.value + 3 * one.within + 1e-6) for one in case.figures)
    assert off(replace(case, figures=wrong)) == [one.output for one in case.figures]


def test_a_wrong_formula_is_found_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """Loads averaged without the power miss the printed cycle."""
    case = next(one for one in CASES if one.title == "A cycle of three loads")
    right = bearing_life.mean_load
    monkeypatch.setattr(bearing_life, "mean_load", lambda loads, turns, p: right(loads, turns, 1.0))
    assert "mean_load" in off(replace(case, seen=CITED))
