"""How many teeth a wheel has, from teeth marked along the visible part of a rim."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.stats import chi2

from ledger.photo.circle_pose import Camera, View, angles_on, cameras, pose
from ledger.photo.ellipse import Array
from ledger.photo.rim_fit import Rim
from ledger.photo.tooth_marks import UNCLEAR, Counted, Marks, Slip, prior_chances, refuse_marks
from ledger.photo.values import Pick, places, refuse
from ledger.quantities.draws import generator
from ledger.quantities.notation import Quantity

ANY_COUNT = (8, 120)
# Chances below this are left out of the notation.
SHOWN = 0.001
# A mark that far from the rim, over its radius, is none of this rim.
FAR_OFF = 0.5
TURN = 2 * np.pi
# Marks farther off than chance would have it once in so many times, or slips in over a third of stretches and one more.
ONCE_IN, MANY_SLIPS = 1e4, 3
# Draws of ellipse and camera are gathered in so many groups at most, of so many draws at least.
GROUPS, LEAST_GROUP = 32, 40


def count_teeth(
    rim: Rim,
    marks: Marks,
    view: View,
    prior: Quantity | tuple[int, int] = ANY_COUNT,
    label: str = "teeth",
) -> Counted:
    """Return how probable each number of teeth is.

    Marks are carried from the picture to the plane of the rim, by each draw of ellipse and camera, where the teeth
    stand evenly: αᵢ = α₀ + Kᵢ 2π/z + error. For each z the whole Kᵢ nearest to the marks are taken, α₀ being anywhere;
    P(z) ∝ prior(z) · mean over groups of draws of Π P(stated pitches | Kᵢ₊₁ - Kᵢ) · N(errors), the errors' covariance
    being that of the draws, of picking, and of (placing · pitch)² each. n marks make n - 1 pitches. Stretches not known
    take every number alike.

    rim    the rim the marks lie on, of the same face of the wheel: for tips the tip circle; its picks may be the tips
    prior  numbers that are possible, all alike, or their chances

    PhotoRefused for fewer than two marks, faulty ones, marks that coincide, go to and fro, lie far off the rim or are
    too rough for the pitch, and where no number of the range comes near.
    """
    refuse_marks(marks, view, prior)
    chances = prior_chances(prior)
    random = generator("teeth", label, repr(rim.best.tolist()), *(repr((one.x, one.y, one.u)) for one in marks.picks))
    count = rim.draws.shape[0]
    camera = cameras(view, rim.draws[:, 2], random, count)
    angles, doubt = _on_wheel(rim, marks.picks, camera)
    stated = [None if one is None else one + 1 for one in marks.hidden or (0,) * (len(marks.picks) - 1)]
    angles = _in_order(angles, np.median(doubt, axis=0))
    teeth = np.array(sorted(chances), dtype=float)
    fit, pitches, misfit = _fit(_grouped(angles, doubt, camera), stated, marks, teeth)
    best = float(fit.max())
    if not np.isfinite(best):
        refuse(
            [
                f"{label}: given marks that no number of teeth in the range fits; expected evenly spaced teeth. Look "
                "for a mark on a space among marks on tips, or widen the range."
            ]
        )
    weight = {int(z): chances[int(z)] * float(np.mean(np.exp(fit[:, k] - best))) for k, z in enumerate(teeth)}
    whole = sum(weight.values())
    shares = {z: one / whole for z, one in weight.items()}
    likeliest = max(shares, key=lambda z: shares[z])
    rough = float(np.median(doubt)) / (TURN / likeliest)
    if np.hypot(rough, marks.placing) > UNCLEAR:
        refuse(
            [
                f"{label}: given marks sure to {np.hypot(rough, marks.placing):.2f} of a pitch; expected {UNCLEAR:g} "
                "at most. Zoom in and mark more finely, or take a nearer picture."
            ]
        )
    place = int(np.flatnonzero(teeth == likeliest)[0])
    slips = _slips(stated, pitches[:, place], np.exp(fit[:, place] - fit[:, place].max()))
    off = float(misfit[int(np.argmax(fit[:, place])), place])
    if off > float(chi2.isf(1 / ONCE_IN, len(stated))) or len(slips) > 1 + len(stated) / MANY_SLIPS:
        refuse(
            [
                f"{label}: given marks that {likeliest} teeth, the likeliest of the range, fit badly (Σ(error/σ)² = "
                f"{off:.3g} for {len(stated)} stretches, {len(slips)} of them of other pitches than stated); expected "
                "evenly spaced teeth. Look for a mark on a space among marks on tips, widen the range, or state more "
                "doubt of where teeth are."
            ]
        )
    kept = {z: one for z, one in shares.items() if one >= SHOWN}
    kept_whole = sum(kept.values())
    ranked = sorted(shares, key=lambda z: -shares[z])
    enough = int(np.searchsorted(np.cumsum([shares[z] for z in ranked]), 0.95)) + 1
    rounded = {z: round(one / kept_whole, 9) for z, one in kept.items()}
    return Counted(label, rounded, likeliest, tuple(sorted(ranked[:enough])), slips)


def _on_wheel(rim: Rim, picks: Sequence[Pick], camera: Camera) -> tuple[Array, Array]:
    """Return the marks' angles on the wheel and their standard uncertainty by picking [rad], each (draws, marks)."""
    stood, points = pose(rim.draws, camera), places(picks)
    angles, away = angles_on(stood, camera, points)
    far = np.flatnonzero(np.abs(np.median(away, axis=0) - 1) > FAR_OFF)
    if far.size:
        refuse(
            f"mark {one + 1}: given {np.median(away[:, one]):.2f} radii from the rim's centre; expected one near the "
            "rim. Mark teeth of this wheel, or its own rim."
            for one in far
        )
    slopes = []
    for step in ((0.5, 0.0), (0.0, 0.5)):
        more, less = (angles_on(stood, camera, points + sign * np.array(step))[0] for sign in (1, -1))
        slopes.append((more - less + np.pi) % TURN - np.pi)
    return angles, np.hypot(*slopes) * np.array([pick.u for pick in picks])


