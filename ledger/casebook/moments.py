"""Where confidences stood as postings came in, as frozen values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True)
class Moment:
    """The ledger as it stood after one posting.

    seq          the last revision of the posting; `at` its time, in UTC to the second
    confidences  by question and rival, under present refs; questions that could not be weighed then are absent
    leaders      by question, who led; None where nobody did
    kept         by calculation and criterion (its output and limit in words), the chance that it held; calculations
                 that could not be computed then are absent
    """

    seq: int
    at: str
    confidences: Mapping[str, Mapping[str, float]]
    leaders: Mapping[str, str | None] = field(default_factory=dict)
    kept: Mapping[str, Mapping[str, float]] = field(default_factory=dict)


@dataclass(frozen=True)
class Lost:
    """A posting after which the ledger cannot be rebuilt, and why."""

    seq: int
    at: str
    why: str


@dataclass(frozen=True)
class Course:
    """How confidences went as postings came in.

    moments     in the order of the record, thinned evenly where there are many; the last is the present
    lost        postings that belong between them and cannot be rebuilt
    postings    how many there were in all
    foretold    by resolved question, the last moment before its answer was known or recorded
    unforetold  by resolved question without one, why
    """

    moments: tuple[Moment, ...] = ()
    lost: tuple[Lost, ...] = ()
    postings: int = 0
    foretold: Mapping[str, Moment] = field(default_factory=dict)
    unforetold: Mapping[str, str] = field(default_factory=dict)


def earliest(date: str) -> str:
    """Return the first day that a date like 2031, 2031-05 or 2031-05-17 may mean."""
    return date + "-01-01"[len(date) - 4 :]


def latest(date: str) -> str:
    """Return a day that is no earlier than the last one that such a date may mean, for comparing."""
    return date + "-12-31"[len(date) - 4 :]
