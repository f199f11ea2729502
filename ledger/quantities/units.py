"""Conversion between units, with factors from pint, which is loaded when the first one is needed.

Two things differ from pint. Angles are a dimension of their own: `N·m/rad` is no `N·m`, and 30 is neither 30° nor
30 rad. And shaft speeds are counts of turns: `rpm`, `1/min` and `rev/min` are one and the same, `Hz` is a turn a
second, and `rad/s` converts to them by 2π rad a turn, as every workshop does:

    1 rpm = 1 1/min = 1/60 Hz = 2π/60 rad/s

Only units that multiply are known, so that one factor converts values and doubts alike; temperatures are in kelvin.
Factors are found in 40 decimal digits and rounded once.
"""

from __future__ import annotations

from decimal import Context, Decimal, localcontext
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Any, TypeVar

from ledger.quantities import vocabulary
from ledger.quantities.refusal import NotationError
from ledger.quantities.unit_text import read_unit

if TYPE_CHECKING:
    import numpy as np

    Value = TypeVar("Value", float, np.ndarray)

DIGITS = 40
Dimension = frozenset[tuple[str, float]]
TURNS: Dimension = frozenset({("[time]", -1.0)})
ANGLE_A_TIME: Dimension = frozenset({("[time]", -1.0), ("[angle]", 1.0)})


def check_unit(text: str) -> str:
    """Return a unit's text tidied (`kg m^2` as `kg·m²`) without pint; NotationError if it is unknown."""
    return read_unit(text).tidy


def same_dimension(one: str, other: str) -> bool:
    """Return whether values in one unit can be converted to the other; shaft speeds in `1/min` and `rad/s` can."""
    first, second = read_unit(one).tidy, read_unit(other).tidy
    if first == second:
        return True
    dimensions = {_known(first)[1], _known(second)[1]}
    return len(dimensions) == 1 or dimensions == {TURNS, ANGLE_A_TIME}


@lru_cache(maxsize=4096)
def factor(unit_from: str, unit_to: str) -> float:
    """Return what a value in one unit is multiplied by to have it in another [unit_to / unit_from].

    NotationError if a unit is unknown or they are not of one dimension.
    """
    first, second = read_unit(unit_from).tidy, read_unit(unit_to).tidy
    if first == second:
        return 1.0
    size, dimension = _known(first)
    wanted_size, wanted = _known(second)
    with localcontext(Context(prec=DIGITS)):
        ratio = size / wanted_size
        if (dimension, wanted) == (ANGLE_A_TIME, TURNS):
            ratio /= _turn()
        elif (dimension, wanted) == (TURNS, ANGLE_A_TIME):
            ratio *= _turn()
        elif dimension != wanted:
            raise _differs(first, second)
        return float(ratio)


def convert(value: Value, unit_from: str, unit_to: str) -> Value:
    """Return a value, or an array of values, in another unit of the same dimension."""
    return value * factor(unit_from, unit_to)


@cache
def _registry() -> Any:
    import pint

    with localcontext(Context(prec=DIGITS)):
        return pint.UnitRegistry(non_int_type=Decimal, cache_folder=None)


@cache
def _root(name: str) -> tuple[Decimal, Dimension]:
    """Return one symbol's size in pint's root units, and its dimension with the angle in it."""
    registry = _registry()
    with localcontext(Context(prec=DIGITS)):
        size, root = registry.get_root_units(registry.Unit(vocabulary.pint_name(name)))
        dimension = {base: float(power) for base, power in root.dimensionality.items()}
    if vocabulary.is_angle(name):
        dimension["[angle]"] = 1.0
    return Decimal(size), frozenset(dimension.items())


def _turn() -> Decimal:
    return _root("turn")[0]


@cache
def _known(tidy: str) -> tuple[Decimal, Dimension]:
    """Return a unit's size in pint's root units and its dimension."""
    size, dimension = Decimal(1), dict[str, float]()
    with localcontext(Context(prec=DIGITS)):
        for name, power in read_unit(tidy).powers:
            one, bases = _root(name)
            size *= one ** (int(power) if power == int(power) else Decimal(str(power)))
            for base, exponent in bases:
                dimension[base] = dimension.get(base, 0.0) + exponent * power
    return size, frozenset((base, power) for base, power in dimension.items() if power != 0)


def alike(unit: str) -> tuple[str, ...]:
    """Return the commonest units that values in a unit can be converted to, that unit first."""
    return tuple(dict.fromkeys((unit, *(each for each in vocabulary.COMMON if same_dimension(unit, each)))))


def _differs(first: str, second: str) -> NotationError:
    given = f"`{first}`" if first else "a number without unit"
    if not second:
        return NotationError(given, "a number without unit", "Give the number alone, or a share in `%`.")
    others = ", ".join(f"`{each}`" for each in alike(second)[1:6])
    remedy = f"Give it in `{second}`" + (f", or in {others}." if others else ".")
    return NotationError(given, f"a unit that converts to `{second}`", remedy)
