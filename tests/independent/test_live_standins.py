"""What stands in for numpy and other large modules in the browser, held against them here with the same inputs."""

from __future__ import annotations

import dataclasses
import heapq
import html
import itertools
import json
import math
from statistics import NormalDist
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy import stats

from ledger.publishing.figures import number
from ledger.publishing.live.browser import drawing, reading, talking, telling
from ledger.publishing.live.standins import dataclasses as plain_dataclasses
from ledger.publishing.live.standins import heapq as plain_heapq
from ledger.publishing.live.standins import html as plain_html
from ledger.publishing.live.standins import itertools as plain_itertools
from ledger.publishing.live.standins import numpy as row
from ledger.quantities.notation import NotationError, parse
from ledger.quantities.units import factor
from tests.drawn_numbers import quantities

floats = st.floats(-1e6, 1e6, allow_nan=False)
rows = st.lists(floats, min_size=2, max_size=7)
ONE = ("sin", "cos", "arctan", "exp", "log", "sqrt", "abs", "radians", "isfinite", "floor", "ceil", "round", "arcsin")
TWO = ("minimum", "maximum", "equal", "not_equal", "greater", "less", "greater_equal", "less_equal")
REDUCED = ("mean", "sum", "std", "min", "max", "any", "all", "ptp", "argmax", "argmin", "size", "ndim", "shape")
SIGNS = ("__add__", "__sub__", "__mul__", "__radd__", "__rsub__", "__rmul__", "__lt__", "__le__", "__gt__", "__ge__")


def same(ours: Any, theirs: Any) -> None:
    """Both are one number or one row of them, equal to the rounding of a sum."""
    left = np.asarray(ours.tolist() if hasattr(ours, "tolist") else ours, dtype=float)
    assert left.shape == np.shape(theirs)
    np.testing.assert_allclose(left, np.asarray(theirs, dtype=float), rtol=1e-12, atol=1e-9)


@pytest.mark.parametrize("name", ONE)
@given(value=floats, values=rows)
def test_functions_of_one(name: str, value: float, values: list[float]) -> None:
    """On a float and on a row, also where numpy has no number for an answer."""
    with np.errstate(all="ignore"):
        same(getattr(row, name)(value), getattr(np, name)(value))
        same(getattr(row, name)(row.array(values)), getattr(np, name)(np.array(values)))


@pytest.mark.parametrize("name", TWO)
@given(value=floats, values=rows)
def test_functions_of_two(name: str, value: float, values: list[float]) -> None:
    """On floats, on rows, and on one of each either way round."""
    ours, theirs = getattr(row, name), getattr(np, name)
    one, other = row.array(values), np.array(values)
    for a, b in ((value, values[0]), (values[0], values[0])):
        same(ours(a, b), theirs(a, b))
    same(ours(one, value), theirs(other, value))
    same(ours(value, one), theirs(value, other))
    same(ours(one, row.array(values[::-1])), theirs(other, np.array(values[::-1])))


@pytest.mark.parametrize("name", SIGNS)
@given(value=floats, values=rows)
def test_signs_between_rows(name: str, value: float, values: list[float]) -> None:
    """Rows add, multiply and compare place by place."""
    same(getattr(row.array(values), name)(value), getattr(np.array(values), name)(value))
    same(getattr(row.array(values), name)(row.array(values)), getattr(np.array(values), name)(np.array(values)))


@given(values=rows, value=floats)
def test_divisions_and_powers_have_numpys_answers(values: list[float], value: float) -> None:
    """A division by nought and the root of what is below nought give no error but no number either."""
    with np.errstate(all="ignore"):
        same(row.array(values) / value, np.array(values) / value)
        same(value / row.array(values), value / np.array(values))
        same(row.array(values) ** 0.5, np.array(values) ** 0.5)


@pytest.mark.parametrize("name", REDUCED)
@given(values=rows)
def test_reductions(name: str, values: list[float]) -> None:
    """A row is summed up as numpy sums it up."""
    same(getattr(row, name)(row.array(values)), getattr(np, name)(np.array(values)))


