"""Reading the notation of quantities.

    62 mm                       exact; a bare number is exact and has no unit
    62 ± 3 mm                   normal; the half-width covers 95 %, so std = 3/1.95996…
    62 +/- 3 mm                 the same
    62 ± 3 mm (k=2)             normal; the half-width is k standard deviations
    55..68 mm                   rectangular
    55..61..68 mm               triangular: least, likeliest, greatest
    20 +0/-0.05 mm              the limits of a drawing, upper deviation first: rectangular between them
    30: 0.2, 31: 0.7, 32: 0.1   whole numbers with their chances

Numbers have a point and no grouping; `1.2e3` and a typographic minus are understood. Anything else is a NotationError.
Shapes follow JCGM 101:2008, 6.4.
"""

from __future__ import annotations

import re
from decimal import Context, Decimal, localcontext
from functools import lru_cache
from math import fsum, isfinite

from ledger.quantities import misreadings
from ledger.quantities.quantity import LARGEST, NARROWEST, SMALLEST, beyond, plain
from ledger.quantities.quantity import Quantity as Quantity
from ledger.quantities.refusal import NotationError as NotationError
from ledger.quantities.units import check_unit

# The 0.975 quantile of the standard normal distribution.
Z95 = 1.959963984540054
CHANCES_SUM_WITHIN = 1e-6
LONGEST_TEXT = 2_000

# Digits are taken whole (`++`): no form may match by splitting a number.
_NUMBER = r"[+-]?[0-9]++(?:\.[0-9]++)?+(?:[eE][+-]?[0-9]++)?+"
_DEVIATION = r"[+-]\s?[0-9]++(?:\.[0-9]++)?+(?:[eE][+-]?[0-9]++)?+|0"
_EXACT = re.compile(rf"({_NUMBER})\s*(.*)")
_NORMAL = re.compile(rf"({_NUMBER})\s*±\s*({_NUMBER})\s*(.*)")
_COVER = re.compile(rf"(.*?)\s*\(\s*k\s*=\s*({_NUMBER})\s*\)")
_RANGE = re.compile(rf"({_NUMBER})\s*\.\.\s*({_NUMBER})(?:\s*\.\.\s*({_NUMBER}))?+(?!\s*\.)\s*(.*)")
_LIMITS = re.compile(rf"({_NUMBER})\s+({_DEVIATION})\s*/\s*({_DEVIATION})(?![0-9.])\s*(.*)")
_CHANCE_OF = re.compile(rf"\s*({_NUMBER})\s*:\s*({_NUMBER})\s*")
_SPACES = re.compile(r"\s+")
_DIGIT = re.compile(r"[1-9]")
_OTHER_SIZE = "Use a unit nearer to its size, or check the exponent."
_SIZE = f"a number between {SMALLEST:g} and {LARGEST:g} in size, or zero"
# Sums of numbers within SMALLEST and LARGEST come out exact.
_WIDE = Context(prec=260)


def parse(given: str | int | float | Quantity) -> Quantity:
    """Return the quantity that a text or number states. NotationError says what was expected and how to write it."""
    if isinstance(given, str):
        return _read(given)
    if isinstance(given, Quantity):
        return given
    if isinstance(given, bool) or not isinstance(given, int | float):
        raise NotationError(given, "a quantity such as `62 ± 3 mm`", "Write it as one text or number.")
    if isinstance(given, float):
        text = repr(float(given))
        if not isfinite(given):
            raise misreadings.of(text, text)
    else:
        if abs(given) > LARGEST:
            raise NotationError("a huge whole number", _SIZE, _OTHER_SIZE)
        text = str(given)
    return Quantity(text, "exact", "", (_number(text, text),))


@lru_cache(maxsize=16_384)
def _read(given: str) -> Quantity:
    if len(given) > LONGEST_TEXT:
        raise NotationError(given, "a quantity such as `62 ± 3 mm`", "Write one quantity, not a text.")
    text = _SPACES.sub(" ", given).strip().replace("\u2212", "-").replace("+/-", "±")
    if ":" in text:
        return _whole(given, text)
    if "±" in text:
        return _normal(given, text)
    if ".." in text:
        return _range(given, text)
    if "/" in text and (found := _LIMITS.fullmatch(text)):
        return _limits(given, *found.groups())
    found = _EXACT.fullmatch(text)
    if found is None:
        raise misreadings.of(given, text)
    return Quantity(given, "exact", _unit(given, text, found[2]), (_number(given, found[1]),))


