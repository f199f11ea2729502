"""From what a reader wrote to what a calculator computes with, held against the calculator's own declaration."""

from __future__ import annotations

import numpy as np

from ledger.calculators.contract import Choice, Number, Rows, Text, Truth, Whole
from ledger.publishing.live.browser.drawing import draws, normal, quantiles
from ledger.publishing.live.browser.reading import Z95, Unreadable, read

SPREAD = 200
SLACK = 1e-9


class Problem:
    """What is wrong with an input: the field's path and the text."""

    def __init__(self, field, text):
        self.field, self.text = field, text


def read_all(calculator, given, units, roots):
    """Return what was read by input, and every problem.

    given  the text, choice, truth or list of rows by input; what is missing or empty is left to the default
    units  by path of an input (`layout.length` for a column) the factors of the units that may be written
    roots  by field's path (`layout.2.length`) the name of what a value was taken from, unless the reader changed it
    """
    found, problems = {}, []
    for declared in calculator.inputs:
        name = declared.name
        if not isinstance(declared, Rows):
            _read_one(found, name, declared, given.get(name), units.get(name), (name, roots.get(name)), problems)
            continue
        rows = given.get(name) or []
        if not (declared.optional and not rows) and len(rows) < declared.least:
            problems.append(Problem(name, f"needs {declared.least} row{'s' if declared.least > 1 else ''} or more"))
        found[name] = []
        for place, row in enumerate(rows):
            cells = {}
            for column in declared.columns:
                path = f"{name}.{place}.{column.name}"
                known = units.get(f"{name}.{column.name}")
                cell = row.get(column.name)
                _read_one(cells, column.name, column, cell, known, (path, roots.get(path)), problems)
            found[name].append(cells)
    return found, problems


def _read_one(into, name, declared, given, units, rooted, problems):
    path, root = rooted
    empty = given is None or (isinstance(given, str) and not given.strip())
    if empty and declared.default is None:
        problems.append(Problem(path, "is missing and has no default"))
        return
    try:
        into[name] = _read(declared, declared.default if empty else given, units or {"": 1.0}, root or path)
    except ValueError as error:
        problems.append(Problem(path, str(error)))


def _read(declared, given, units, root):
    if isinstance(declared, Truth):
        if not isinstance(given, bool):
            raise ValueError("expected yes or no")
        return given
    if isinstance(declared, Text):
        return str(given)
    if isinstance(declared, Choice):
        if given not in declared.options:
            raise ValueError(f"given {given}; expected one of {', '.join(declared.options)}")
        return given
    stated = read(str(given), units)
    _permitted(declared, stated)
    return Root(declared, stated, root)


def _permitted(declared, stated):
    """Raise ValueError for a quantity whose draws would leave what the declaration permits."""
    whole = isinstance(declared, Whole)
    if whole:
        values = stated.numbers[::2] if stated.shape == "whole" else stated.numbers
        if stated.shape not in ("exact", "whole") or any(value != int(value) for value in values):
            raise Unreadable("must be a whole number; write doubt as `30: 0.2, 31: 0.8`")
    unit = f" {declared.unit}" if not whole and declared.unit else ""
    above = not whole and declared.above
    sign = "above" if above else "from"
    permitted = f"what is permitted, {sign} {declared.low:g} to {declared.high:g}{unit}"
    if stated.shape == "normal":
        mean, std = stated.numbers
        reach = std * normal((SPREAD - 0.5) / SPREAD)
        low, high, slack = mean - reach, mean + reach, 0.0
    else:
        low, high = stated.support
        slack = 0.0 if stated.shape == "exact" else SLACK * max(abs(low), abs(high))
    beneath = low <= declared.low if above and stated.shape in ("exact", "normal") else low < declared.low - slack
    if beneath or high > declared.high + slack:
        if stated.shape == "exact":
            raise Unreadable(f"given {low:.6g}{unit}, outside {permitted}")
        raise Unreadable(f"reaches outside {permitted}; state limits, or a range that ends there")


class Root:
    """A stated number of one input, and the name its draws are shuffled by."""

    def __init__(self, declared, stated, name):
        self.declared, self.stated, self.name = declared, stated, name
        self.limits = isinstance(declared, Number) and declared.limits

    @property
    def doubtful(self):
        """Return whether it is stated with doubt."""
        return self.stated.shape != "exact"

    def middle(self):
        """Return its mean; of a whole number the likeliest."""
        return self.stated.nominal if self.stated.shape == "whole" else self.stated.mean

    def as_given(self, value):
        """Return a value or draws as the calculator takes them: with the limits where it asks for those."""
        if not self.limits:
            return value
        low, high = self.stated.support
        if self.stated.shape == "normal":
            mean, std = self.stated.numbers
            low, high = mean - Z95 * std, mean + Z95 * std
        return {"draws": value, "low": low, "high": high, "nominal": self.stated.nominal}


def middles(calculator, found):
    """Return raw values with every number at its middle.

    A calculator that takes no draws of its inputs but weighs the doubt itself is given that doubt, as evenly spread
    values, where it asks for limits and in the cells of its rows.
    """

    def value(root, inside):
        weighs = not calculator.vectorised and root.doubtful and (inside or root.limits)
        return root.as_given(np.array(quantiles(root.stated, SPREAD)) if weighs else root.middle())

    return _raw(found, value)


def drawn(found, start, stop, count, made):
    """Return raw values with draws `start` to `stop` of `count` in place of every number in doubt.

    made  by name and shape the draws so far; one name is drawn once
    """

    def value(root, _inside):
        if not root.doubtful:
            return root.as_given(root.middle())
        return root.as_given(np.array(draws_of(root.stated, root.name, count, made)[start:stop]))

    return _raw(found, value)


def draws_of(stated, name, count, made):
    """Return the draws of a quantity, made once by name and numbers."""
    key = (name, stated.numbers, count)
    if key not in made:
        made[key] = draws(stated, count, name)
    return made[key]


def in_doubt(found):
    """Return whether any number is stated with doubt."""
    flat = [cell for one in found.values() for cell in (_cells(one) if isinstance(one, list) else [one])]
    return any(isinstance(one, Root) and one.doubtful for one in flat)


def _cells(rows):
    return [cell for row in rows for cell in row.values()]


def _raw(found, value):
    def one(read_value, inside=False):
        return value(read_value, inside) if isinstance(read_value, Root) else read_value

    return {
        name: [{key: one(cell, True) for key, cell in row.items()} for row in read_value]
        if isinstance(read_value, list)
        else one(read_value)
        for name, read_value in found.items()
    }
