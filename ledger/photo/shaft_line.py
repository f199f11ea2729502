"""Places along a shaft from one oblique picture: features on one straight line, three or more of them at known places.

A perspective picture maps a line to a line by t = (α s + β)/(γ s + 1), with s the place along the shaft and t the
place along its picture. Three known places settle α, β, γ, and a fourth follows from the cross-ratio, which the picture
keeps: (AC · BD)/(BC · AD). More known places are fitted by least squares in the picture.

All features must lie on one straight line of the part: its axis, or one edge along it. Shoulders of different diameters
do not, when each is picked on its own outline.

Source: Hartley and Zisserman, Multiple View Geometry in Computer Vision, 2nd ed. (2004), 2.5 (the projective geometry
of 1D), from memory.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from ledger.photo.lens import Lens, doubted_by_lens, lens_faults, straighten
from ledger.photo.line_map import FEWEST, fit, project
from ledger.photo.values import (
    APART,
    DRAWS,
    Measured,
    Pick,
    draw_picks,
    known_faults,
    measured,
    pick_faults,
    places,
    refuse,
    spread,
)
from ledger.quantities.draws import generator
from ledger.quantities.notation import Quantity

# Picks of the wanted features; picks of the known ones; their known places; the lens.
CAUSES = ("picking", "reference", "known", "lens")
DRAWS_FOR_PARTS = 1_000
# Off the line by more than this many standard uncertainties is no picking error.
OFF_LINE = 4.5


@dataclass(frozen=True)
class Stack:
    """Places of features along a shaft and the gaps between neighbours, in the order of the shaft.

    positions  every feature [mm] from where the known places count, known ones as the line fits them
    gaps       from each feature to the next [mm]; labels "A to B"
    """

    positions: tuple[Measured, ...]
    gaps: tuple[Measured, ...]


def axial_stack(
    known: Mapping[str, tuple[Pick, Quantity]],
    wanted: Mapping[str, Pick],
    lens: Lens,
    chained: bool = False,
    photograph: str = "",
    count: int = DRAWS,
) -> Stack:
    """Return the places along a shaft of all features, and the gaps between neighbours [mm].

    known       label to pick and place [mm], three or more; the order does not matter
    wanted      label to pick
    chained     each known place after the first is a distance from the one before, its doubt its own
    photograph  a name: what is measured on one photograph shares what it has in common

    PhotoRefused, all faults at once: fewer than three known places; a label twice; picks that are no pixels; picks or
    known places that coincide within their doubt; a pick off the line; places in another order than their picks, and
    picks that do or may lie beyond the horizon, in any draw.
    """
    labels = [*known, *wanted]
    picks = [*(pick for pick, _ in known.values()), *wanted.values()]
    quantities = [place for _, place in known.values()]
    refuse(_given_faults(known, wanted, quantities, lens, chained))
    together = _along(labels, picks, quantities, lens, CAUSES, chained, photograph, count)
    causes = CAUSES if doubted_by_lens(lens) else CAUSES[:3]
    few = min(count, DRAWS_FOR_PARTS)
    alone = {one: _along(labels, picks, quantities, lens, (one,), chained, photograph, few) for one in causes}
    order = [int(number) for number in np.argsort(together[0], kind="stable")]

    def told(label: str, plus: int, minus: int | None = None) -> Measured:
        def value(drawn: np.ndarray) -> np.ndarray:
            return np.asarray(drawn[1:, plus] - (0.0 if minus is None else drawn[1:, minus]))

        parts = {one: spread(value(drawn)) for one, drawn in alone.items()}
        return measured(label, "mm", value(together), parts)

    return Stack(
        tuple(told(labels[number], number) for number in order),
        tuple(told(f"{labels[before]} to {labels[after]}", after, before) for before, after in pairwise(order)),
    )


def _given_faults(
    known: Mapping[str, tuple[Pick, Quantity]],
    wanted: Mapping[str, Pick],
    quantities: Sequence[Quantity],
    lens: Lens,
    chained: bool,
) -> list[str]:
    faults = lens_faults(lens)
    if len(known) < FEWEST:
        faults.append(
            f"shaft line: given {len(known)} known places; expected three at least. Mark more that are known."
        )
    faults += [
        f"shaft line: given `{label}` as known and as wanted; expected each label once. Rename one of the two."
        for label in sorted(set(known) & set(wanted))
    ]
    for label, (pick, _) in known.items():
        faults += pick_faults([pick], f"`{label}`, pick")
    for label, pick in wanted.items():
        faults += pick_faults([pick], f"`{label}`, pick")
    for number, (label, quantity) in enumerate(zip(known, quantities, strict=True)):
        faults += known_faults(quantity, f"place of `{label}`", "mm", above=0.0 if chained and number else None)
    if faults:
        return faults
    held = list(known.values())
    for number, (pick, quantity) in enumerate(held):
        for other, (pick_too, quantity_too) in list(enumerate(held))[number + 1 :]:
            names = f"`{list(known)[number]}` and `{list(known)[other]}`"
            gap, doubt = np.hypot(pick.x - pick_too.x, pick.y - pick_too.y), np.hypot(pick.u, pick_too.u)
            if gap < APART * doubt:
                faults.append(
                    f"{names}: given picks {gap:.3g} px apart with a doubt of {doubt:.3g} px; expected at least "
                    f"{APART:g} times that doubt. Choose known places farther apart."
                )
            step = abs(quantity.to("mm").mean - quantity_too.to("mm").mean)
            spread_too = np.hypot(quantity.to("mm").std, quantity_too.to("mm").std)
            if not chained and (step == 0 or step < APART * spread_too):
                faults.append(
                    f"{names}: given places {step:.3g} mm apart with a doubt of {spread_too:.3g} mm; expected at least "
                    f"{APART:g} times that doubt. Choose known places farther apart, or state the doubt of their gap."
                )
    return faults


def _along(
    labels: Sequence[str],
    picks: Sequence[Pick],
    quantities: Sequence[Quantity],
    lens: Lens,
    causes: Sequence[str],
    chained: bool,
    photograph: str,
    count: int,
) -> np.ndarray:
    """Return the places of all features along the shaft [mm], shape (1 + count, features): best values, then draws."""
    marked = places(picks)[None]
    number = len(quantities)
    pixels = np.repeat(marked, 1 + count, axis=0)
    for cause, some in (("reference", slice(0, number)), ("picking", slice(number, None))):
        if cause in causes:
            pixels[1:, some] = draw_picks(picks[some], count, photograph)
    straight = straighten(lens, pixels, picks, "lens" in causes, photograph)
    if "lens" in causes:
        straight[0] = straighten(lens, marked, picks, False, photograph)[0]
    weight = np.array([1 / pick.u**2 for pick in picks])
    t, across = project(straight, weight)
    if len(causes) == len(CAUSES):
        refuse(_off_line(labels, across))
    s = _known_draws(quantities, labels, count, "known" in causes, chained, photograph)
    middle, size = float(s[0].mean()), float(np.ptp(s[0])) or 1.0
    width = float(np.ptp(t[0])) or 1.0
    level, seen = (s - middle) / size, t / width
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        map_ = fit(level, seen[:, :number], _doubts(quantities, picks, level, seen, width, size))
        alpha, beta, gamma = (map_[:, place, None] for place in range(3))
        found = (seen - beta) / (alpha - gamma * seen)
        third = np.concatenate([1 + gamma * level, 1 + gamma * found], axis=1)
    if not (np.isfinite(third).all() and (third > 0).all()):
        refuse(
            [
                "shaft line: given places in another order than their picks, or picks beyond the vanishing point of "
                "the shaft or so near to it that their doubt reaches across; expected all on the near side, in one "
                "order. Check which pick belongs to which place."
            ]
        )
    return np.asarray(found * size + middle)


def _off_line(labels: Sequence[str], across: np.ndarray) -> list[str]:
    doubt = np.std(across[1:], axis=0) if len(across) > 2 else np.full(across.shape[1], np.inf)
    off = np.abs(across[0])
    worst = int(np.argmax(off / np.maximum(doubt, 1e-9)))
    if off[worst] <= OFF_LINE * doubt[worst] + 1e-6:
        return []
    return [
        f"`{labels[worst]}`: given a pick {off[worst]:.3g} px off the line of the others, with a doubt of "
        f"{doubt[worst]:.3g} px; expected all on one straight line. Pick all on the axis, or on one edge along it."
    ]


def _known_draws(
    quantities: Sequence[Quantity], labels: Sequence[str], count: int, doubted: bool, chained: bool, photograph: str
) -> np.ndarray:
    columns = []
    for label, quantity in zip(labels, quantities, strict=False):
        held = quantity.to("mm")
        random = generator("shaft", photograph, label, quantity.text)
        drawn = held.draw(count, random) if doubted else np.full(count, held.mean)
        columns.append(np.concatenate([[held.mean], drawn]))
    stacked = np.stack(columns, axis=-1)
    return np.cumsum(stacked, axis=-1) if chained else stacked


def _doubts(
    quantities: Sequence[Quantity],
    picks: Sequence[Pick],
    level: np.ndarray,
    seen: np.ndarray,
    width: float,
    size: float,
) -> np.ndarray:
    """Return the root weights of known places: picking, and the place's own doubt at the mean scale of the picture."""
    number = len(quantities)
    scale = np.ptp(seen[0, :number]) / np.ptp(level[0])
    own = np.array([quantity.to("mm").std for quantity in quantities]) / size * scale
    return np.asarray(1 / np.hypot([pick.u / width for pick in picks[:number]], own))
