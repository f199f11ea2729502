"""Weigh questions: from cases and links to standings, leader, weights and account."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ledger.errors import WeighingRefused
from ledger.weighing.account import draw_up
from ledger.weighing.checking import check, check_links
from ledger.weighing.layout import Factors, Layout, lay_out, work_out
from ledger.weighing.likelihood import Array
from ledger.weighing.linking import Group, from_the_rest, group, groups, least, linked_priors
from ledger.weighing.ranges import TIE_DIGITS, draw_confidences, spreads
from ledger.weighing.refusing import evidence_leaves_nobody
from ledger.weighing.values import NONE, Case, Impossible, Link, Order, Standing, Weighing
from ledger.weighing.weights import Weights, weights


@dataclass(frozen=True)
class Weighed:
    """One question of a group on the way: its case, its arrays, what the rest of the group says to it, as logs."""

    case: Case
    layout: Layout
    factors: Factors
    rest: Array

    @property
    def posterior(self) -> Array:
        """Return the log of the unnormalised confidences, (1, rivals)."""
        return self.factors.posterior + self.rest


def weigh(case: Case, draws: int = 0) -> Weighing:
    """Return one question weighed by itself; with `draws`, also the ranges of its confidences over that many draws.

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
    return weigh_together([case], (), draws)[case.question]


def weigh_together(cases: Sequence[Case], links: Iterable[Link], draws: int = 0) -> dict[str, Weighing]:
    """Return questions, those that links connect weighed as one, exactly, by question.

    The chance of a combination is the product of each question's own posterior(i), as in `weigh`, and of the factor of
    each link: 0 for what `needs` or `rules-out` forbids, the stated factor on a pair that is favoured, 1 otherwise.
    A question's confidences are the sums over all combinations. π in the doubt of notes is the prior as stated, so that
    links change no likelihood.

    Raises WeighingRefused when a case or a link is not well formed, when links leave no combination, when evidence and
    links leave none, or when the exact sum would need too large a table.
    """
    for case in cases:
        check(case)
    links = tuple(links)
    check_links(cases, links)
    by_question = {case.question: case for case in sorted(cases, key=lambda case: case.question)}
    rivals = {question: [rival for rival in case.prior if rival != NONE] for question, case in by_question.items()}
    weighed: dict[str, Weighing] = {}
    for together in groups(rivals, links):
        named = {rival for question in together for rival in rivals[question]}
        inside = [link for link in links if link.one in named]
        weighed |= _weigh_group({question: by_question[question] for question in together}, inside, draws)
    return dict(sorted(weighed.items()))


def _weigh_group(by_question: Mapping[str, Case], links: Sequence[Link], draws: int) -> dict[str, Weighing]:
    layouts = {question: lay_out(case) for question, case in by_question.items()}
    of = group(by_question, links)
    priors, impossible = linked_priors(of, by_question)
    factors = {question: work_out(layout) for question, layout in layouts.items()}
    for question, layout in layouts.items():
        if np.isneginf(factors[question].posterior).all():
            raise WeighingRefused(evidence_leaves_nobody(question, layout, factors[question]))
    total, rest = from_the_rest(of, [factors[question].posterior for question in of.rivals], of.tables())
    if np.isneginf(total).any():
        few = least(of, [factors[question].posterior for question in of.rivals])
        said = f"these links leave none: {'; '.join(few)}" if few else "known answers of linked questions leave none"
        raise WeighingRefused(
            f"{', '.join(of.rivals)}: the evidence and the links contradict each other, and no combination is left. "
            f"With what the evidence leaves, {said}. "
            "Raise a bearing, a doubt or a feasibility above 0, or take out a link."
        )
    weighed = {
        question: Weighed(by_question[question], layouts[question], factors[question], others)
        for question, others in zip(of.rivals, rest, strict=True)
    }
    moved = weights(of, by_question, layouts, factors)
    confidences = draw_confidences(of, by_question, draws) if draws else {}
    return {
        question: _weighing(of, one, priors[question], impossible[question], moved[question], confidences.get(question))
        for question, one in weighed.items()
    }


def _weighing(
    of: Group,
    one: Weighed,
    linked_prior: Mapping[str, float],
    impossible: tuple[Impossible, ...],
    moved: Weights,
    drawn: Array | None,
) -> Weighing:
    confidence = _confidence(one)
    ranked, orders = _standings(one, confidence, linked_prior, drawn)
    leader = next((standing.rival for standing in ranked if standing.may_lead and standing.confidence > 0), None)
    first = leader or ranked[0].rival
    runner_up = next(standing.rival for standing in ranked if standing.rival != first)
    return Weighing(
        question=one.case.question,
        standings=ranked,
        leader=leader,
        account=draw_up(one.case.question, one.layout, one.factors, one.rest, first, runner_up),
        weights=moved.own,
        soundness=dict(sorted((dict(one.case.soundness) | _soundness(one, confidence)).items())),
        infinite=moved.infinite,
        through=moved.through,
        linked=tuple(of.rivals) if of.links else (),
        impossible=impossible,
        orders=tuple(orders),
        drawn={} if drawn is None else dict(zip(one.layout.rivals, drawn.T, strict=True)),
    )


def _confidence(one: Weighed) -> Array:
    confidence = np.exp(one.posterior - np.logaddexp.reduce(one.posterior, axis=-1, keepdims=True))
    shares: Array = confidence / confidence.sum(axis=-1, keepdims=True)
    return shares


def _standings(
    one: Weighed, confidence: Array, linked_prior: Mapping[str, float], drawn: Array | None
) -> tuple[tuple[Standing, ...], list[Order]]:
    case, layout = one.case, one.layout
    judged = dict(zip(layout.rivals, [*layout.judged.tolist(), len(case.notes)], strict=True))
    predicting = {rival for prediction in case.predictions for rival, doubt in prediction.doubt.items() if doubt > 0}
    tested = predicting | {item.rival for item in case.feasibilities}
    chances = dict(zip(layout.rivals, confidence[0].tolist(), strict=True))
    ranked = sorted(layout.rivals, key=lambda rival: (-round(chances[rival], TIE_DIGITS), rival == NONE, rival))
    may_lead = {rival: 2 * judged[rival] >= len(case.notes) for rival in ranked}
    able = {rival for rival in ranked if may_lead[rival]}
    spread, orders = spreads(drawn, layout.rivals, able) if drawn is not None and len(drawn) else ({}, [])
    standings = tuple(
        Standing(
            rival=rival,
            prior=case.prior[rival],
            linked_prior=linked_prior[rival],
            confidence=chances[rival],
            low=spread[rival].low if spread else None,
            median=spread[rival].median if spread else None,
            high=spread[rival].high if spread else None,
            first=spread[rival].first if spread else None,
            judged=judged[rival],
            notes=len(case.notes),
            tested=rival in tested,
            may_lead=may_lead[rival],
        )
        for rival in ranked
    )
    return standings, orders


def _soundness(one: Weighed, confidence: Array) -> dict[str, float]:
    """Return P(origin sound | all) = sum_i confidence_i · R A_oi / P_o(i)."""
    layout, factors = one.layout, one.factors
    open_ = np.isfinite(factors.origin)
    share = np.where(open_, np.exp(factors.story - np.where(open_, factors.origin, 0.0)), 0.0)
    sound = layout.soundness * np.einsum("di,doi->do", confidence, share)
    return dict(zip(layout.origins, np.minimum(sound[0], 1.0).tolist(), strict=True))
