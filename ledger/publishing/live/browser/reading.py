"""Reads the notation of quantities in the browser: what `ledger.quantities.notation` reads, without its weight.

A number without a unit is taken to be in the input's own unit, which the form shows beside it.
"""

from __future__ import annotations

from math import fsum, inf

Z95 = 1.959963984540054
SMALLEST, LARGEST = 1e-100, 1e100
NARROWEST = 1e-12
CHANCES_SUM_WITHIN = 1e-6
LONGEST = 2000
DIGITS = "0123456789"
# As in `ledger.quantities.vocabulary`.
TOGETHER = {"Nm": "N·m", "kNm": "kN·m", "mNm": "mN·m", "Nmm": "N·mm"}
SIZE = "a number between 1e-100 and 1e+100 in size, or zero"


class Unreadable(ValueError):
    """Something written that cannot be read; its text says what was expected."""


class Stated:
    """A quantity in the unit wanted: `shape` exact, normal, rectangular, triangular or whole, and its numbers.

    As in `ledger.quantities.quantity`: exact (value), normal (mean, std), rectangular (low, high), triangular (low,
    mode, high), whole (value, chance, …); `size` is what a drawing's limits are written about, or None.
    """

    def __init__(self, shape, numbers, size=None):
        self.shape, self.numbers, self.size = shape, numbers, size

    @property
    def mean(self):
        """Return the expectation."""
        if self.shape == "whole":
            return fsum(value * chance for value, chance in self.pairs)
        return self.numbers[0] if self.shape in ("exact", "normal") else fsum(self.numbers) / len(self.numbers)

    @property
    def pairs(self):
        """Return whole numbers with their chances."""
        return list(zip(self.numbers[::2], self.numbers[1::2], strict=False))

    @property
    def nominal(self):
        """Return the one number a drawing would carry."""
        if self.size is not None:
            return self.size
        if self.shape == "whole":
            likeliest = self.pairs[0]
            for pair in self.pairs:
                likeliest = pair if pair[1] > likeliest[1] else likeliest
            return likeliest[0]
        return self.numbers[1] if self.shape == "triangular" else self.mean

    @property
    def support(self):
        """Return the least and the greatest possible value; without bound for a normal quantity."""
        if self.shape == "normal":
            return -inf, inf
        values = self.numbers[::2] if self.shape == "whole" else self.numbers
        return min(values), max(values)


def read(given, units):
    """Return what a text states, in the unit whose factor is 1; Unreadable says what was expected.

    units  the factor of every unit that may be written; `""` is there where a number may stand without one
    """
    text = " ".join(given.split()).replace("\u2212", "-").replace("+/-", "±")
    if not text or len(given) > LONGEST:
        raise Unreadable("expected a quantity such as `62 ± 3`")
    if ":" in text:
        return _whole(text, units)
    before, comma, after = text.partition(",")
    if comma and before[-1:].isdigit() and after[:1].isdigit():
        raise Unreadable(f"given {text}; expected a decimal point and no grouping: 4.5 for 4,5 and 10000 for 10,000")
    if "±" in text:
        return _normal(text, units)
    if ".." in text:
        return _range(text, units)
    if "/" in text and (limits := _deviations(text)) is not None:
        size, upper, lower, unit = limits
        return _limits(size, upper, lower, unit, units)
    written, rest = _number(text, 0)
    return _made("exact", (_value(written),), rest, units)


def _number(text, place):
    """Return the number that begins at a place, as written, and what comes after it."""
    start = place + 1 if text[place : place + 1] in ("+", "-") and text[place : place + 1] else place
    end = _past_digits(text, start)
    if end == start:
        raise Unreadable(f"given {text}; expected a quantity such as `62 ± 3`, `55..68` or `20 +0/-0.05`")
    if text[end : end + 1] == "." and _past_digits(text, end + 1) > end + 1:
        end = _past_digits(text, end + 1)
    if text[end : end + 1] in ("e", "E") and text[end : end + 1]:
        after = end + 2 if text[end + 1 : end + 2] in ("+", "-") and text[end + 1 : end + 2] else end + 1
        if _past_digits(text, after) > after:
            end = _past_digits(text, after)
    return text[place:end], text[end:]


def _past_digits(text, place):
    return len(text) - len(text[place:].lstrip(DIGITS))


def _value(written):
    value = float(written)
    mantissa = written.lower().split("e")[0]
    if beyond(value) or (value == 0 and any(one in "123456789" for one in mantissa)):
        raise Unreadable(f"given {written}; expected {SIZE}")
    return value


def beyond(number):
    """Return whether a number is too large or, not being zero, too small to be a physical quantity."""
    return not (number == 0 or SMALLEST <= abs(number) <= LARGEST)


