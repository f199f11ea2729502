"""Draws summed up, and how a summary is shown.

Source: JCGM 101:2008, 7.6 (estimate and standard uncertainty) and 7.7 (coverage intervals).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np

MINUS = "−"
# Doubt below this share of the estimate is rounding of the computation, not doubt.
ROUNDING = 1e-12
# Beyond this a standard deviation could pass what a float can hold.
LARGEST = 1e300
# An interval is shown by its ends when one arm is longer than the other by more than this.
LOPSIDED = 1.25
_RAISE = str.maketrans("0123456789-", "⁰¹²³⁴⁵⁶⁷⁸⁹⁻")


@dataclass(frozen=True)
class Summary:
    """Draws summed up: their mean, their standard deviation, and the ends of the interval (95 % unless said)."""

    estimate: float
    uncertainty: float
    low: float
    high: float

    @property
    def half(self) -> float:
        """Return the half-width about the estimate that covers the interval: its longer arm."""
        return max(self.high - self.estimate, self.estimate - self.low)

    def half_with(self, uncertainty: float) -> float:
        """Return what the half-width would be with another standard uncertainty, the shape of the doubt kept."""
        return self.half * uncertainty / self.uncertainty if self.uncertainty else 0.0


def summarise(draws: np.ndarray, level: float = 0.95, shortest: bool = False) -> Summary:
    """Return the estimate, standard uncertainty and coverage interval of some draws; one draw is exact.

    estimate (1/M) Σ y;  u² = Σ (y - estimate)² / (M - 1);  interval [y_(r), y_(r+q)] of the sorted draws with q = p M
    rounded and r = (M - q)/2 rounded, so that as many draws lie below as above, or, `shortest`, with r where it is
    narrowest.

    draws  one or more finite numbers, any unit
    level  p, between 0 and 1

    ValueError for no draws, draws that are not finite or beyond LARGEST, or a level outside 0 to 1.
    Source: JCGM 101:2008, 7.6.2 and 7.6.3 (equations 16 and 17), 7.7.2 to 7.7.4.
    """
    values = np.ravel(np.asarray(draws, dtype=float))
    if not 0 < level < 1:
        raise ValueError(f"a level lies between 0 and 1, not at {level}")
    if values.size == 0 or not (np.abs(values) <= LARGEST).all():
        raise ValueError(f"a summary needs draws, one at least, all finite and at most {LARGEST:g} in size")
    least, most = float(values.min()), float(values.max())
    if least == most:
        return Summary(least, 0.0, least, least)
    # By a power of two, which rounds nothing, so that squares of huge or tiny draws stay within a float's range.
    scale = int(np.frexp(max(abs(least), abs(most)))[1])
    scaled = np.ldexp(values, -scale)
    mean = float(scaled.mean())
    uncertainty = sqrt(float(np.sum((scaled - mean) ** 2)) / (scaled.size - 1))
    return Summary(
        float(np.ldexp(mean, scale)), float(np.ldexp(uncertainty, scale)), *_interval(values, level, shortest)
    )


def _interval(values: np.ndarray, level: float, shortest: bool) -> tuple[float, float]:
    count = values.size
    covered = min(int(np.floor(level * count + 0.5)), count - 1)
    if shortest:
        ordered = np.sort(values)
        spans = ordered[covered:] - ordered[: count - covered]
        place = int(np.argmin(spans))
        return float(ordered[place]), float(ordered[place + covered])
    # r counts from 1 in the source, places from 0 here.
    place = max(int(np.floor((count - covered + 1) / 2)), 1) - 1
    ends = np.partition(values, (place, place + covered))
    return float(ends[place]), float(ends[place + covered])


def show(summary: Summary, unit: str) -> str:
    """Return a summary as people read it.

    62 mm                     exact
    62.0 ± 1.5 mm             after ± stands the longer arm of the 95 % interval, so it reads back as the notation
    62.1 (58.3…67.9) mm       the interval is clearly lopsided: one arm over 1.25 times the other
    (2.070 ± 0.020)×10¹¹ Pa   from a million up, or below a thousandth

    After ± stand two digits when they would read 10 to 35, else one; an interval has two digits of its half-width.
    """
    if _is_exact(summary):
        return _with_unit(_exact(summary.estimate), unit)
    power, decimals = _digits(summary)
    estimate = _fixed(summary.estimate, power, decimals)
    if _is_even(summary):
        text = f"{estimate} ± {_fixed(summary.half, power, decimals)}"
        return _with_unit(f"({text}){_tail(power)}" if power else text, unit)
    low, high = _fixed(summary.low, power, decimals), _fixed(summary.high, power, decimals)
    return _with_unit(f"{estimate} ({low}…{high}){_tail(power)}", unit)


def show_estimate(summary: Summary, unit: str) -> str:
    """Return the estimate alone, with as many digits as `show` gives it beside its doubt."""
    if _is_exact(summary):
        return _with_unit(_exact(summary.estimate), unit)
    power, decimals = _digits(summary)
    return _with_unit(f"{_fixed(summary.estimate, power, decimals)}{_tail(power)}", unit)


def _is_exact(summary: Summary) -> bool:
    half = summary.half if summary.high > summary.low else 0.0
    return max(summary.uncertainty, half) <= ROUNDING * abs(summary.estimate)


def _is_even(summary: Summary) -> bool:
    below, above = summary.estimate - summary.low, summary.high - summary.estimate
    return min(below, above) > 0 and max(below, above) <= LOPSIDED * min(below, above)


def _digits(summary: Summary) -> tuple[int, int]:
    """Return the power of ten to take out, and how many decimals are left then."""
    if _is_even(summary):
        power = _power(max(abs(summary.estimate), summary.half))
        return power, _decimals(summary.half, fine=False) + power
    power = _power(max(abs(summary.estimate), abs(summary.low), abs(summary.high)))
    width = (summary.high - summary.low) / 2
    return power, _decimals(width if width > 0 else summary.uncertainty, fine=True) + power


def _exact(value: float) -> str:
    digits = f"{value:.5e}"
    exponent = int(digits.split("e")[1])
    if value == 0 or (-4 <= exponent < 6) or (value == int(value) and exponent < 7):
        text = str(int(value)) if value == int(value) else f"{value:.{5 - exponent}f}".rstrip("0").rstrip(".")
        return text.replace("-", MINUS)
    return digits.split("e")[0].rstrip("0").rstrip(".").replace("-", MINUS) + _tail(exponent)


def _power(size: float) -> int:
    """Return the power of ten to take out, 0 where none is needed."""
    exponent = int(f"{size:.2e}".split("e")[1])
    return exponent if exponent >= 6 or exponent <= -4 else 0


def _decimals(doubt: float, fine: bool) -> int:
    """Return how many decimals a doubt is shown with; negative for tens and above."""
    mantissa, exponent = f"{doubt:.2e}".split("e")
    leading = float(mantissa)
    if leading >= 9.5:
        return -int(exponent)
    return (1 if fine or leading < 3.55 else 0) - int(exponent)


def _fixed(value: float, power: int, decimals: int) -> str:
    shown = round(value / 10.0**power, decimals)
    text = f"{shown:.{max(decimals, 0)}f}"
    return text.removeprefix("-") if float(text) == 0 else text.replace("-", MINUS)


def _tail(power: int) -> str:
    return f"×10{str(power).translate(_RAISE)}" if power else ""


def _with_unit(text: str, unit: str) -> str:
    return f"{text}{'' if not unit or unit == '°' else ' '}{unit}"
