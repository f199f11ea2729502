"""What a calculation gives: frozen values, in the units people read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from ledger.quantities.summary import Summary


@dataclass(frozen=True)
class Bound:
    """An input as it was bound.

    ground   value, chosen, measurement, calculation, rows or default
    ref      the entry it comes from (`measurements/x`, `calculations/y`), if any; `output` the output of that
             calculation
    stated   the notation as written
    summary  of a number's draws; None for words, truths and rows
    rows     cells as written, for a table
    """

    name: str
    label: str
    unit: str
    ground: str
    ref: str | None
    output: str | None
    stated: str
    reason: str | None
    summary: Summary | None
    rows: tuple[Mapping[str, Any], ...] = ()


Cell = Summary | bool | int | float | str


@dataclass(frozen=True)
class Outcome:
    """An output. Numbers and wholes have a summary; truths the chance that they hold; text and rows a value.

    share  of the draws, over which alone a number is summed up, because it means nothing in the others; None for all
    """

    name: str
    label: str
    unit: str
    form: str
    summary: Summary | None = None
    chance: float | None = None
    value: tuple[Mapping[str, Cell], ...] | str | None = None
    share: float | None = None


@dataclass(frozen=True)
class TakenLimit:
    """What a limit taken from elsewhere comes to: its side (`at-least`, `at-most`), source as written, and draws."""

    side: str
    source: str
    summary: Summary
    unit: str


@dataclass(frozen=True)
class Kept:
    """A criterion and the chance that it holds, at the choice that keeps all criteria most often.

    limit  in words; what is `taken` from elsewhere stands there by its reference
    """

    output: str
    limit: str
    chance: float
    taken: tuple[TakenLimit, ...] = ()


@dataclass(frozen=True)
class Share:
    """What one root's doubt does to an output.

    share        of the output's variance, 0 to 1
    uncertainty  standard uncertainty of the output, in its shown unit, if the root's doubt were halved; None where it
                 cannot be
    chance       that all criteria hold then; None without criteria
    """

    output: str
    root: str
    share: float
    uncertainty: float | None
    chance: float | None


@dataclass(frozen=True)
class Result:
    """One calculation run. `choice` is what the chosen inputs were set to, as text by input; `kept` is by criterion.

    above  what the chosen inputs of the calculations that it stands on were set to for this one, by calculation: for
           themselves alone they may stand elsewhere
    """

    ref: str
    calculator: str
    inputs: tuple[Bound, ...]
    outcomes: tuple[Outcome, ...]
    kept: tuple[Kept, ...]
    choice: Mapping[str, str]
    shares: tuple[Share, ...] = ()
    above: Mapping[str, Mapping[str, str]] = field(default_factory=dict)

    def outcome(self, name: str | None) -> Outcome | None:
        """Return the outcome of that name, or None."""
        return next((outcome for outcome in self.outcomes if outcome.name == name), None)
