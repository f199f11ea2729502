"""Where on the page a fault is told that measuring finds: at the field of what was stated."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from ledger.bench.telling import Told, refused
from ledger.errors import PhotoRefused
from ledger.photo.declaring import Method

# What the calculations call what is stated, and the knowns under which methods ask for it. The first that a method has
# is meant; of two numbers in one text the second is the point.
SPOKEN: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("known length", ("bar",)),
    ("known diameter", ("reference",)),
    ("tip diameter", ("reference",)),
    ("focal length.*", ("focal",)),
    ("distance over diameter", ("distance",)),
    ("difference in depth", ("depth",)),
    ("depth over the reference's diameter", ("depth",)),
    ("profile shift", ("shift",)),
    ("speed kept in the gap", ("kept",)),
    ("least step", ("least",)),
    ("teeth", ("teeth", "range")),
    ("hidden teeth", ("hidden",)),
    ("tilt|depth|width|height|diameter|addendum|passing|band|placing|arrangement|nearer", ()),
)
LISTED: tuple[tuple[str, str], ...] = (
    (r"known x of point (\d+)", "at-x"),
    (r"known y of point (\d+)", "at-y"),
    (r"angle of point (\d+)", "angles"),
    (r"stretch (\d+)", "hidden"),
)
LENS = {"lens": "lens", "lens bend": "lens.bend", "lens aside": "lens.aside"}
# What is asked for otherwise than the calculations take it, so that what they were given is not what was written.
CONVERTED = frozenset({"focal"})
WITH_PICTURE = frozenset({"view", "plane", "camera"})


def placed(method: Method, known: Mapping[str, Any], error: PhotoRefused) -> list[Told]:
    """Return what measuring refuses, each fault at the field of the form that it is about, where there is one.

    known  what is stated, as text by name
    """
    return [_placed(method, known, one) for one in refused(error)]


def _placed(method: Method, known: Mapping[str, Any], fault: Told) -> Told:
    spoken = fault["field"]
    name = known_of(method, spoken)
    if name is None:
        # Words of the calculations for the whole of the picks tell a reader of the page nothing.
        return {**fault, "field": LENS.get(spoken, "" if spoken in WITH_PICTURE else spoken)}
    given = known.get(name.partition(".")[0])
    shown = {"given": f"`{given}`"} if name in CONVERTED and isinstance(given, str) else {}
    return {**fault, **shown, "field": f"known.{name}"}


def known_of(method: Method, spoken: str) -> str | None:
    """Return the known that the calculations mean, such as `bar` or `at-x.2`; None where it is none of the method's."""
    for pattern, name in LISTED:
        found = re.fullmatch(pattern, spoken)
        if found and method.known(name) is not None:
            return f"{name}.{found[1]}"
    for pattern, names in SPOKEN:
        if re.fullmatch(pattern, spoken):
            return next((name for name in names or (spoken,) if method.known(name) is not None), None)
    return None
