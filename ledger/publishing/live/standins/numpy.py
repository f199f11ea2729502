"""Stands in for numpy: its functions on floats and on one row of floats, as calculators use them.

An array here is one row; comparisons give rows of truths. Where numpy has an answer for what the standard library
refuses (the root or logarithm of a number below nought, a division by nought, an overflow), so has this.
"""

from __future__ import annotations

import math
from math import inf, nan

from ledger.publishing.live.standins.quick import quick
from ledger.publishing.live.standins.row import ROWS, ndarray, paired, ratio, row_of, truth
from ledger.publishing.live.standins.row import generic as generic
from ledger.publishing.live.standins.row import logical_and as logical_and

pi = math.pi
bool_ = bool
_to_whole = round
float64 = float


# Asking of what class a value is takes ten times as long in the browser as comparing it, and raising an error a hundred
# times. So a float is known by what comparing it gives: a truth, where a row gives a row.
def _each(name, function):
    """Return a function of a float, or of a row."""

    def on(value):
        same = value == value
        if same is True or same is False:
            return function(value)
        return value.each(function)

    return quick(name, on)


def _root(value):
    return math.sqrt(value) if value >= 0 else nan


def _logarithm(value):
    return math.log(value) if value > 0 else -inf if value == 0 else nan


def _exponential(value):
    try:
        return math.exp(value)
    except OverflowError:
        return inf


def _within_one(function):
    return lambda value: function(value) if -1 <= value <= 1 else nan


def _nearest(value):
    return float(_to_whole(value)) if math.isfinite(value) else value


sqrt, exp, log = _each("sqrt", _root), _each("exp", _exponential), _each("log", _logarithm)
sin, cos = _each("sin", math.sin), _each("cos", math.cos)
tan, arctan = _each("tan", math.tan), _each("arctan", math.atan)
arcsin, arccos = _each("arcsin", _within_one(math.asin)), _each("arccos", _within_one(math.acos))
isfinite, absolute = _each("isfinite", math.isfinite), _each("absolute", abs)
abs = absolute
radians, floor, ceil, round = (
    _each("", math.radians),
    _each("", lambda value: float(math.floor(value))),
    _each("", lambda value: float(math.ceil(value))),
    _each("", _nearest),
)


def _lesser(one, two):
    return one if one <= two or one != one else two


def _greater(one, two):
    return one if one >= two or one != one else two


minimum, maximum = quick("minimum", paired(_lesser)), quick("maximum", paired(_greater))
equal, not_equal = paired(lambda one, two: one == two), paired(lambda one, two: one != two)
greater, less = paired(lambda one, two: one > two), paired(lambda one, two: one < two)
greater_equal, less_equal = paired(lambda one, two: one >= two), paired(lambda one, two: one <= two)
divide = paired(ratio)


def clip(value, low, high):
    """Return values no less than low and no more than high."""
    return minimum(maximum(value, low), high)


def _where(condition, yes, no):
    """Return, place by place, one of two; where one truth decides for all, what it picks at the length of both."""
    held, ones, others = broadcast_arrays(condition, yes, no)
    if not isinstance(held, ndarray):
        return yes if held else no
    return ndarray([one if kept else other for kept, one, other in zip(held, ones, others, strict=True)])


where = quick("where", _where)


def asarray(value, dtype=None):
    """Return rows for lists; floats as they are."""
    return row_of(value) if isinstance(value, (list, tuple)) else value


def array(value):
    """Return a row of its own."""
    return ndarray(value)


def ravel(value):
    """Return a row, also for a float."""
    return row_of(value) if isinstance(value, ROWS) else ndarray([value])


atleast_1d = ravel


def ndim(value):
    """Return 0 for a float, 1 for a row."""
    return 1 if isinstance(value, ROWS) else 0


def shape(value):
    """Return () for a float, the length for a row."""
    return (len(value),) if ndim(value) else ()


def size(value):
    """Return how many numbers there are."""
    return len(value) if ndim(value) else 1


def broadcast_arrays(*values):
    """Return rows of one length; floats are repeated."""
    lengths = [len(one) for one in values if ndim(one)]
    longest = max_of(lengths) if lengths else None
    if longest is None:
        return list(values)
    return [broadcast_to(one, longest) for one in values]


def broadcast_to(value, length):
    """Return a row of that length; a shape of () leaves a float."""
    count = length if isinstance(length, int) else (length[0] if length else None)
    if count is None:
        return value
    if ndim(value):
        if count != len(value) and len(value) != 1:
            raise ValueError("rows of different lengths")
        return row_of(value) if count == len(value) else ndarray(list(value) * count)
    return ndarray([value] * count)


def max_of(values):
    """Return the greatest of some lengths."""
    return sorted(values)[-1]


