"""Whether intervals that claim a rate keep it: counted, with the sampling error of so many cases."""

from __future__ import annotations

from math import floor, sqrt

from ledger.photo.values import Measured

# One right method in a thousand would be refused.
SIGMAS = 3.3


def holds(found: Measured, truth: float) -> bool:
    """Whether an interval has the truth in it."""
    return found.low <= truth <= found.high


def rate_of(draws: int, level: float = 0.95) -> float:
    """The rate at which an interval of so many draws holds one more: q/(M + 1), q = p M rounded (JCGM 101, 7.7)."""
    return floor(level * draws + 0.5) / (draws + 1)


def sampling_error(cases: int, rate: float = 0.95) -> float:
    """By how much the counted rate of so many independent cases may differ from the claimed one."""
    return SIGMAS * sqrt(rate * (1 - rate) / cases)


def check_coverage(name: str, held: int, cases: int, rate: float) -> None:
    """Refuse a method whose intervals hold the truth more seldom, or more often, than they claim."""
    counted = held / cases
    error = sampling_error(cases, rate)
    assert abs(counted - rate) <= error, (
        f"{name}: held {held} of {cases} ({counted:.3f}), claimed {rate:.3f} ± {error:.3f}"
    )