@given(values=rows, other=rows, truths=st.lists(st.booleans(), min_size=7, max_size=7), by=st.integers(-9, 9))
def test_rows_are_picked_turned_and_joined(
    values: list[float], other: list[float], truths: list[bool], by: int
) -> None:
    """Choosing, cutting, sorting, turning, appending and counting agree."""
    kept = truths[: len(values)]
    ours, theirs = row.array(values), np.array(values)
    same(row.where(row.array(kept), ours, 1.5), np.where(kept, theirs, 1.5))
    same(row.clip(ours, -10.0, 10.0), np.clip(theirs, -10.0, 10.0))
    same(ours[row.array(kept)], theirs[np.array(kept)])
    same(ours[1:], theirs[1:])
    same(~(ours > 0) | (ours < 5) & (ours > 1), ~(theirs > 0) | (theirs < 5) & (theirs > 1))
    same((ours > 0) ^ True, (theirs > 0) ^ True)
    same(row.sort(ours), np.sort(theirs))
    same(row.roll(ours, by), np.roll(theirs, by))
    same(row.append(ours, other), np.append(theirs, other))
    twice = [*values, *values, 1.0]
    counted = zip(row.unique(twice, return_counts=True), np.unique(twice, return_counts=True), strict=True)
    for one, two in counted:
        same(one, two)
    edges = sorted(values)
    for side in ("left", "right"):
        same(row.searchsorted(edges, row.array([*values, 0.5]), side), np.searchsorted(edges, [*values, 0.5], side))


@given(values=st.lists(floats, min_size=5, max_size=40), bins=st.integers(2, 9))
def test_histograms(values: list[float], bins: int) -> None:
    """Counts, densities and edges of bins agree."""
    assume(max(values) - min(values) > 1e-3)
    for density in (False, True):
        ours, theirs = row.histogram(row.array(values), bins, density), np.histogram(values, bins, density=density)
        same(ours[0], theirs[0])
        same(ours[1], theirs[1])


def test_ladders_and_lines() -> None:
    """Evenly spread values and straight lines between known ones agree."""
    same(row.linspace(0.3, 7.0, 13), np.linspace(0.3, 7.0, 13))
    same(row.geomspace(1.0, 400.0, 100), np.geomspace(1.0, 400.0, 100))
    for at in (-1.0, 0.0, 0.4, 1.0, 2.5, 3.0, 9.0):
        same(row.interp(at, [0.0, 1.0, 3.0], [5.0, 7.0, -2.0]), np.interp(at, [0.0, 1.0, 3.0], [5.0, 7.0, -2.0]))
    same(row.logical_and.reduce([True, row.array([True, False])]), np.array([True, False]))
    same(row.full(3, 2.0), np.full(3, 2.0))
    same(row.broadcast_to(2.0, 3), np.broadcast_to(2.0, 3))


@given(values=rows, value=floats, truth=st.booleans())
def test_one_truth_picks_whole_rows(values: list[float], value: float, truth: bool) -> None:
    """Where one truth decides for all and either choice is a row, a row comes of it."""
    ours, theirs = row.array(values), np.array(values)
    same(row.where(truth, ours, value), np.where(truth, theirs, value))
    same(row.where(truth, value, ours), np.where(truth, value, theirs))
    same(row.where(truth, ours, row.array(values[::-1])), np.where(truth, theirs, theirs[::-1]))


def test_a_row_of_several_is_no_truth() -> None:
    """Asking a row for its truth is refused, as numpy refuses it."""
    with pytest.raises(TypeError):
        bool(row.array([1.0, 2.0]))


@given(values=st.lists(st.integers(0, 50)))
def test_heaps_neighbours_and_escapes(values: list[int]) -> None:
    """What comes out of a heap is sorted; neighbours, products and escaped texts agree with the standard library."""
    ours: list[int] = []
    theirs: list[int] = []
    for one in values:
        plain_heapq.heappush(ours, one)
        heapq.heappush(theirs, one)
    assert [plain_heapq.heappop(ours) for _ in values] == [heapq.heappop(theirs) for _ in values] == sorted(values)
    assert plain_itertools.pairwise(values) == list(itertools.pairwise(values))
    assert plain_itertools.product([1, 2], [3, 4]) == list(itertools.product([1, 2], [3, 4]))
    assert plain_html.escape("<a href='x'>&\"") == html.escape("<a href='x'>&\"")


def test_fields_of_values() -> None:
    """Values with named fields take them in order or by name, with defaults, and refuse what they have not."""

    def laid_out(library: Any) -> Any:
        class Part:
            name: str
            size: float = 2.0

        return library.dataclass(frozen=True)(Part)

    for library in (dataclasses, plain_dataclasses):
        part = laid_out(library)
        assert (part("a").name, part("a").size, part(name="b", size=1.0).size) == ("a", 2.0, 1.0)
        for wrong in (lambda part=part: part(), lambda part=part: part("a", 1.0, 2), lambda part=part: part("a", x=1)):
            with pytest.raises(TypeError):
                wrong()