def _in_order(angles: Array, doubt: Array) -> Array:
    """Return angles that rise from each mark to the next by less than a turn."""
    steps = np.diff(np.median(np.unwrap(angles, axis=0), axis=0)) % TURN
    together = np.minimum(steps, TURN - steps) < 3 * np.hypot(doubt[1:], doubt[:-1])
    if together.any():
        one = int(np.argmax(together)) + 1
        refuse([f"marks {one} and {one + 1}: given the same place, or nearly; expected two teeth. Take one away."])
    # With two marks the shorter way round; with more, the way in which they make at most one turn.
    forward = steps.sum() <= (TURN - steps).sum()
    whole = float(steps.sum() if forward else (TURN - steps).sum())
    if whole > 1.01 * TURN:
        refuse(["marks: given marks that go to and fro, or more than once round; expected them in order along the rim, "
                "one turn at most. Number them anew."])  # fmt: skip
    turned = np.where(forward, 1, -1) * angles
    expected = np.concatenate(([0.0], np.cumsum(steps if forward else TURN - steps)))
    off = turned - turned[:, :1] - expected
    return np.asarray(expected + (off + np.pi) % TURN - np.pi)


def _grouped(angles: Array, doubt: Array, camera: Camera) -> tuple[Array, Array, Array]:
    """Return means and covariances of the marks' angles, by picking and within groups of draws alike in camera.

    Within a group ellipse and camera spread the angles nearly normally; over all draws they do not. Groups are (groups,
    marks) and (groups, marks, marks), as many draws in each. The third, (groups,), is Σ ln |dα/d pixel|, to a constant:
    a density of angles times that is one of pixels, which alone can be held against each other between ways in which
    the rim may stand. Without it marks would rather be taken for ones on the near side, and teeth for smaller ones.
    """
    means, spreads, scales = [], [], []
    order = np.lexsort((camera.focal, camera.mirrored))
    for chosen in np.array_split(order, max(2, min(GROUPS, order.size // LEAST_GROUP) // 2 * 2)):
        means.append(angles[chosen].mean(axis=0))
        scales.append(float(np.mean(np.sum(np.log(doubt[chosen]), axis=1))))
        spreads.append(np.atleast_2d(np.cov(angles[chosen].T)) + np.diag(np.mean(doubt[chosen] ** 2, axis=0)))
    return np.array(means), np.array(spreads), np.array(scales)


def _fit(
    groups: tuple[Array, Array, Array], stated: Sequence[int | None], marks: Marks, teeth: Array
) -> tuple[Array, Array, Array]:
    """Return by groups and numbers of teeth the likelihood's logarithm, the pitches of stretches, and Σ(error/σ)².

    Mark by mark: what the marks before leave open is predicted (Cholesky's factor of the covariance), and the whole
    number of pitches that comes nearest is taken.
    """
    means, spreads, scales = groups
    pitch = TURN / teeth
    apart = np.eye(means.shape[1]) * (marks.placing * pitch)[:, None, None] ** 2
    # The first tooth stands anywhere: a radian of doubt that all marks share.
    factor = np.linalg.cholesky(spreads[:, None] + apart[None] + 1.0)
    whole, left = np.zeros((*factor.shape[:2], means.shape[1])), np.zeros((*factor.shape[:2], means.shape[1]))
    fit = np.repeat(scales[:, None], teeth.size, axis=1)
    for place in range(means.shape[1]):
        gone = (
            means[:, None, place] - means[:, None, 0] - np.sum(factor[:, :, place, :place] * left[:, :, :place], axis=2)
        )
        if place:
            whole[:, :, place] = np.rint(gone / pitch)
        own = factor[:, :, place, place]
        left[:, :, place] = (gone - whole[:, :, place] * pitch) / own
        fit -= 0.5 * left[:, :, place] ** 2 + np.log(own)
    pitches = np.diff(whole, axis=2)
    for place, number in enumerate(stated):
        fit = fit + _chance(pitches[:, :, place], number, marks, teeth)
    return np.where(whole[:, :, -1] <= teeth, fit, -np.inf), pitches, np.sum(left[:, :, 1:] ** 2, axis=2)


def _chance(pitches: Array, stated: int | None, marks: Marks, teeth: Array) -> Array:
    """Return the logarithm of the chance of what is stated, where a stretch has so many pitches."""
    if stated is None:
        return np.where(pitches >= 1, -np.log(teeth), -np.inf)
    slip = marks.slip if stated == 1 else marks.slip_counted
    wrong = np.abs(pitches - stated)
    with np.errstate(divide="ignore", invalid="ignore"):
        # A slip of n has slipⁿ (1 - slip), halved between too many and too few; two marks on one tooth are refused.
        halved = 0.0 if stated == 1 else np.log(2)
        slipped = wrong * np.log(slip) - halved if slip > 0 else np.full(wrong.shape, -np.inf)
    return np.where(pitches < 1, -np.inf, np.log1p(-slip) + np.where(wrong == 0, 0.0, slipped))


def _slips(stated: Sequence[int | None], pitches: Array, weight: Array) -> tuple[Slip, ...]:
    found = []
    for place, number in enumerate(stated):
        if number is None:
            continue
        chance = float(weight @ (pitches[:, place] != number) / weight.sum())
        if chance > 0.5:
            values, where = np.unique(pitches[:, place], return_inverse=True)
            likeliest = int(values[np.argmax(np.bincount(where, weight))])
            found.append(Slip(place + 1, number, likeliest, chance))
    return tuple(found)