def mean(value):
    """Return the mean of a row, or a number."""
    return math.fsum(value) / len(value) if ndim(value) else float(value)


def sum(value):
    """Return the sum of a row."""
    return math.fsum(value) if ndim(value) else value


def std(value):
    """Return the standard deviation of a row about its mean, divided by its length."""
    if not ndim(value):
        return 0.0
    middle = mean(value)
    return math.sqrt(math.fsum((one - middle) ** 2 for one in value) / len(value))


any, all = quick("any", lambda value: truth(value, False)), quick("all", lambda value: truth(value, True))


def min(value):
    """Return the least of a row."""
    return row_of(value).min() if ndim(value) else value


def max(value, axis=None):
    """Return the greatest of a row; along the first axis, place by place, of several."""
    if axis is None:
        return row_of(value).max() if ndim(value) else value
    most = value[0]
    for one in value[1:]:
        most = maximum(most, one)
    return most


def ptp(value):
    """Return the greatest less the least."""
    return max(value) - min(value) if ndim(value) else 0.0


def argmax(value):
    """Return the place of the greatest, the first of equals."""
    return row_of(value).argmax()


def sort(value):
    """Return a sorted row."""
    return ndarray(sorted(value))


def append(one, two):
    """Return two rows in one."""
    return ndarray([*ravel(one).items, *ravel(two).items])


def roll(value, by):
    """Return a row turned by some places."""
    cut = len(value) - by % len(value)
    return ndarray([*value.items[cut:], *value.items[:cut]])


def zeros(count, dtype=None):
    """Return a row of nothing."""
    return full(count, False if dtype is bool else 0.0)


def ones(count, dtype=None):
    """Return a row of ones."""
    return full(count, True if dtype is bool else 1.0)


def full(count, value):
    """Return a row of one value."""
    return ndarray([value] * (count if isinstance(count, int) else count[0]))


def full_like(like, value):
    """Return a row of one value as long as another; a float for a float."""
    return full(len(like), value) if ndim(like) else value


def linspace(start, stop, count=50):
    """Return values evenly spread, ends included."""
    step = (stop - start) / (count - 1) if count > 1 else 0.0
    made = [start + place * step for place in range(count)]
    if count > 1:
        made[-1] = stop
    return ndarray([float(one) for one in made])


def geomspace(start, stop, count=50):
    """Return values evenly spread in their logarithms, ends included."""
    powers = linspace(math.log10(start), math.log10(stop), count)
    return ndarray([start, *(10.0**one for one in powers.items[1:-1]), stop])


def unique(value, return_counts=False):
    """Return the different values in order, and how often each stands there."""
    counts = {}
    for one in sorted(ravel(value).items):
        counts[one] = counts.get(one, 0) + 1
    found = ndarray(list(counts))
    return (found, ndarray(list(counts.values()))) if return_counts else found


def searchsorted(edges, values, side="left"):
    """Return before which place of a sorted row each value goes; after its equals with side right."""

    def place(value):
        return len([one for one in edges if one < value or (side == "right" and one == value)])

    return ndarray([place(one) for one in values]) if ndim(values) else place(values)


def histogram(values, bins, density=False):
    """Return how many values fall into bins of one width, and their edges; by density the bins' area is 1."""
    low, high = min(values), max(values)
    if low == high:
        low, high = low - 0.5, high + 0.5
    edges = linspace(low, high, bins + 1)
    counts = [0] * bins
    for one in values:
        place = int((one - low) / (high - low) * bins)
        place = bins - 1 if place >= bins else place
        if one < edges[place]:
            place -= 1
        elif place + 1 < bins and one >= edges[place + 1]:
            place += 1
        counts[place] += 1
    if density:
        whole = len(values)
        counts = [count / (edges[place + 1] - edges[place]) / whole for place, count in enumerate(counts)]
    return ndarray(counts), edges


def interp(at, places, heights):
    """Return the height at a place, by straight lines between known ones and level beyond them."""
    if ndim(at):
        return ndarray([interp(one, places, heights) for one in at])
    if at <= places[0]:
        return heights[0]
    for before in range(len(places) - 1):
        if at < places[before + 1]:
            slope = (heights[before + 1] - heights[before]) / (places[before + 1] - places[before])
            return slope * (at - places[before]) + heights[before]
    return heights[-1]


def frexp(value):
    """Return a float as a share of a power of two, and the power."""
    return math.frexp(value)


def ldexp(value, power):
    """Return numbers times a power of two."""
    return ndarray([math.ldexp(one, power) for one in value]) if ndim(value) else math.ldexp(value, power)


def partition(value, places):
    """Return a row sorted, which has every place as a partition has it."""
    return sort(value)


def argmin(value):
    """Return the place of the least, the first of equals."""
    return row_of(value).items.index(row_of(value).min())
