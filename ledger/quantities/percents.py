"""Chances as people read them, in percent."""

from __future__ import annotations

from math import floor

PERCENT = "\u00a0%"
WHOLE = 0.0095  # from which on a chance is told in whole percents


def chance(share: float) -> str:
    """Return a chance from 0 to 1: whole percents, tenths below 1 %, and never 0 or 100 by rounding."""
    if share in (0, 1):
        return f"{100 * share:.0f}{PERCENT}"
    if share < 0.001:
        return f"under 0.1{PERCENT}"
    if share >= 0.995:
        return f"over 99{PERCENT}"
    if share < WHOLE:
        return f"{floor(1000 * share + 0.5) / 10:.1f}{PERCENT}"
    return f"{whole(share)}{PERCENT}"


def whole(share: float) -> int:
    """Return whole percents, halves upwards: browsers and Python round a half each in their own way."""
    return floor(100 * share + 0.5)


def draws(share: float) -> str:
    """Return a chance found by drawing: all or none of the draws is said as such, for it is no certainty."""
    return {0.0: "in none of the draws", 1.0: "in all draws"}.get(share) or f"in {chance(share)} of the draws"