def _normal(given: str, text: str) -> Quantity:
    covered = _COVER.fullmatch(text)
    found = _NORMAL.fullmatch(covered[1] if covered else text)
    if found is None:
        raise misreadings.of(given, text)
    mean, half = _number(given, found[1]), _number(given, found[2])
    unit = _unit(given, text, found[3])
    if half == 0:
        mended = f"{found[1]} {unit}".strip()
        raise NotationError(given, "an uncertainty above zero", f"Write `{mended}` if it is exact.")
    if found[2][0] in "+-":
        mended = f"{found[1]} ± {found[2][1:]} {unit}".strip()
        raise NotationError(given, "an uncertainty above zero", f"Write it without sign: `{mended}`.")
    cover = _number(given, covered[2]) if covered else Z95
    if cover <= 0:
        raise NotationError(given, "a coverage factor above zero", "Write `(k=2)`, or leave it out to cover 95 %.")
    return _checked(Quantity(given, "normal", unit, (mean, half / cover)))


def _range(given: str, text: str) -> Quantity:
    found = _RANGE.fullmatch(text)
    if found is None:
        raise misreadings.of(given, text)
    written = [part for part in found.groups()[:3] if part is not None]
    numbers = tuple(_number(given, part) for part in written)
    unit = _unit(given, text, found[4])
    if list(numbers) != sorted(numbers):
        mended = "..".join(plain(number) for number in sorted(numbers))
        expected = "the least number first" + ("" if len(numbers) == 2 else ", then the likeliest, then the greatest")
        raise NotationError(given, expected, f"Did you mean `{f'{mended} {unit}'.strip()}`?")
    _wide_enough(given, written[0], numbers, unit)
    return _checked(Quantity(given, "rectangular" if len(numbers) == 2 else "triangular", unit, numbers))


def _limits(given: str, size: str, upper: str, lower: str, unit: str) -> Quantity:
    stated = _number(given, size)
    upper, lower = upper.replace(" ", ""), lower.replace(" ", "")
    for deviation in (upper, lower):
        _number(given, deviation)
    with localcontext(_WIDE):
        low, high = float(Decimal(size) + Decimal(lower)), float(Decimal(size) + Decimal(upper))
    tidy = _unit(given, given, unit)
    if low > high:
        mended = f"{size} {lower}/{upper} {unit}".strip()
        raise NotationError(given, "the upper deviation before the lower", f"Did you mean `{mended}`?")
    _wide_enough(given, plain(low), (low, high), tidy)
    return _checked(Quantity(given, "rectangular", tidy, (low, high), stated))


def _whole(given: str, text: str) -> Quantity:
    chances: dict[float, float] = {}
    for part in text.split(","):
        found = _CHANCE_OF.fullmatch(part)
        if found is None:
            remedy = "Write `30: 0.2, 31: 0.7, 32: 0.1`, without unit."
            raise NotationError(given, "whole numbers with their chances", remedy)
        value, chance = _number(given, found[1]), _number(given, found[2])
        if value != int(value) or abs(value) > 2**53:
            raise NotationError(given, "whole numbers before the colons", f"`{found[1]}` is none.")
        if not 0 <= chance <= 1:
            raise NotationError(
                given, "chances from 0 to 1 after the colons", "Write shares, such as `30: 0.2, 31: 0.8`."
            )
        if value in chances:
            raise NotationError(given, "each whole number once", f"Add up the chances of {plain(value)}.")
        chances[value] = chance
    total = fsum(chances.values())
    if abs(total - 1) > CHANCES_SUM_WITHIN:
        raise NotationError(given, "chances that add up to 1", f"They add up to {total:.6g}.")
    # Chances that add up but for rounding stay as written, so that reading what was written back changes nothing.
    scale = total if abs(total - 1) > NARROWEST else 1.0
    pairs = [(value, chance / scale) for value, chance in chances.items() if chance > 0]
    return Quantity(given, "whole", "", tuple(number for pair in pairs for number in pair))


def _number(given: str, written: str) -> float:
    """Return a number as a float; refuse what no quantity is as large or as small as."""
    number = float(written)
    if beyond(number) or (number == 0 and _DIGIT.search(written.lower().partition("e")[0])):
        raise NotationError(given, _SIZE, _OTHER_SIZE)
    return number


def _unit(given: str, text: str, unit: str) -> str:
    if not unit:
        return ""
    try:
        return check_unit(unit)
    except NotationError as error:
        raise misreadings.of_unit(given, text, unit, error) from None


def _wide_enough(given: str, low: str, numbers: tuple[float, ...], unit: str) -> None:
    if numbers[-1] - numbers[0] <= NARROWEST * max(abs(numbers[0]), abs(numbers[-1])):
        mended = f"{low} {unit}".strip()
        raise NotationError(given, "a range with some width", f"Write `{mended}` if it is exact.")


def _checked(quantity: Quantity) -> Quantity:
    if any(beyond(number) for number in quantity.numbers):
        raise NotationError(quantity.text, _SIZE, _OTHER_SIZE)
    return quantity
