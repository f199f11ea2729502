"""What a method of measuring declares, once, as data: what is marked, what must be known, what it tells.

From the one declaration come the check of an entry, the command line, the documentation page and the form of the bench.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Literal

from ledger.photo.lens import Lens
from ledger.photo.recording import Recording
from ledger.photo.values import Measured, Pick
from ledger.quantities.notation import Quantity

Form = Literal["point", "span", "guide"]
Each = Literal["", "point", "gap"]
Medium = Literal["photograph", "recording"]
Said = Quantity | str
Stated = Said | tuple[Said, ...]


@dataclass(frozen=True)
class Role:
    """What picks are of.

    least, most  how many; a role whose least is 0 may be left out
    ordered      whether their order means something
    form         "point": x and y [px]; "span": start and end [s]; "guide": time [s] and frequency [Hz]
    instead      roles with the same word here stand in for one another: just one of them is marked
    """

    name: str
    label: str
    least: int
    most: int
    ordered: bool = False
    hint: str = ""
    form: Form = "point"
    instead: str = ""

    @property
    def needed(self) -> bool:
        """Return whether it must be marked, whatever else is."""
        return self.least > 0 and not self.instead

    @property
    def many(self) -> str:
        """Return in words how many there may be, where it is marked."""
        least = max(self.least, 1)
        return f"{least}" if least == self.most else f"{least} to {self.most}"


@dataclass(frozen=True)
class Known:
    """What is known beside the picks.

    unit       of the quantity, "" for a pure number; None where only words will do
    default    taken where nothing is stated, as text; None where there is none
    otherwise  what holds where nothing is stated and there is no default; "" where it must be stated
    words      words that may stand in place of a quantity
    of         the role it belongs to: it is asked for where that role is marked, and at no other time
    each       "point": one for each pick of that role, in their order; "gap": one for each stretch between two
    whole      whether only whole numbers will do
    """

    name: str
    label: str
    unit: str | None = ""
    default: str | None = None
    hint: str = ""
    otherwise: str = ""
    words: tuple[str, ...] = ()
    of: str = ""
    each: Each = ""
    whole: bool = False

    @property
    def needed(self) -> bool:
        """Return whether it must be stated, where the role it belongs to is marked."""
        return self.default is None and not self.otherwise


@dataclass(frozen=True, eq=False)
class Use:
    """One use of a method: picks by role, knowns by name with defaults filled in, the lens, the picture's size."""

    points: Mapping[str, tuple[Pick, ...]]
    known: Mapping[str, Stated]
    lens: Lens
    size: tuple[float, float]
    photograph: str
    recording: Recording | None
    count: int

    def quantity(self, name: str) -> Quantity:
        """Return a known that is one quantity."""
        found = self.known[name]
        assert isinstance(found, Quantity)
        return found

    def optional(self, name: str) -> Quantity | None:
        """Return a known that is one quantity, or None where it is not stated."""
        return self.quantity(name) if name in self.known else None

    def word(self, name: str) -> str:
        """Return a known that is a word."""
        found = self.known[name]
        assert isinstance(found, str)
        return found

    def quantities(self, name: str) -> tuple[Quantity, ...]:
        """Return a known that is one quantity for each pick."""
        found = self.known[name]
        assert isinstance(found, tuple)
        return tuple(one for one in found if isinstance(one, Quantity))


@dataclass(frozen=True)
class Found(Measured):
    """What a method found: a measured value, and for a count the chance of each whole number.

    chances  by whole number; empty for anything but a count
    notes    what a person should know of it besides, one sentence each
    """

    chances: Mapping[int, float] = field(default_factory=dict)
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Method:
    """A way of measuring.

    unit     of what is measured, "" for a pure number
    outputs  the parts of its uncertainty by name, each with what it means
    medium   what it measures from
    lens     whether a lens is asked for
    whole    whether it gives whole numbers with their chances
    compute  the picks and knowns to what is found; PhotoRefused for what it cannot measure
    """

    name: str
    title: str
    purpose: str
    roles: tuple[Role, ...]
    knowns: tuple[Known, ...]
    unit: str
    outputs: tuple[tuple[str, str], ...]
    formula: str
    assumptions: tuple[str, ...]
    cautions: tuple[str, ...]
    sources: tuple[str, ...]
    compute: Callable[[Use], Measured]
    medium: Medium = "photograph"
    lens: bool = True
    whole: bool = False

    def role(self, name: str) -> Role | None:
        """Return the role of that name, or None."""
        return next((role for role in self.roles if role.name == name), None)

    def known(self, name: str) -> Known | None:
        """Return the known of that name, or None."""
        return next((known for known in self.knowns if known.name == name), None)


def told(found: Measured, chances: Mapping[int, float] | None = None, notes: tuple[str, ...] = ()) -> Found:
    """Return a measured value as what a method found."""
    if isinstance(found, Found):
        return found
    return Found(
        found.label,
        found.unit,
        found.estimate,
        found.uncertainty,
        found.low,
        found.high,
        found.draws,
        found.parts,
        chances or {},
        notes,
    )


def scaled(quantity: Quantity, factor: float, unit: str) -> Quantity:
    """Return a quantity times a number, in another unit. Not for whole numbers with chances."""
    return Quantity(quantity.text, quantity.shape, unit, tuple(factor * number for number in quantity.numbers))
