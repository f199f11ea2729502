"""Tilt, diameter and ratio of diameters from rims seen as ellipses."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ledger.photo.circle_pose import Camera, View, cameras, pose, typical
from ledger.photo.ellipse import Array
from ledger.photo.rim_fit import Rim
from ledger.photo.values import Measured, known_faults, measured, refuse, spread
from ledger.quantities.draws import generator
from ledger.quantities.notation import Quantity, parse

NO_DEPTH = parse("0")


def tilt(rim: Rim, view: View, label: str = "tilt") -> Measured:
    """Return the angle between a rim's axis and the line of sight to its centre [°], 0 square-on, 90 edge-on.

    Far away acos(b/a). Near by, the circle that fits the rays to the ellipse, which for a rim off the middle of the
    picture is not the same; so what is known of the camera goes in. It does not tell which side is nearer, and need
    not be told: both ways have nearly the same tilt.

    PhotoRefused for a faulty view.
    """
    refuse(view.faults())
    random = generator("tilt", label, repr(rim.best.tolist()))
    count = rim.draws.shape[0]
    seen = cameras(view, rim.draws[:, 2], random, count)
    still = np.repeat(rim.best, count, axis=0)
    parts = {
        "picking": spread(pose(rim.draws, typical(seen)).tilt),
        "perspective": spread(pose(still, seen).tilt),
    }
    return measured(
        label, "°", np.degrees(pose(rim.draws, seen).tilt), {k: float(np.degrees(v)) for k, v in parts.items()}
    )


@dataclass(frozen=True)
class _Pair:
    """A rim and its reference under one camera, by draws."""

    rim: Array
    reference: Array
    camera: Camera


def ratio(
    rim: Rim,
    reference: Rim,
    view: View,
    depth: Quantity = NO_DEPTH,
    arrangement: str = "coaxial",
    label: str = "ratio of diameters",
) -> Measured:
    """Return the diameter of a rim over that of a reference rim on the same axis or in the same plane [-].

    d/d₀ = |C| / (k |C₀|/k₀), C the centres and k the distances over the radii that fit the rays: for rims at the same
    place nearly a/a₀. Coaxial: C = C₀ - h n, with h the depth. Coplanar: C lies where its ray meets the plane of C₀.

    depth        of the rim behind the reference rim along their axis, over the reference's diameter, a pure number;
                 below zero in front of it. 0 for coplanar rims
    arrangement  "coaxial" or "coplanar"

    PhotoRefused for a faulty view or depth, or a depth that sets the rim behind the camera.
    """
    faults = view.faults() + known_faults(depth, "depth over the reference's diameter", "")
    _refuse(faults, depth, arrangement)
    random = generator("ratio", label, repr(rim.best.tolist()), repr(reference.best.tolist()))
    count = min(rim.draws.shape[0], reference.draws.shape[0])
    deep = depth.to("").draw(count, random)
    found, parts = _with_parts(rim, reference, view, deep, arrangement, random)
    return measured(label, "", found, parts)


def diameter(
    rim: Rim,
    reference: Rim,
    known: Quantity,
    view: View,
    depth: Quantity | None = None,
    arrangement: str = "coaxial",
    label: str = "diameter",
) -> Measured:
    """Return the diameter of a rim [mm] by a reference rim of known diameter on the same axis or in the same plane.

    The ratio of diameters (see `ratio`) times the known one. Of a shaft, hub or gear the same edges must be marked
    that the known diameter is of: a chamfer makes an edge smaller than the part.

    known  diameter of the reference rim [mm], > 0
    depth  of the rim behind the reference rim along their axis [mm], below zero in front of it; none is 0

    PhotoRefused as for `ratio`, and for a known diameter that may not be above zero.
    """
    deep = parse("0 mm") if depth is None else depth
    faults = view.faults() + known_faults(known, "known diameter", "mm", 0.0) + known_faults(deep, "depth", "mm")
    _refuse(faults, deep, arrangement)
    random = generator("diameter", label, repr(rim.best.tolist()), repr(reference.best.tolist()), known.text)
    count = min(rim.draws.shape[0], reference.draws.shape[0])
    sizes, depths = known.to("mm").draw(count, random), deep.to("mm").draw(count, random)
    found, parts = _with_parts(rim, reference, view, depths / sizes, arrangement, random)
    size = known.to("mm").mean
    return measured(label, "mm", found * sizes, {
        "scale": spread(sizes) * float(np.mean(found)), **{cause: part * size for cause, part in parts.items()}
    })  # fmt: skip


def _refuse(faults: list[str], depth: Quantity, arrangement: str) -> None:
    if arrangement not in ("coaxial", "coplanar"):
        faults.append(f"arrangement: given {arrangement!r}; expected coaxial or coplanar. Choose one.")
    elif arrangement == "coplanar" and (depth.mean != 0 or depth.std != 0):
        faults.append(f"depth: given `{depth.text}` for coplanar rims; expected 0. Leave it out, or say coaxial.")
    refuse(faults)


def _with_parts(
    rim: Rim, reference: Rim, view: View, depth: Array, arrangement: str, random: np.random.Generator
) -> tuple[Array, dict[str, float]]:
    count = depth.size
    # The draws of each rim come in an order of their own: pairing them in another must not matter.
    drawn, known = rim.draws[:count], random.permutation(reference.draws)[:count]
    camera = cameras(view, known[:, 2], random, count)
    still, still_known = np.repeat(rim.best, count, axis=0), np.repeat(reference.best, count, axis=0)
    level = np.full(count, float(np.median(depth)))
    typical_one = typical(camera)

    def find(pair: _Pair, deep: Array) -> Array:
        return _ratios(pair, deep, arrangement)

    parts = {
        "picking": spread(find(_Pair(drawn, known, typical_one), level)),
        "perspective": spread(find(_Pair(still, still_known, camera), level)),
        "depth": spread(find(_Pair(still, still_known, typical_one), depth)),
    }
    return find(_Pair(drawn, known, camera), depth), parts


def _ratios(pair: _Pair, depth: Array, arrangement: str) -> Array:
    """Return the ratios of the radii; the reference's radius is 1, `depth` in its diameters."""
    known, other = pose(pair.reference, pair.camera), pose(pair.rim, pair.camera)
    centre = known.away[:, None] * known.towards
    if arrangement == "coplanar":
        return _plane_distance(known.normal, centre) / _plane_distance(known.normal, other.towards) / other.away
    moved = centre - 2 * depth[:, None] * known.normal
    if (moved[:, 2] <= 0).any():
        refuse(["depth: given one that may set the rim behind the camera; expected one in front of it. Check its sign "
                "(behind the reference rim is above zero) and the distance of the camera."])  # fmt: skip
    return np.asarray(np.linalg.norm(moved, axis=1) / other.away)


def _plane_distance(normal: Array, place: Array) -> Array:
    return np.asarray(np.sum(normal * place, axis=1))
