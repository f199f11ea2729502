"""What each thing does to each rival: leave-one-out weights in decibans."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from ledger.errors import WeighingRefused
from ledger.weighing.layout import Factors, Layout, lay_out, work_out
from ledger.weighing.likelihood import DECIBANS, Array, log_odds, logs, origin_factors, without_each
from ledger.weighing.linking import Group, from_the_rest
from ledger.weighing.values import NONE, Case

AT_ONCE = 2_000_000
NOTICED = 1e-9  # decibans; what links carry over less of than this is left out

Table = dict[str, dict[str, float]]


@dataclass(frozen=True)
class Weights:
    """Weights of one question's rivals, as a Weighing has them: of its own things, through links, and the infinite."""

    own: Table
    through: Table
    infinite: dict[str, tuple[str, ...]]


def decibans(ratio: float) -> float:
    """Return a ratio of odds or likelihoods, > 0, as decibans: 10 log10(ratio).

    Source: Good, Probability and the Weighing of Evidence (1950); ten decibans are one ban, a factor of ten.
    """
    if not 0 < ratio < math.inf:
        raise WeighingRefused(f"a ratio of {ratio} has no decibans; expected a finite number above 0. Give one.")
    return 10 * math.log10(ratio)


def weights(
    of: Group, cases: Mapping[str, Case], layouts: Mapping[str, Layout], factors: Mapping[str, Factors]
) -> dict[str, Weights]:
    """Return the leave-one-out weights by question [decibans].

    A weight is 10 log10(odds with it / odds without it), all else kept, every linked question weighed anew. Things go
    by the refs of notes and predictions, of origins (all their notes and predictions together), of calculations and of
    questions, and by the names of links. That of a question is for its priors: without them the named rivals that have
    any share alike what "none of these" leaves. A calculation has a weight of its own when every feasibility it feeds
    rests on it alone; otherwise the weight belongs to them together, under `feasibility:<rival>`.

    A rival whose odds are 0 or infinite both with and without (prior 0 or 1) is not moved: 0.0. Where one thing alone
    shuts a rival out, or leaves it alone, the weight is infinite: it is 0.0 in the tables, and named apart.
    """
    without = {question: left_out(cases[question], layouts[question], factors[question]) for question in of.rivals}
    own = {question: list(without[question]) for question in of.rivals}
    names = [link.name for link in of.links]
    keys = [*dict.fromkeys(key for question in of.rivals for key in own[question]), *names]
    whole = _posteriors(of, factors, without, [None])
    left = _posteriors(of, factors, without, keys)
    return {
        question: _sorted(layouts[question].rivals, keys, set(own[question]), whole[question], left[question])
        for question in of.rivals
    }


def _posteriors(
    of: Group, factors: Mapping[str, Factors], without: Mapping[str, Mapping[str, Array]], keys: list[str] | list[None]
) -> dict[str, Array]:
    """Return the log posteriors of each question without each key in turn, (keys, rivals)."""
    pieces: dict[str, list[Array]] = {question: [] for question in of.rivals}
    step = max(1, AT_ONCE // of.plan.largest)
    for start in range(0, len(keys), step):
        some = keys[start : start + step]
        own = [
            np.stack([without[question].get(key or "", factors[question].posterior[0]) for key in some])
            for question in of.rivals
        ]
        dropped = [np.array([key == link.name for key in some]) for link in of.links]
        tables = [
            np.where(gone[:, None, None], 0.0, table) if gone.any() else table
            for gone, table in zip(dropped, of.tables(), strict=True)
        ]
        _, rest = from_the_rest(of, own, tables)
        for question, mine, others in zip(of.rivals, own, rest, strict=True):
            pieces[question].append(mine + others)
    return {question: np.concatenate(parts) for question, parts in pieces.items()}


def _sorted(rivals: tuple[str, ...], keys: list[str], own: set[str], whole: Array, left: Array) -> Weights:
    held, without = log_odds(whole), log_odds(left)
    finite = np.isfinite(held) & np.isfinite(without)
    with np.errstate(invalid="ignore"):
        change = np.where(finite, DECIBANS * (held - without), 0.0) + 0.0
    unbounded = ~finite & (held != without)
    table = {key: dict(zip(rivals, row, strict=True)) for key, row in zip(keys, change.tolist(), strict=True)}
    infinite = {
        keys[index]: tuple(rival for rival, beyond in zip(rivals, unbounded[index], strict=True) if beyond)
        for index in np.flatnonzero(unbounded.any(axis=-1))
    }
    noticed = {key: row for key, row in table.items() if key in infinite or max(map(abs, row.values())) > NOTICED}
    return Weights(
        own={key: row for key, row in table.items() if key in own},
        through={key: row for key, row in noticed.items() if key not in own},
        infinite=infinite,
    )


def left_out(case: Case, layout: Layout, factors: Factors) -> dict[str, Array]:
    """Return the log posterior without each thing that bears on a question, (rivals,), links aside."""
    base = logs(layout.prior)[:, None, :]
    calculations = _calculations(case, layout)
    # A posterior sum without one part is built up from the rest, never by taking away: minus infinity cannot be undone.
    together = np.zeros(len(layout.origins), dtype=np.intp)
    other_origins = without_each(factors.origin, together, together[:1])
    feasible = layout.feasible[:, None, :]
    story = without_each(layout.parts, layout.owner, layout.starts)
    own = origin_factors(layout.prior, layout.soundness[:, layout.owner], story)
    no_row = base + other_origins[:, layout.owner, :] + own + feasible
    no_origin = base + other_origins + feasible
    evidence = base + factors.origin.sum(axis=1)[:, None, :]
    no_calculation = [evidence + _feasible_without(layout, rivals) for rivals in calculations.values()]
    level = work_out(lay_out(replace(case, prior=_level(case.prior)))).posterior[:, None, :]
    keys = [*(row.ref for row in layout.rows), *layout.origins, *calculations, case.question]
    return dict(zip(keys, np.concatenate([no_row, no_origin, *no_calculation, level], axis=1)[0], strict=True))


def _level(prior: Mapping[str, float]) -> dict[str, float]:
    """Return priors without preference: every named rival that has any shares alike."""
    named = [rival for rival, share in prior.items() if rival != NONE and share > 0]
    return {
        rival: prior[NONE] if rival == NONE else (1 - prior[NONE]) / len(named) if rival in named else 0.0
        for rival in prior
    }


def _calculations(case: Case, layout: Layout) -> dict[str, tuple[str, ...]]:
    """Return, by key, the rivals whose feasibility falls away with it."""
    taken = {row.ref for row in layout.rows} | set(case.soundness)
    fed = Counter(ref for item in case.feasibilities for ref in set(item.calculations))
    alone: dict[str, list[str]] = {}
    for item in case.feasibilities:
        if len(set(item.calculations)) == 1:
            alone.setdefault(item.calculations[0], []).append(item.rival)
    owned = {
        ref: tuple(sorted(rivals)) for ref, rivals in alone.items() if len(rivals) == fed[ref] and ref not in taken
    }
    covered = {rival for rivals in owned.values() for rival in rivals}
    shared = {f"feasibility:{item.rival}": (item.rival,) for item in case.feasibilities if item.rival not in covered}
    return dict(sorted((owned | shared).items()))


def _feasible_without(layout: Layout, rivals: tuple[str, ...]) -> Array:
    dropped = np.array([rival in rivals for rival in layout.rivals])
    return np.where(dropped, 0.0, layout.feasible)[:, None, :]