@given(share=st.floats(0.5, 0.999999))
def test_normal_quantiles(share: float) -> None:
    """Newton's steps end at the standard library's quantile."""
    assert drawing.normal(share) == pytest.approx(NormalDist().inv_cdf(share), rel=1e-12, abs=1e-15)


@pytest.mark.parametrize("text", ["62 ± 3", "55..68", "55..61..68", "30: 0.2, 31: 0.7, 32: 0.1"])
@pytest.mark.parametrize("count", [200, 25])
def test_quantiles_have_the_moments_of_their_quantity(text: str, count: int) -> None:
    """Draws spread evenly over the chances have its mean, and nearly its standard deviation; they are shuffled."""
    stated, quantity = reading.read(text, {"": 1.0}), parse(text)
    values = drawing.quantiles(stated, count)
    assert np.mean(values) == pytest.approx(quantity.mean, abs=0.05 * quantity.std)
    assert np.std(values) == pytest.approx(quantity.std, rel=0.06)
    assert sorted(drawing.draws(stated, count, "a name")) == sorted(values)


def test_shuffles_of_different_names_are_independent() -> None:
    """The same name gives the same order, other names orders without correlation."""
    orders = [drawing.shuffled(200, f"calculation.input{place}") for place in range(12)]
    assert orders[0] == drawing.shuffled(200, "calculation.input0")
    found = [stats.spearmanr(one, two).statistic for one, two in itertools.combinations(orders, 2)]
    assert np.mean(np.square(found)) == pytest.approx(1 / 199, rel=0.6)


@given(written=quantities())
def test_the_notation_is_read_as_the_ledger_reads_it(written: Any) -> None:
    """Shape, numbers and size of what the ledger reads are the browser's too."""
    quantity = parse(written)
    unit = quantity.unit
    units = {unit: 1.0, **({"": 1.0} if quantity.shape == "whole" else {})}
    ours = reading.read(quantity.text, units)
    assert (ours.shape, ours.numbers, ours.size) == (quantity.shape, quantity.numbers, quantity.stated)
    assert ours.mean == pytest.approx(quantity.mean, rel=1e-15)
    assert (ours.nominal, ours.support) == (quantity.nominal, quantity.support)


@pytest.mark.parametrize(
    "text",
    [
        "62 +/- 3 mm",
        "62±3mm (k=2)",
        "20 +0/-0.05 mm",
        "20 +0.021/0 mm",
        "1.2e3 mm",
        "−5..−2 cm",
        "55 .. 61 .. 68 cm",
        "62 ± 3 mm ( k = 1 )",
    ],
)
def test_forms_people_write(text: str) -> None:
    """Spaces, signs, coverage factors, limits of drawings and other units read to the last digit as the ledger's."""
    units = {"mm": 1.0, "cm": factor("cm", "mm"), "": 1.0}
    ours, theirs = reading.read(text, units), parse(text).to("mm")
    assert (ours.shape, ours.numbers) == (theirs.shape, theirs.numbers)


texts = st.text(alphabet="0123456789.±+-/:,()ek= mµ", max_size=14)


@given(text=texts)
def test_what_one_refuses_the_other_refuses(text: str) -> None:
    """Of any text in these signs both make the same quantity, or neither makes one."""
    try:
        theirs = parse(text)
        known = theirs.unit in ("", "m", "mm", "µm")
    except NotationError:
        theirs, known = None, True
    assume(known)
    units = {"m": 1.0, "mm": 0.001, "µm": 1e-6, "": 1.0}
    try:
        ours = reading.read(text, units)
    except ValueError:
        ours = None
    assert (ours is None) == (theirs is None)
    if ours is not None and theirs is not None:
        assert ours.shape == theirs.shape
        wanted = theirs.to("m").numbers if theirs.unit else theirs.numbers
        assert ours.numbers == pytest.approx(wanted, rel=1e-15)


@given(value=st.floats(-1e12, 1e12))
def test_numbers_are_told_as_pages_tell_them(value: float) -> None:
    """A number without doubt looks as on the ledger's pages."""
    assert telling.number_told(value, "mm") == number(value, "mm")


plain_values = st.none() | st.booleans() | st.integers(-1000, 1000) | st.floats(allow_nan=False, allow_infinity=False)
nested = st.recursive(plain_values | st.text(), lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner))


@given(value=nested)
def test_json_reads_back(value: Any) -> None:
    """What the worker says reads back as what was meant."""
    assert json.loads(talking.dumps(value)) == value


def test_a_number_that_is_none_is_not_told_as_one() -> None:
    """No number and no bound become nothing, which JSON has a word for."""
    assert talking.dumps([math.nan, math.inf]) == "[null,null]"
