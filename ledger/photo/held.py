"""Picks and knowns held against what a method declares: every fault at once, and then as the method takes them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import isfinite

from ledger.errors import meant_by, nearest
from ledger.photo.declaring import Known, Method, Role, Said, Stated
from ledger.photo.lens_stated import LensGiven, One, lens_wrongs
from ledger.photo.values import FINEST, WIDEST, Pick
from ledger.photo.wrong import Wrong, unknown
from ledger.quantities.notation import NotationError, parse
from ledger.quantities.units import same_dimension

Given = One | Sequence[One]
Points = Mapping[str, Sequence[Sequence[float]]]


def wrongs(
    method: Method,
    points: Points,
    known: Mapping[str, Given],
    lens: LensGiven,
    size: tuple[float, float] | None,
    doubt: float,
) -> list[Wrong]:
    """Return everything that can be told to be wrong without measuring.

    size  of the picture [px]; None where nothing tells it: then no point is held to be outside
    """
    found = [*_roles(method, points, size), *_knowns(method, points, known), *lens_wrongs(method, lens, size)]
    if not (isfinite(doubt) and FINEST <= doubt <= WIDEST):
        found.append(Wrong("doubt", f"{doubt:g}", "a number of pixels above zero", "1 is usual for a sharp edge."))
    if method.medium == "photograph" and size is not None and not all(isfinite(one) and one >= 1 for one in size):
        found.append(
            Wrong("size", f"{size[0]:g} × {size[1]:g}", "width and height of the picture", "Count its pixels.")
        )
    return found


def picks_of(points: Points, doubt: float) -> dict[str, tuple[Pick, ...]]:
    """Return places as picks by role; roles without any are left out."""
    return {
        role: tuple(Pick(float(at[0]), float(at[1]), float(doubt)) for at in places)
        for role, places in points.items()
        if places
    }


def read_known(method: Method, points: Points, known: Mapping[str, Given]) -> dict[str, Stated]:
    """Return what is known as quantities and words by name, with defaults; of what `wrongs` finds no fault in."""
    read: dict[str, Stated] = {}
    for declared in method.knowns:
        if declared.of and not points.get(declared.of):
            continue
        if declared.name in known:
            given = known[declared.name]
            if isinstance(given, Sequence) and not isinstance(given, str):
                read[declared.name] = tuple(_read(declared, one) for one in given)
            else:
                read[declared.name] = _read(declared, given)
        elif declared.default is not None:
            read[declared.name] = _read(declared, declared.default)
    return read


def _read(declared: Known, given: One) -> Said:
    return given if isinstance(given, str) and given in declared.words else parse(given)


def _roles(method: Method, points: Points, size: tuple[float, float] | None) -> Iterator[Wrong]:
    names = [role.name for role in method.roles]
    for name in points:
        if method.role(name) is None:
            yield unknown(f"points.{name}", name, names, f"picks that {method.name} takes")
    meant = meant_by(points, names)
    for role in method.roles:
        places = points.get(role.name, ())
        if not places:
            if role.needed and role.name not in meant:
                yield Wrong("points", f"no `{role.name}`", role.label, f"Mark {role.many}.")
            continue
        if not max(role.least, 1) <= len(places) <= role.most:
            yield Wrong(f"points.{role.name}", f"{len(places)}", f"{role.many}: {role.label}", "Mark just so many.")
        for number, place in enumerate(places, 1):
            yield from _place(f"points.{role.name}.{number}", role, place, size)
    for group in dict.fromkeys(role.instead for role in method.roles if role.instead):
        either = [role for role in method.roles if role.instead == group]
        marked = [role.name for role in either if points.get(role.name)]
        if len(marked) != 1 and not meant & {role.name for role in either}:
            yield Wrong(
                "points",
                " and ".join(f"`{name}`" for name in marked) or "none of them",
                f"one of {', '.join(role.name for role in either)}",
                "They stand in for one another: mark one of them.",
            )


def _place(field: str, role: Role, place: Sequence[float], size: tuple[float, float] | None) -> Iterator[Wrong]:
    if len(place) != 2:
        yield Wrong(field, f"{len(place)} numbers", "two numbers", "Give a place as [x, y].")
        return
    x, y = place
    shown = f"[{x:g}, {y:g}]"
    if not all(isfinite(one) and abs(one) <= WIDEST for one in (x, y)):
        yield Wrong(field, shown, "two finite numbers", "Mark it again.")
    elif role.form == "span" and not 0 <= x < y:
        yield Wrong(field, shown, "a start and a later end, in seconds", "Write the earlier time first.")
    elif role.form == "guide" and not (x >= 0 and y > 0):
        yield Wrong(field, shown, "a time in seconds and a frequency in Hz", "Write the time first.")
    elif role.form == "point" and size is not None and not (0 <= x <= size[0] and 0 <= y <= size[1]):
        yield Wrong(
            field,
            shown,
            f"a point in the picture of {size[0]:g} × {size[1]:g} px",
            "Count pixels from the upper left corner of the whole picture, x to the right.",
        )


def _knowns(method: Method, points: Points, known: Mapping[str, Given]) -> Iterator[Wrong]:
    names = [declared.name for declared in method.knowns]
    for name in known:
        if method.known(name) is None:
            yield unknown(f"known.{name}", name, names, f"something {method.name} asks for")
    meant = meant_by(known, names)
    for declared in method.knowns:
        field = f"known.{declared.name}"
        picked = len(points.get(declared.of, ())) if declared.of else 0
        if declared.name not in known:
            asked = declared.needed and (picked or not declared.of)
            if asked and declared.name not in meant:
                each = {"": "", "point": ", one for each point", "gap": ", one between each two"}[declared.each]
                yield Wrong("known", f"no `{declared.name}`", f"{declared.label}{each}", _example(declared))
            continue
        if declared.of and not picked:
            yield Wrong(field, f"`{declared.name}`", f"points of `{declared.of}`", "Mark those, or take this out.")
            continue
        given = known[declared.name]
        listed = isinstance(given, Sequence) and not isinstance(given, str)
        if listed != bool(declared.each):
            expected = "a list, one for each" if declared.each else "one value"
            yield Wrong(field, "a list" if listed else "one value", expected, f"`{declared.name}`: {declared.label}.")
            continue
        if isinstance(given, Sequence) and not isinstance(given, str):
            wanted = picked - (declared.each == "gap")
            if len(given) != wanted:
                beside = "stretches between points" if declared.each == "gap" else "points"
                yield Wrong(field, f"{len(given)}", f"{wanted}, as many as {beside}", "Give one for each, in order.")
            for number, one in enumerate(given, 1):
                yield from _known(f"{field}.{number}", declared, one)
        else:
            yield from _known(field, declared, given)


def _known(field: str, declared: Known, given: One) -> Iterator[Wrong]:
    if isinstance(given, str) and given in declared.words:
        return
    words = ", ".join(declared.words)
    try:
        quantity = parse(given)
    except NotationError as error:
        if declared.unit is None:
            near = nearest(str(given), declared.words, 1)
            yield Wrong(field, f"`{given}`", f"one of {words}", f"Write `{near[0]}`." if near else "Choose one.")
        else:
            yield Wrong(field, error.given, error.expected, error.remedy)
        return
    if declared.unit is None:
        yield Wrong(field, f"`{quantity.text}`", f"one of {words}", "Choose one of the words.")
    elif not same_dimension(quantity.unit, declared.unit):
        wanted = f"a quantity in {declared.unit}" if declared.unit else "a number without a unit"
        yield Wrong(field, f"`{quantity.text}`", wanted, f"`{declared.name}`: {declared.label}.")
    elif declared.whole and (quantity.shape != "exact" or quantity.mean != int(quantity.mean) or quantity.mean < 0):
        yield Wrong(field, f"`{quantity.text}`", "a whole number", f"`{declared.name}`: {declared.label}.")


def _example(declared: Known) -> str:
    if declared.each:
        return f"Write `{declared.name}: [{f'0 {declared.unit}'.strip()}, …]`."
    return f"Write a line such as `{declared.name}: {f'24 ± 0.2 {declared.unit}'.strip()}`."
