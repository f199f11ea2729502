"""Faults of rows that a declaration cannot tell: two of one name, stands that are no places, balls too large."""

from __future__ import annotations

from collections.abc import Iterator, Set
from dataclasses import dataclass

from ledger.calculators.cam_parts import MARKS
from ledger.entries.models import Decision
from ledger.entries.parts import Cell
from ledger.quantities.notation import NotationError, parse

# The column that names a row, of parameters whose rows stand for one thing each.
NAMED = {
    "gear-pairs": "gear",
    "gear-blanks": "gear",
    "shafts": "shaft",
    "shaft-axes": "axis",
    "bearings": "seat",
    "bearing-fits": "place",
    "drum-tracks": "track",
    "disc-tracks": "track",
    "dogs": "kind",
    "dog-rings": "ring",
    "forks": "fork",
    "fork-rails": "rail",
    "hub-splines": "hub",
    "casing-walls": "wall",
    "casing-detents": "detent",
}
TRACKS, DETENTS, DISC = ("drum-tracks", "disc-tracks"), "casing-detents", "disc"
THICK = {True: ("disc-thickness", "the disc"), False: ("fork-rail", "the rail")}
WIDEST = 2.0
Standing = list[tuple[str, Decision]]


@dataclass(frozen=True)
class RowFault:
    """A fault of one row, of the decision `ref`, at `field`."""

    ref: str
    field: str
    given: str
    expected: str
    remedy: str


def row_faults(standing: Standing, changed: Set[str]) -> Iterator[RowFault]:
    """Yield the faults of the rows of changed decisions; of detents also where what they press on has changed."""
    for ref, decision in standing:
        if ref in changed:
            for parameter, column in NAMED.items():
                yield from _twice(ref, parameter, column, rows_of(decision, parameter))
            for parameter in TRACKS:
                yield from _no_places(ref, parameter, rows_of(decision, parameter))
    yield from _large_balls(standing, changed)


def rows_of(decision: Decision, parameter: str) -> list[dict[str, Cell]]:
    """Return the rows that a decision gives a parameter, by its name in entries; none where it fixes none."""
    fixed = decision.fixes.get(parameter)
    return (fixed.rows or []) if fixed is not None else []


def _twice(ref: str, parameter: str, column: str, rows: list[dict[str, Cell]]) -> Iterator[RowFault]:
    first: dict[str, int] = {}
    for place, row in enumerate(rows, 1):
        name = str(row.get(column, "")).strip()
        if name and first.setdefault(name, place) != place:
            given = f"`{name}`, which row {first[name]} is too"
            yield RowFault(ref, f"fixes.{parameter}.rows.{place}.{column}", given, f"one row for each {column}",
                           "Name the two apart, or take one of them out.")  # fmt: skip


def _no_places(ref: str, parameter: str, rows: list[dict[str, Cell]]) -> Iterator[RowFault]:
    known = "+, 0 and -, or shares of the travel between -2 and 2"
    for place, row in enumerate(rows, 1):
        words = str(row.get("stands", "")).split()
        field = f"fixes.{parameter}.rows.{place}.stands"
        wrong = [word for word in words if not _is_place(word)]
        if wrong:
            told = ", ".join(f"`{word}`" for word in dict.fromkeys(wrong))
            yield RowFault(ref, field, told, known, "Write one of them for each position, with a space between.")


def _is_place(word: str) -> bool:
    try:
        return word in MARKS or abs(float(word)) <= WIDEST
    except ValueError:
        return False


def _large_balls(standing: Standing, changed: Set[str]) -> Iterator[RowFault]:
    thick = {
        name: (ref, size)
        for ref, decision in standing
        for name, _ in THICK.values()
        if name in decision.fixes and (size := _millimetres(decision.fixes[name].value)) is not None
    }
    for ref, decision in standing:
        for place, row in enumerate(rows_of(decision, DETENTS), 1):
            name, what = THICK[str(row.get("rail", "")).strip() == DISC]
            ball = _millimetres(row.get("ball"))
            if ball is None or name not in thick or changed.isdisjoint((ref, thick[name][0])) or ball <= thick[name][1]:
                continue
            yield RowFault(ref, f"fixes.{DETENTS}.rows.{place}.ball", f"{ball:g} mm",
                           f"a ball no larger than {what} is thick, {thick[name][1]:g} mm by `{name}`",
                           "Take a smaller ball.")  # fmt: skip


def _millimetres(value: object) -> float | None:
    """Return the nominal of a stated length [mm], None where none is stated or it cannot be read."""
    if not isinstance(value, str | int | float) or isinstance(value, bool):
        return None
    try:
        quantity = parse(value).to("mm")
    except NotationError:
        return None
    return quantity.mean if quantity.stated is None else quantity.stated
