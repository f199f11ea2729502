"""The build sheet as frozen values: what pages, files and the command show."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import sqrt
from typing import Any

from ledger.building.contract import Column, Problem, Section, Sketch
from ledger.building.deciding.settlement import Share, Shared
from ledger.calculators.results import Bound
from ledger.quantities.summary import Summary

TAKEN, STANDS, FREE, DEFAULT = "taken from", "stands on", "chosen freely", "usual, not decided"
PARTLY = "chosen freely in part"
Cell = Summary | str


class Limits(Summary):
    """A size with the limits that it is made to: its nominal is the estimate, its limits are the ends."""


def limits_of(value: Mapping[str, Any]) -> Summary:
    """Return the limits of a value as parameters with limits are given; one without doubt is exact."""
    nominal, low, high = (float(value[name]) for name in ("nominal", "low", "high"))
    return Limits(nominal, (high - low) / sqrt(12.0), low, high) if low < high else Summary(nominal, 0.0, low, high)


@dataclass(frozen=True)
class Grid:
    """One table of the sheet; cells by column, numbers as summaries in the column's unit.

    name      as a file; `title` as a heading
    keys      how many of the first columns say what a row is about
    """

    name: str
    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    keys: int = 1


@dataclass(frozen=True)
class Settled(Shared):
    """A parameter as it stands on the sheet.

    shares   those of the decisions that fix it, none if it is usual
    summary  its number; the limits of one that was stated with limits
    """

    name: str
    section: str
    bound: Bound
    shares: tuple[Share, ...] = ()
    summary: Summary | None = None

    @property
    def how(self) -> str:
        """Return how it came about: taken from or standing on grounds, chosen freely, or usual."""
        if not self.shares:
            return DEFAULT
        if not all(one.grounds for one in self.shares):
            return PARTLY if any(one.grounds for one in self.shares) else FREE
        return TAKEN if self.bound.ref is not None else STANDS


@dataclass(frozen=True)
class Undecided:
    """A parameter that no decision fixes.

    needed    whether its section cannot be computed without it; else nothing can be made without it
    questions, lookouts  refs of what may help to decide it
    """

    name: str
    label: str
    section: str
    needed: bool
    questions: tuple[str, ...]
    lookouts: tuple[str, ...]


@dataclass(frozen=True)
class Open:
    """A hypothesis of an open question that decisions rest on, and how confident the ledger is of it."""

    hypothesis: str
    question: str
    confidence: float
    leads: bool
    decisions: tuple[str, ...]


@dataclass(frozen=True)
class Chapter:
    """One section as it stands, with the decisions that it stands on. `refused` says why it could not be computed."""

    section: Section
    decisions: tuple[str, ...]
    parameters: tuple[Settled, ...]
    tables: tuple[Grid, ...] = ()
    sketches: tuple[Sketch, ...] = ()
    problems: tuple[Problem, ...] = ()
    undecided: tuple[Undecided, ...] = ()
    refused: str = ""


@dataclass(frozen=True)
class Sheet:
    """The whole sheet. Without chapters nothing is decided yet.

    conflicts  parameters that are unknown or fixed twice, in words: decisions that were posted before they could be
    """

    title: str
    chapters: tuple[Chapter, ...]
    opens: tuple[Open, ...]
    cautions: tuple[str, ...]
    conflicts: tuple[str, ...] = ()

    @property
    def sketches(self) -> tuple[Sketch, ...]:
        """Return every drawing of the sheet."""
        return tuple(one for chapter in self.chapters for one in chapter.sketches)

    @property
    def parameters(self) -> Mapping[str, Settled]:
        """Return every parameter on the sheet by name."""
        return {one.name: one for chapter in self.chapters for one in chapter.parameters}

    @property
    def undecided(self) -> tuple[Undecided, ...]:
        """Return all that is undecided, what stops a section first."""
        found = [one for chapter in self.chapters for one in chapter.undecided]
        return tuple(sorted(found, key=lambda one: not one.needed))

    @property
    def wrong(self) -> tuple[tuple[str, Problem], ...]:
        """Return with its section everything in the way of building: what is refused, and serious problems."""
        found = [
            (chapter.section.name, Problem(True, chapter.section.title, chapter.refused))
            for chapter in self.chapters
            if chapter.refused
        ]
        found += [(one.section.name, problem) for one in self.chapters for problem in one.problems if problem.serious]
        return tuple(found)
