"""The way of measuring along shafts, declared."""

from __future__ import annotations

from dataclasses import replace
from math import hypot, sqrt

import numpy as np

from ledger.photo.declaring import Known, Method, Role, Use
from ledger.photo.lengths_declared import FOR_MODELS, HARTLEY, LENS, PICKING, REFERENCE, WHOLE_PICTURE
from ledger.photo.lens import BrownLens, Lens, UnknownLens, doubted_by_lens
from ledger.photo.shaft_line import Stack, axial_stack
from ledger.photo.values import Measured, measured, spread
from ledger.quantities.notation import Quantity


def _shaft_line(use: Use) -> Measured:
    stack = _stack(use, use.lens)
    if len(use.points["part"]) == 1:
        return next(one for one in stack.positions if one.label == "part 1")
    for gap in stack.gaps:
        if gap.label in ("part 1 to part 2", "part 2 to part 1"):
            return measured("length", "mm", gap.draws, gap.parts)
    # Other features lie between the two. Their picks err independently; what the lens and what is known do, they share.
    at = {one.label: one for one in stack.positions}
    drawn = _apart(stack)
    settled = spread(_apart(_stack(use, _settled(use.lens)))) if doubted_by_lens(use.lens) else spread(drawn)
    picking = hypot(at["part 1"].parts["picking"], at["part 2"].parts["picking"])
    parts = {"picking": picking, "known": sqrt(max(settled**2 - picking**2, 0.0))}
    if doubted_by_lens(use.lens):
        parts["lens"] = sqrt(max(spread(drawn) ** 2 - settled**2, 0.0))
    return measured("length", "mm", drawn, parts)


def _stack(use: Use, lens: Lens) -> Stack:
    known = {
        f"known {number}": pair
        for number, pair in enumerate(zip(use.points["known"], use.quantities("places"), strict=True), 1)
    }
    wanted = {f"part {number}": pick for number, pick in enumerate(use.points["part"], 1)}
    return axial_stack(known, wanted, lens, use.word("stated") == "one-after-another", use.photograph, use.count)


def _apart(stack: Stack) -> np.ndarray:
    """Return draws of the distance of the two wanted features [mm]."""
    at = {one.label: one.draws for one in stack.positions}
    drawn = at["part 2"] - at["part 1"]
    return np.asarray(drawn if drawn.mean() >= 0 else -drawn)


def _settled(lens: Lens) -> Lens:
    """Return a lens at its best values, without doubt of its own."""
    if isinstance(lens, UnknownLens):
        bend, aside = (Quantity(repr(one.mean), "exact", "", (one.mean,)) for one in (lens.bend, lens.aside))
        return replace(lens, bend=bend, aside=aside)
    return replace(lens, residual=0.0) if isinstance(lens, BrownLens) else lens


SHAFT_LINE = Method(
    name="shaft-line",
    title="Place along a shaft",
    purpose="Where a feature lies along a shaft, or how far two lie apart, from three or more known places on it.",
    roles=(
        Role("known", "Features at known places", 3, 40, True, "Far apart along the shaft"),
        Role("part", "One or two wanted features", 1, 2, hint="One gives its place, two the distance between them"),
    ),
    knowns=(
        Known("places", "Place of each known feature", "mm", hint="Along the shaft", of="known", each="point"),
        Known(
            "stated",
            "How the places are stated",
            None,
            "from-one-end",
            "One after another: each after the first as the distance from the one before, with a doubt of its own",
            words=("from-one-end", "one-after-another"),
        ),
    ),
    unit="mm",
    outputs=(PICKING, REFERENCE, ("known", "the known places, and their picks"), LENS),
    formula="A line goes to its picture by *t* = (*α s* + *β*)/(*γ s* + 1); three known places settle it, and the "
    "picture keeps the cross-ratio (*AC* · *BD*)/(*BC* · *AD*).",
    assumptions=(
        "All features lie on one straight line: the shaft's axis, or one edge along it. Shoulders of different "
        "diameters, each picked on its own outline, do not.",
        WHOLE_PICTURE,
    ),
    cautions=(FOR_MODELS,),
    sources=(f"{HARTLEY}, 2.5.",),
    compute=_shaft_line,
)
