"""One row of floats or truths that computes place by place, as numpy's arrays do."""

from __future__ import annotations

from math import copysign, fsum, inf, nan

from ledger.publishing.live.standins.quick import quick, rows


class generic:
    """What numpy's own scalars are; here there are none."""


def ratio(one, two):
    """Return one over two; over nought, without bound or no number, as numpy has it."""
    try:
        return one / two
    except ZeroDivisionError:
        return nan if one == 0 or one != one else copysign(inf, one) * copysign(1.0, two)


def power(one, two):
    """Return one to the power of two; no number where that is not real."""
    try:
        raised = one**two
    except ZeroDivisionError:
        return inf
    except OverflowError:
        return inf
    return nan if isinstance(raised, complex) else raised


def paired(function):
    """Return a function of two of which one at least is a row."""

    def on(one, two):
        left, right = isinstance(one, ROWS), isinstance(two, ROWS)
        if not left and not right:
            return function(one, two)
        if left and right and len(one) != len(two):
            raise ValueError(f"rows of {len(one)} and {len(two)}")
        count = len(one if left else two)
        ones, twos = list(one) if left else [one] * count, list(two) if right else [two] * count
        return ndarray([function(ones[place], twos[place]) for place in range(count)])

    return on


def _extreme(of):
    return lambda items: nan if any(one != one for one in items) else of(items)


least, greatest = quick("least", _extreme(min)), quick("greatest", _extreme(max))


def row_of(value):
    """Return a row as it is, and one of a list."""
    return value if isinstance(value, ndarray) else ndarray(value)


def truth(value, whole):
    """Return whether all are true, or with `whole` false, whether some are; rows within rows included."""
    if value is True or value is False:
        return value
    if not isinstance(value, ROWS):
        return bool(value)
    for one in value:
        if truth(one, whole) != whole:
            return not whole
    return whole


class ndarray:
    """One row."""

    def __init__(self, items):
        self.items = list(items)

    def __iter__(self):
        return iter(self.items)

    def __len__(self):
        return len(self.items)

    def __bool__(self):
        raise TypeError("a row is neither true nor false")

    def __getitem__(self, place):
        if isinstance(place, slice):
            return ndarray(self.items[place])
        if isinstance(place, ndarray):
            if place.items and isinstance(place.items[0], bool):
                return ndarray([one for one, kept in zip(self.items, place.items, strict=False) if kept])
            return ndarray([self.items[one] for one in place.items])
        return self if place == () else self.items[place]

    def each(self, function):
        """Return the row of what a function gives of every place."""
        return ndarray([function(one) for one in self.items])

    def __abs__(self):
        return self.each(abs)

    def __invert__(self):
        return ndarray([not one for one in self.items])

    @property
    def size(self):
        """Return how many there are."""
        return len(self.items)

    @property
    def shape(self):
        """Return how many there are, as numpy says it."""
        return (len(self.items),)

    def min(self):
        """Return the least; no number if there is one that is none."""
        return least(self.items)

    def max(self):
        """Return the greatest; no number if there is one that is none."""
        return greatest(self.items)

    def argmax(self):
        """Return the place of the greatest, the first of equals."""
        return self.items.index(max(self.items))

    def sum(self):
        """Return the sum."""
        return fsum(self.items)

    def mean(self):
        """Return the mean."""
        return fsum(self.items) / len(self.items)

    def any(self):
        """Return whether some are true."""
        return any(self.items)

    def all(self):
        """Return whether all are true."""
        return all(self.items)

    def tolist(self):
        """Return a list."""
        return list(self.items)


ROWS = (ndarray, list, tuple)


def _turned(function):
    def on(self, other):
        return function(other, self)

    return on


_PAIRS = {
    "add": paired(lambda one, two: one + two),
    "sub": paired(lambda one, two: one - two),
    "mul": paired(lambda one, two: one * two),
    "truediv": paired(ratio),
    "floordiv": paired(lambda one, two: one // two),
    "mod": paired(lambda one, two: one % two),
    "pow": paired(power),
    "and": paired(lambda one, two: one and two),
    "or": paired(lambda one, two: one or two),
    "xor": paired(lambda one, two: bool(one) != bool(two)),
}
_SAMES = {
    "eq": paired(lambda one, two: one == two),
    "ne": paired(lambda one, two: one != two),
    "lt": paired(lambda one, two: one < two),
    "le": paired(lambda one, two: one <= two),
    "gt": paired(lambda one, two: one > two),
    "ge": paired(lambda one, two: one >= two),
}
for _name, _pair in {**_PAIRS, **_SAMES, "neg": lambda one: one * -1.0}.items():
    setattr(ndarray, f"__{_name}__", _pair)
for _name, _pair in _PAIRS.items():
    setattr(ndarray, f"__r{_name}__", _turned(_pair))
rows(ndarray)


class _Both:
    def __call__(self, one, two):
        return paired(lambda a, b: bool(a) and bool(b))(one, two)

    def reduce(self, values):
        """Return, place by place, whether all hold."""
        found = values[0]
        for one in values[1:]:
            found = self(found, one)
        return found


logical_and = _Both()
