"""Everything that can go wrong, as one tree.

WitnessError              anything a person can mend; the command line prints it, never a traceback
  FaultsFound             one or more faults in what was given; nothing was changed
  NotInLedger             a reference that leads nowhere
  CalculationRefused      a calculator was asked for what it cannot answer
  WeighingRefused         a question that cannot be weighed as it stands
  PhotoRefused            a photograph or recording from which the wanted quantity cannot be measured
  StoreRefused            the ledger file cannot be used
    StoreTooNew           it was written by a later program
    StoreDamaged          its chain, text or structure does not verify
    StoreBusy             another program holds it
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, order=True)
class Fault:
    """One thing wrong: where it stands, what was given, what was expected, how to mend it."""

    file: str
    line: int
    field: str
    given: str
    expected: str
    remedy: str

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}" if self.line else self.file
        field = f" {self.field}:" if self.field else ""
        return f"{place}{field} given {self.given}; expected {self.expected}. {self.remedy}"


def of_command(field: str, given: str, expected: str, remedy: str) -> Fault:
    """Return a fault in what a command was asked: it stands in no file."""
    return Fault("the command line", 0, field, given, expected, remedy)


def nearest(name: str, known: Iterable[str], most: int = 3) -> list[str]:
    """Return the known names that are most like one; where none is, those that it is a part of."""
    from difflib import get_close_matches

    names = list(known)
    return get_close_matches(name, names, most) or [one for one in names if name and name in one][:most]


def did_you_mean(name: str, known: Iterable[str]) -> str:
    """Return the remedy for a name that is none of those known: the one most like it, else all of them."""
    names = list(known)
    near = nearest(name, names, 1)
    return f"Did you mean `{near[0]}`?" if near else f"There are: {', '.join(names)}."


def meant_by(given: Iterable[str], known: Iterable[str]) -> set[str]:
    """Return what misspelt names were meant for: it is told once, and is not missing as well."""
    names = list(known)
    return {near[0] for name in given if name not in names and (near := nearest(name, names, 1))}


class WitnessError(Exception):
    """Anything a person can mend."""


class FaultsFound(WitnessError):
    """Faults in what was given, all of them at once."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(sorted(faults))
        super().__init__("\n".join(str(fault) for fault in self.faults))


class NotInLedger(WitnessError):
    """A reference that leads nowhere."""


class CalculationRefused(WitnessError):
    """A calculator was asked for what it cannot answer."""


class WeighingRefused(WitnessError):
    """A question that cannot be weighed as it stands."""


class PhotoRefused(WitnessError):
    """A photograph or recording from which the wanted quantity cannot be measured."""

    def parts(self) -> tuple[str, str, str]:
        """Return what was given, what was expected and how to mend it, of a refusal that says so."""
        given, _, rest = str(self).partition("; expected ")
        expected, _, remedy = rest.partition(". ")
        return given.partition("given ")[2] or given, expected, remedy


class StoreRefused(WitnessError):
    """The ledger file cannot be used."""


class StoreTooNew(StoreRefused):
    """The ledger file was written by a later program."""


class StoreDamaged(StoreRefused):
    """The ledger file's chain, text or structure does not verify."""


class StoreBusy(StoreRefused):
    """Another program holds the ledger file."""
