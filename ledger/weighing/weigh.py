"""Weigh one question: from a case to standings, leader, weights and account."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ledger.errors import WeighingRefused
from ledger.weighing.account import draw_up
from ledger.weighing.checking import check
from ledger.weighing.layout import Factors, Layout, lay_out, work_out
from ledger.weighing.likelihood import Array
from ledger.weighing.ranges import spread
from ledger.weighing.values import NONE, Case, Standing, Weighing
from ledger.weighing.weights import weights

TIE_DIGITS = 12  # confidences equal to this many decimals rank by name, so that rounding never decides a rank


def weigh(case: Case, draws: int = 0) -> Weighing:
    """Return one question weighed; with `draws`, also the ranges of its confidences over that many draws.

    posterior(i) ∝ π_i · product over origins of P_o(i) · F_i, where
    c_j    = sum π_i L_ij / sum π_i over the named rivals; "none of these" takes c_j as its bearing
    A_oi   = product over the notes of origin o of [r_j L_ij + (1 - r_j) c_j]
    P_o(i) = R_o A_oi + (1 - R_o) sum_k π_k A_ok over all rivals k
    F_i    = (1 - d_i) · P(all criteria of i hold) + d_i, and 1 for a rival without calculation and for "none of these"
    An unjudged rival takes the middle of the note's least and greatest bearing. A prediction is one more note of its
    measurement's origin, with bearing D_i = (1 - d_i) f_i + d_i c(f), f the density of the measured value under the
    rival's prediction over the greatest such density.

    Raises WeighingRefused when the case is not well formed, or when no rival is left.
    """
    check(case)
    layout = lay_out(case)
    factors = work_out(layout)
    total = np.logaddexp.reduce(factors.posterior, axis=-1, keepdims=True)
    if np.isneginf(total).any():
        raise WeighingRefused(_contradiction(case.question, layout, factors))
    confidence = np.exp(factors.posterior - total)
    confidence /= confidence.sum(axis=-1, keepdims=True)
    standings = _standings(case, layout, confidence[0])
    if draws:
        standings = _ranged(case, standings, draws)
    leader = next((standing.rival for standing in standings if standing.may_lead and standing.confidence > 0), None)
    first = leader or standings[0].rival
    runner_up = next(standing.rival for standing in standings if standing.rival != first)
    moved, infinite = weights(case, layout, factors)
    return Weighing(
        question=case.question,
        standings=standings,
        leader=leader,
        account=draw_up(case.question, layout, factors, first, runner_up),
        weights=moved,
        soundness=dict(sorted((dict(case.soundness) | _soundness(layout, factors, confidence)).items())),
        infinite=infinite,
    )


def _standings(case: Case, layout: Layout, confidence: Array) -> tuple[Standing, ...]:
    judged = dict(zip(layout.rivals, [*layout.judged.tolist(), len(case.notes)], strict=True))
    predicting = {rival for prediction in case.predictions for rival, doubt in prediction.doubt.items() if doubt > 0}
    tested = predicting | {item.rival for item in case.feasibilities}
    chances = dict(zip(layout.rivals, confidence.tolist(), strict=True))
    ranked = sorted(layout.rivals, key=lambda rival: (-round(chances[rival], TIE_DIGITS), rival == NONE, rival))
    may_lead = {rival: 2 * judged[rival] >= len(case.notes) for rival in ranked}
    return tuple(
        Standing(
            rival=rival,
            prior=case.prior[rival],
            confidence=chances[rival],
            low=None,
            high=None,
            first=None,
            judged=judged[rival],
            notes=len(case.notes),
            tested=rival in tested,
            may_lead=may_lead[rival],
        )
        for rival in ranked
    )


def _ranged(case: Case, standings: tuple[Standing, ...], draws: int) -> tuple[Standing, ...]:
    ranges = spread(case, {one.rival for one in standings if one.may_lead}, draws)
    return tuple(
        replace(one, low=ranges[one.rival].low, high=ranges[one.rival].high, first=ranges[one.rival].first)
        for one in standings
    )


def _soundness(layout: Layout, factors: Factors, confidence: Array) -> dict[str, float]:
    """Return P(origin sound | all) = sum_i confidence_i · R A_oi / P_o(i)."""
    open_ = np.isfinite(factors.origin)
    share = np.where(open_, np.exp(factors.story - np.where(open_, factors.origin, 0.0)), 0.0)
    sound = layout.soundness * np.einsum("di,doi->do", confidence, share)
    return dict(zip(layout.origins, np.minimum(sound[0], 1.0).tolist(), strict=True))


def _contradiction(question: str, layout: Layout, factors: Factors) -> str:
    """Say what shuts out each rival that had a prior above 0."""
    had = layout.prior[0] > 0
    for row, part in zip(layout.rows, layout.parts[0], strict=True):
        if np.isneginf(part[had]).all():
            return (
                f"{question}: {row.ref} cannot be, whatever is true: no rival with a prior above 0 gives it a chance. "
                "Give it a bearing above 0 on one of them, or withdraw it."
            )
    reasons = []
    for index in np.flatnonzero(had):
        shut = [
            row.ref
            for row, owner, part in zip(layout.rows, layout.owner, layout.parts[0], strict=True)
            if np.isneginf(part[index]) and np.isneginf(factors.origin[0, owner, index])
        ]
        if np.isneginf(layout.feasible[0, index]):
            shut.append("its feasibility")
        reasons.append(f"{layout.rivals[index]} by {', '.join(shut) or 'all of it together'}")
    return (
        f"{question}: the evidence contradicts itself and no rival is left; shut out are {'; '.join(reasons)}. "
        "Certainty leaves no way back: raise a bearing or doubt above 0, or a soundness or credibility below 1."
    )
