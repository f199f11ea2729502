"""A quantity: a number with its unit and its doubt."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Context, Decimal, localcontext
from math import fsum, inf, sqrt
from typing import TYPE_CHECKING, Literal

from ledger.quantities.refusal import NotationError
from ledger.quantities.units import check_unit, factor

if TYPE_CHECKING:
    import numpy as np

Shape = Literal["exact", "normal", "rectangular", "triangular", "whole"]
SMALLEST, LARGEST = 1e-100, 1e100
# A range narrower than this share of its ends would be lost in rounding.
NARROWEST = 1e-12
# Enough for the exact difference of any two numbers within SMALLEST and LARGEST.
_EXACT = Context(prec=260)


@dataclass(frozen=True)
class Quantity:
    """A number with its unit and its doubt.

    text     as written; after `to`, as it would be written in the new unit
    shape    exact, normal, rectangular, triangular or whole
    unit     "" for a pure number
    numbers  exact (value), normal (mean, std), rectangular (low, high), triangular (low, mode, high),
             whole (value, chance, value, chance, …)
    stated   the size that a drawing's limits are written about, such as 20 in `20 +0/-0.05 mm`; None for other forms
    """

    text: str
    shape: Shape
    unit: str
    numbers: tuple[float, ...]
    stated: float | None = None

    @property
    def mean(self) -> float:
        """Return the expectation, in the unit."""
        if self.shape == "whole":
            return fsum(value * chance for value, chance in self.chances.items())
        if self.shape in ("exact", "normal"):
            return self.numbers[0]
        return fsum(self.numbers) / len(self.numbers)

    @property
    def std(self) -> float:
        """Return the standard deviation, in the unit.

        Rectangular (b - a)/√12; triangular √((p² - p q + q²)/18) with p = high - low and q = mode - low.
        """
        if self.shape == "exact":
            return 0.0
        if self.shape == "normal":
            return self.numbers[1]
        if self.shape == "rectangular":
            return (self.numbers[1] - self.numbers[0]) / sqrt(12)
        if self.shape == "triangular":
            low, mode, high = self.numbers
            p, q = high - low, mode - low
            return sqrt((p * p - p * q + q * q) / 18)
        mean = self.mean
        return sqrt(fsum(chance * (value - mean) ** 2 for value, chance in self.chances.items()))

    @property
    def nominal(self) -> float:
        """Return the one number a drawing would carry: the stated size, the value, mean, middle, mode or likeliest."""
        if self.stated is not None:
            return self.stated
        if self.shape == "whole":
            return max(self.chances.items(), key=lambda pair: pair[1])[0]
        return self.numbers[1] if self.shape == "triangular" else self.mean

    @property
    def support(self) -> tuple[float, float]:
        """Return the least and the greatest possible value, in the unit; without bound for a normal quantity."""
        if self.shape == "normal":
            return -inf, inf
        if self.shape == "whole":
            return min(self.chances), max(self.chances)
        return self.numbers[0], self.numbers[-1]

    @property
    def chances(self) -> dict[float, float]:
        """Return the chance of each value; empty unless the shape is whole."""
        return dict(zip(self.numbers[::2], self.numbers[1::2], strict=True)) if self.shape == "whole" else {}

    def to(self, unit: str) -> Quantity:
        """Return the same quantity in another unit of the same dimension; NotationError otherwise."""
        if unit == self.unit:
            return self
        tidy = check_unit(unit)
        if tidy == self.unit:
            return self
        if self.shape == "whole":
            raise NotationError(self.text, f"a quantity in `{tidy}`", "Whole numbers with chances have no unit.")
        try:
            ratio = factor(self.unit, tidy)
        except NotationError as error:
            raise NotationError(self.text, error.expected, error.remedy) from error
        numbers = tuple(number * ratio for number in self.numbers)
        if any(beyond(number) for number in numbers):
            raise NotationError(self.text, f"a size that can be told in `{tidy}`", "Use a unit nearer to its size.")
        stated = None if self.stated is None else self.stated * ratio
        return Quantity(render(self.shape, tidy, numbers, stated), self.shape, tidy, numbers, stated)

    def draw(self, count: int, generator: np.random.Generator) -> np.ndarray:
        """Return draws of the quantity, in its unit."""
        from ledger.quantities.draws import draw

        return draw(self.shape, self.numbers, count, generator)


def beyond(number: float) -> bool:
    """Return whether a number is too large or, not being zero, too small to be a physical quantity."""
    return not (number == 0 or SMALLEST <= abs(number) <= LARGEST)


def render(shape: Shape, unit: str, numbers: tuple[float, ...], stated: float | None = None) -> str:
    """Return the notation for these numbers, which reads back as the same floats."""
    if shape == "whole":
        pairs = zip(numbers[::2], numbers[1::2], strict=True)
        return ", ".join(f"{plain(value)}: {plain(chance)}" for value, chance in pairs)
    tail = f" {unit}" if unit else ""
    if shape == "normal":
        return f"{plain(numbers[0])} ± {plain(numbers[1])}{tail} (k=1)"
    if stated is not None:
        return f"{plain(stated)} {_deviation(numbers[1], stated)}/{_deviation(numbers[0], stated)}{tail}"
    return "..".join(plain(number) for number in numbers) + tail


def plain(number: float) -> str:
    """Return the shortest text that reads back as the same float."""
    return repr(float(number)).removesuffix(".0")


def _deviation(limit: float, stated: float) -> str:
    with localcontext(_EXACT):
        difference = Decimal(plain(limit)) - Decimal(plain(stated))
    return f"{difference:+}" if difference else "+0"
