"""Cases at random whose leads are narrow, and one of their chances changed."""

from __future__ import annotations

from dataclasses import replace

from ledger.weighing.believing import Change
from ledger.weighing.values import Case
from tests.independent.weighing_oracles import random_case

Q = "questions/at-random"


def close_case(seed: int, notes: int = 6, origins: int = 3, predictions: int = 1) -> Case:
    """A random case whose priors are near each other, so that leads are narrow."""
    case = random_case(seed, notes, origins, predictions)
    shares = {rival: 1 + 0.5 * share for rival, share in case.prior.items()}
    return replace(case, prior={rival: share / sum(shares.values()) for rival, share in shares.items()})


def changed(case: Case, change: Change, value: float) -> Case:
    """Return the case with the changed chance at a value."""

    def row(one):
        if one.ref != change.ref:
            return one
        if change.kind == "credibility":
            return replace(one, credibility=value)
        if change.kind == "bearing":
            return replace(one, bearing={**one.bearing, change.rival: value})
        return replace(one, doubt={**one.doubt, change.rival: value})

    if change.kind == "soundness":
        return replace(case, soundness={**case.soundness, change.ref: value})
    if change.kind == "feasibility":
        some = [replace(one, holds=value) if one.rival == change.ref else one for one in case.feasibilities]
        return replace(case, feasibilities=tuple(some))
    return replace(
        case,
        notes=tuple(row(one) if change.kind != "doubt" else one for one in case.notes),
        predictions=tuple(row(one) for one in case.predictions),
    )
