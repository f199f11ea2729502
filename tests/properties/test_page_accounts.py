"""Accounts as shown."""

from __future__ import annotations

from math import fsum

from hypothesis import given
from hypothesis import strategies as st

from ledger.publishing import words


def _read(text: str) -> float:
    return float(text.replace("−", "-"))


@given(st.lists(st.floats(-300, 300), min_size=1, max_size=30))
def test_an_account_adds_up_as_it_is_shown(parts: list[float]) -> None:
    """The rounded lines of an account add up to the rounded total, and no line is off by a tenth or more."""
    total = fsum(parts)
    shown = [_read(text) for text in words.adding_up(parts, total)]
    assert round(fsum(shown), 1) == round(total, 1)
    assert all(abs(one - part) < 0.1 + 1e-9 for one, part in zip(shown, parts, strict=True))
