"""What a calculator declares, once, as data.

From the one declaration come the check of an entry, the conversion of units, the draws, the documentation page and the
command line. `compute` takes every input by name: a number or whole as float (or an array of draws where the calculator
is `vectorised`) in the declared unit, a choice as str, a truth as bool, rows as a list of dicts whose cells follow
their columns. It returns a dict with every output by name, in the declared unit.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import inf
from typing import Any

import numpy as np

Draws = float | np.ndarray  # of a number: a float where it is exact, else an array of draws


@dataclass(frozen=True)
class Number:
    """A real input in `unit`, permitted from `low` to `high` (both included; `above` excludes the lower end).

    With `limits` the calculator is given a dict of `draws`, `low`, `high` and `nominal` in place of the draws alone:
    the ends of the quantity as written (of a normal one, those that cover 95 %) and the size a drawing would state.
    """

    name: str
    label: str
    unit: str = ""
    low: float = -inf
    high: float = inf
    above: bool = False
    default: str | None = None
    limits: bool = False


@dataclass(frozen=True)
class Whole:
    """A whole-number input from `low` to `high`, both included."""

    name: str
    label: str
    low: int = 0
    high: int = 10**9
    default: str | None = None


@dataclass(frozen=True)
class Ranges:
    """Declares inputs whose units and ranges are those that mechanics permits, by the name of the input or a key."""

    permitted: Mapping[str, tuple[str, str, float, float]]

    def number(
        self, name: str, label: str, default: str | None = None, key: str | None = None, low: float | None = None
    ) -> Number:
        """Return a real input; `low` in place of the least that is permitted."""
        _, unit, least, greatest = self.permitted[key or name]
        return Number(name, label, unit, low=least if low is None else low, high=greatest, default=default)

    def whole(self, name: str, label: str, default: str | None = None, key: str | None = None) -> Whole:
        """Return a whole-number input."""
        _, _, least, greatest = self.permitted[key or name]
        return Whole(name, label, low=int(least), high=int(greatest), default=default)


@dataclass(frozen=True)
class Choice:
    """One of a few words."""

    name: str
    label: str
    options: tuple[str, ...]
    default: str | None = None


@dataclass(frozen=True)
class Truth:
    """Yes or no."""

    name: str
    label: str
    default: bool | None = None


@dataclass(frozen=True)
class Text:
    """Free words, such as the name of a part."""

    name: str
    label: str
    default: str | None = None


@dataclass(frozen=True)
class Rows:
    """A small table; each row has the columns, each column is one of the inputs above."""

    name: str
    label: str
    columns: tuple[Number | Whole | Choice | Truth | Text, ...]
    least: int = 1
    optional: bool = False


Input = Number | Whole | Choice | Truth | Text | Rows


@dataclass(frozen=True)
class Output:
    """A result. `form` is number, whole, truth, text, rows or curves.

    Numbers are in `unit`, and people read them in `shown` (the unit itself where it is left out). An `optional` one may
    be left out by `compute`, where the inputs do not ask for it. One that is `given` a truth means something only where
    that output holds: it is summed up over those draws, and left out where there are none. Curves are rows of `series`
    (a name), `x` and `y`, drawn as lines against `axes`, the labels of x and y with their units.
    """

    name: str
    label: str
    unit: str = ""
    form: str = "number"
    shown: str | None = None
    optional: bool = False
    axes: tuple[str, str] = ("", "")
    given: str = ""


@dataclass(frozen=True)
class Calculator:
    """A computation the ledger knows.

    vectorised  one call takes arrays of draws; otherwise it is run once for each different combination of them
    costly      a run takes a second or more, so what better measurements would buy is not computed
    """

    name: str
    title: str
    purpose: str
    inputs: tuple[Input, ...]
    outputs: tuple[Output, ...]
    formula: str
    sources: tuple[str, ...]
    assumptions: tuple[str, ...]
    cautions: tuple[str, ...]
    compute: Callable[..., Mapping[str, Any]]
    vectorised: bool = True
    costly: bool = False

    def input(self, name: str) -> Input | None:
        """Return the declared input of that name, or None."""
        return next((declared for declared in self.inputs if declared.name == name), None)

    def output(self, name: str) -> Output | None:
        """Return the declared output of that name, or None."""
        return next((declared for declared in self.outputs if declared.name == name), None)
