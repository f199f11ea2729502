"""Numbers that decisions quote, and whether they still say the same.

A quoted number has an interval: of `62 ± 3 mm` the 95 %, of `55..68 mm` its ends, of whole numbers with chances the
numbers named. What the number is now must lie in it. A number quoted as exact must lie in the 95 % interval of what it
is now, or, where that is exact too, be the same to the last digit that was written.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from math import floor, log10, sqrt

from ledger.casebook.values import Casebook
from ledger.entries.models import Measurement
from ledger.entries.parts import Quote
from ledger.quantities.notation import Z95, NotationError, Quantity
from ledger.quantities.quantity import plain
from ledger.quantities.summary import ROUNDING, Summary
from ledger.quantities.units import factor

WITHIN = 1e-9  # of an interval's width: what was rounded when it was written down
_PLAIN = re.compile(r"[+-]?[0-9]+(?:\.[0-9]+)?(?:[eE][+-]?[0-9]+)?")


@dataclass(frozen=True)
class Present:
    """A number as it is now: the one to show for it, the ends of its 95 % interval, its unit, and its notation."""

    estimate: float
    low: float
    high: float
    unit: str
    text: str

    @property
    def exact(self) -> bool:
        """Return whether nothing about it is in doubt."""
        return self.high - self.low <= ROUNDING * abs(self.estimate)


def present(casebook: Casebook, quote: Quote) -> Present | None:
    """Return what a quoted number is now, or None where it is no number any more: withdrawn, refused, not given."""
    if quote.of.measurement is not None:
        item = casebook.entries.get(quote.of.measurement)
        if item is None or not isinstance(item.entry, Measurement):
            return None
        quantity = item.entry.quantity
        return Present(_likeliest(quantity), *interval(quantity), quantity.unit, quantity.text)
    result = casebook.results.get(quote.of.calculation or "")
    named = [one for one in result.outcomes if one.name == quote.of.output] if result else []
    if not named or named[0].summary is None:
        return None
    summary, unit = named[0].summary, named[0].unit
    return Present(summary.estimate, summary.low, summary.high, unit, notation(summary, unit))


def moved(said: Quantity, now: Present) -> bool:
    """Return whether a number has left the interval that it was quoted with; also where the unit is another kind's."""
    try:
        ratio = factor(now.unit, said.unit)
    except NotationError:
        return True
    estimate, low, high = (ratio * one for one in (now.estimate, now.low, now.high))
    if said.shape == "whole":
        return float(round(estimate)) not in said.chances
    if said.shape != "exact":
        least, most = said.support if said.shape != "normal" else interval(said)
        slack = WITHIN * (most - least)
        return not least - slack <= estimate <= most + slack
    value = said.numbers[0]
    if now.exact:
        step = _last_digit(said.text)
        return abs(value - estimate) > step / 2 * (1 + 1e-6)
    slack = WITHIN * (high - low)
    return not low - slack <= value <= high + slack


def interval(quantity: Quantity) -> tuple[float, float]:
    """Return the ends of the 95 % interval of a quantity, as many draws below as above; of whole numbers all."""
    if quantity.shape == "normal":
        return quantity.mean - Z95 * quantity.std, quantity.mean + Z95 * quantity.std
    low, high = quantity.support
    if quantity.shape == "rectangular":
        return low + 0.025 * (high - low), high - 0.025 * (high - low)
    if quantity.shape == "triangular":
        return _triangular(quantity, 0.025), _triangular(quantity, 0.975)
    return low, high


def notation(summary: Summary, unit: str) -> str:
    """Return draws summed up in the notation of quantities: `62.1 ± 3.0 mm`, two digits of the half-width.

    The half-width covers the 95 % interval on its wider side, as it is shown.
    """
    half = summary.half
    if half <= ROUNDING * abs(summary.estimate):
        text = plain(summary.estimate) if summary.estimate == round(summary.estimate) else _six(summary.estimate)
    else:
        digits = max(0, 1 - floor(log10(half)))
        if floor(log10(round(half, digits))) != floor(log10(half)):
            digits = max(0, digits - 1)
        text = f"{summary.estimate:.{digits}f} ± {half:.{digits}f}"
    return f"{text} {unit}".strip()


def _six(value: float) -> str:
    """Return a number that is none of the whole ones, with six digits that count; large ones to a tenth."""
    return plain(float(f"{value:.6g}" if abs(value) < 1e5 else f"{value:.1f}"))


def _likeliest(quantity: Quantity) -> float:
    return quantity.nominal if quantity.shape == "whole" else quantity.mean


def _triangular(quantity: Quantity, share: float) -> float:
    """Return the value below which a share of a triangular quantity lies (JCGM 101:2008, 6.4.5, turned about)."""
    low, mode, high = quantity.numbers
    width = high - low
    if share * width <= mode - low:
        return low + sqrt(share * width * (mode - low))
    return high - sqrt((1 - share) * width * (high - mode))


def _last_digit(text: str) -> float:
    """Return the size of the last digit that a plain number was written with."""
    found = _PLAIN.match(text.strip().replace("\N{MINUS SIGN}", "-"))
    assert found is not None
    return 10.0 ** int(Decimal(found[0]).as_tuple().exponent)
