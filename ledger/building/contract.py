"""What a section of the build sheet declares, once, as data.

From the one declaration come the check of what decisions fix, the conversion of units, the draws, the tables of the
page and of the files, and the chain from each number to the decisions it comes from. A parameter is declared as an
input of a calculator is; in an entry its name has hyphens where the declaration has underscores.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ledger.building.drawings.drawing import Drawing
from ledger.calculators.contract import Input, Number

WALL, TIP, GAP = "wall", "tip", "gap"
AS_MODEL = "as the model"


@dataclass(frozen=True)
class Column:
    """One column of a table: numbers in `unit`, or words.

    of      the parameters, of this section or of those above, that its numbers come from
    behind  it is looked up rather than made to: the page shows it behind the others
    """

    name: str
    label: str
    unit: str = ""
    of: tuple[str, ...] = ()
    behind: bool = False


@dataclass(frozen=True)
class Table:
    """A table of the sheet; its first column, and with it all up to `keys`, say what a row is about.

    split  the column by which it is divided into one table and one file each
    """

    name: str
    title: str
    columns: tuple[Column, ...]
    keys: int = 1
    split: str = ""

    def column(self, name: str) -> Column | None:
        """Return the column of that name, or None."""
        return next((column for column in self.columns if column.name == name), None)


@dataclass(frozen=True)
class Feature:
    """Something that a process must be able to make: a wall, a tip, or a gap between moving parts.

    size     [mm], a float or draws; `process` by which it is made; of as of a `Column`
    """

    what: str
    kind: str
    size: Any
    process: str
    of: tuple[str, ...] = ()


@dataclass(frozen=True)
class BillItem:
    """One line of the bill of parts; `drawing` names the drawing it is made by, `process` is "" for what is bought."""

    part: str
    count: int
    material: str
    process: str
    stock: str
    drawing: str = ""
    note: str = ""
    of: tuple[str, ...] = ()


@dataclass(frozen=True)
class Sketch:
    """A drawing with its name as a file, and what it shows in words.

    fine    for the files; `coarse` for the page, which draws it small
    of      as of a `Column`
    """

    name: str
    title: str
    told: str
    fine: Drawing
    coarse: Drawing
    of: tuple[str, ...] = ()


@dataclass(frozen=True)
class Problem:
    """One thing in the way of what a section makes.

    serious  whether it cannot run so; else it is a caution
    about    what it is about, in a word or two: backlash, disc, fork third
    said     what is wrong, what was expected and how to mend it
    """

    serious: bool
    about: str
    said: str


@dataclass(frozen=True)
class Naming:
    """A column of a parameter's rows whose words, if any, must be those of another parameter's column.

    of  parameter and column of every table that may have the name; while none of them is fixed, any name may stand
    """

    parameter: str
    column: str
    of: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Placed:
    """A number of the sheet: what it is in words, its unit, its draws, and of what it comes, as of a `Column`."""

    label: str
    unit: str
    value: Any
    of: tuple[str, ...] = ()


Rows = list[dict[str, Any]]


@dataclass(frozen=True)
class Made:
    """What a section makes of its parameters.

    tables    rows by table name: cells by column name, floats or draws in the column's unit, or words
    passed    what sections below may use, by name
    problems  what is wrong with the parameters taken together, or should be borne in mind
    """

    tables: Mapping[str, Rows]
    features: Sequence[Feature] = ()
    items: Sequence[BillItem] = ()
    sketches: Sequence[Sketch] = ()
    problems: Sequence[Problem] = ()
    passed: Mapping[str, Any] | None = None


@dataclass(frozen=True)
class Section:
    """One part of the sheet.

    parameters  what decisions can fix, as inputs; one without a default is undecided until a decision fixes it
    wanted      those of them that the section can be computed without, though nothing can be made without them
    uses        what sections above pass on, by name; None where they pass nothing. What all of them made can be used
                too: `features`, `items` and `numbers` (by table, row and column)
    compute     takes the parameters and what it uses by name. Raises ValueError for what cannot be
    names       columns whose words name rows of other parameters
    follows     it is in use wherever another section is; others are where a decision fixes one of their parameters
    """

    name: str
    title: str
    purpose: str
    parameters: tuple[Input, ...]
    tables: tuple[Table, ...]
    compute: Callable[..., Made]
    formula: str
    sources: tuple[str, ...]
    assumptions: tuple[str, ...]
    cautions: tuple[str, ...]
    wanted: tuple[str, ...] = ()
    uses: tuple[str, ...] = ()
    names: tuple[Naming, ...] = ()
    follows: bool = False

    def parameter(self, name: str) -> Input | None:
        """Return the parameter of that name, or None."""
        return next((one for one in self.parameters if one.name == name), None)

    def table(self, name: str) -> Table | None:
        """Return the table of that name, or None."""
        return next((one for one in self.tables if one.name == name), None)


def millimetres(name: str, label: str, low: float = 0.01, default: str | None = None) -> Number:
    """Return a parameter that is a length in mm, with the limits that it is made to."""
    return Number(name, label, "mm", low, 5000.0, default=default, limits=True)


def entry_name(name: str) -> str:
    """Return a parameter's name as entries write it."""
    return name.replace("_", "-")