def _normal(text, units):
    cover = Z95
    if text.endswith(")") and "(" in text:
        text, inside = text[:-1].rsplit("(", 1)
        key, _, written = inside.partition("=")
        if key.strip() != "k":
            raise Unreadable(f"given ({inside}); expected a coverage factor such as `(k=2)`")
        written = written.strip()
        taken, rest = _number(written, 0)
        cover = _value(taken)
        if rest or cover <= 0:
            raise Unreadable("expected a coverage factor above zero")
        text = text.strip()
    mean, rest = _number(text, 0)
    rest = rest.lstrip()
    if not rest.startswith("±"):
        raise Unreadable(f"given {text}; expected a quantity such as `62 ± 3`")
    half, unit = _number(rest[1:].lstrip(), 0)
    middle, width = _value(mean), _value(half)
    if half[0] in "+-" or width == 0:
        raise Unreadable(f"given ± {half}; expected an uncertainty above zero")
    return _made("normal", (middle, width / cover), unit, units)


def _range(text, units):
    written, rest = [], text
    while True:
        one, rest = _number(rest, 0)
        written.append(one)
        rest = rest.lstrip()
        if not rest.startswith("..") or len(written) == 3:
            break
        rest = rest[2:].lstrip()
    numbers = tuple(_value(one) for one in written)
    if len(numbers) == 1 or rest.startswith("."):
        raise Unreadable(f"given {text}; expected a range such as `55..68` or `55..61..68`")
    if list(numbers) != sorted(numbers):
        raise Unreadable(f"given {text}; expected the least number first")
    _wide_enough(numbers)
    return _made("rectangular" if len(numbers) == 2 else "triangular", numbers, rest, units)


def _deviations(text):
    """Return size, upper and lower deviation as written, and the unit; None where these are no limits of a drawing."""
    try:
        size, rest = _number(text, 0)
        if not rest.startswith(" "):
            return None
        upper, rest = _deviation(rest[1:])
        rest = rest.lstrip()
        if not rest.startswith("/"):
            return None
        lower, unit = _deviation(rest[1:].lstrip())
    except Unreadable:
        return None
    return None if unit[:1] and unit[0] in DIGITS + "." else (size, upper, lower, unit)


def _deviation(text):
    if text[:1] and text[0] in "+-":
        digits = text[1:].lstrip() if text[1:2] == " " else text[1:]
        if not digits or digits[0] not in DIGITS:
            raise Unreadable(text)
        written, rest = _number(digits, 0)
        return text[0] + written, rest
    if text.startswith("0"):
        return "0", text[1:]
    raise Unreadable(text)


def _limits(size, upper, lower, unit, units):
    for one in (upper, lower):
        _value(one)
    low, high = _sum(size, lower), _sum(size, upper)
    if low > high:
        raise Unreadable(f"given {upper}/{lower}; expected the upper deviation before the lower")
    _wide_enough((low, high))
    return _made("rectangular", (low, high), unit, units, _value(size))


def _sum(one, two):
    """Return the sum of two written numbers, rounded once."""
    (first, exponent), (second, other) = _whole_and_power(one), _whole_and_power(two)
    least = min(exponent, other)
    whole = first * 10 ** (exponent - least) + second * 10 ** (other - least)
    return float(f"{whole}e{least}")


def _whole_and_power(written):
    mantissa, _, power = written.lower().partition("e")
    whole, _, fraction = mantissa.partition(".")
    return int(whole + fraction), int(power or "0") - len(fraction)


def _wide_enough(numbers):
    if numbers[-1] - numbers[0] <= NARROWEST * max(abs(numbers[0]), abs(numbers[-1])):
        raise Unreadable("expected a range with some width")


def _whole(text, units):
    if "" not in units or units[""] != 1.0:
        raise Unreadable("whole numbers with chances have no unit")
    chances = {}
    for part in text.split(","):
        written, rest = _number(part.strip(), 0)
        rest = rest.lstrip()
        if not rest.startswith(":"):
            raise Unreadable(f"given {text}; expected whole numbers with their chances, as `30: 0.2, 31: 0.8`")
        share, rest = _number(rest[1:].lstrip(), 0)
        value, chance = _value(written), _value(share)
        if rest.strip() or value != int(value) or abs(value) > 2**53 or not 0 <= chance <= 1 or value in chances:
            raise Unreadable(f"given {text}; expected different whole numbers, each with a chance from 0 to 1")
        chances[value] = chance
    total = fsum(chances.values())
    if abs(total - 1) > CHANCES_SUM_WITHIN:
        raise Unreadable(f"expected chances that add up to 1; they add up to {total:.6g}")
    scale = total if abs(total - 1) > NARROWEST else 1.0
    numbers = []
    for value, chance in chances.items():
        if chance > 0:
            numbers += [value, chance / scale]
    return Stated("whole", tuple(numbers))


def _made(shape, numbers, unit, units, size=None):
    factor = _factor(unit.strip(), units)
    numbers = tuple(number * factor for number in numbers)
    if any(beyond(number) for number in numbers):
        raise Unreadable(f"expected {SIZE}")
    return Stated(shape, numbers, None if size is None else size * factor)


def _factor(unit, units):
    if unit in units:
        return units[unit]
    tidy = unit.replace("*", "·").replace("\u22c5", "·").replace("^2", "²").replace("^3", "³").replace(" ", "·")
    above, line, below = tidy.partition("/")
    tidy = f"{TOGETHER.get(above, above)}{line}{below}"
    if tidy in units:
        return units[tidy]
    known = ", ".join(one for one in units if one)
    raise Unreadable(f"given the unit {unit}; expected " + (f"one of {known}" if known else "a number without unit"))
