"""The account of one rival over another: their log-odds split into lines that add up."""

from __future__ import annotations

import math
from operator import itemgetter

import numpy as np

from ledger.weighing.layout import Factors, Layout
from ledger.weighing.likelihood import DECIBANS, Array, origin_factors, stories
from ledger.weighing.values import Account, AccountLine, Prediction


def draw_up(question: str, layout: Layout, factors: Factors, rest: Array, leader: str, runner_up: str) -> Account:
    """Return the account of `leader` over `runner_up`, in decibans.

    Lines, in order: the prior (ref: the question); each origin by its notes alone; each prediction, as what it adds to
    its origin's factor after the notes and the predictions before it by ref; the feasibility of either rival that is
    tested (ref: the rival); what linked questions add, as one remainder (ref: the question). The total is their exact
    sum.

    rest  log of what the linked questions say to each rival, (1, rivals); the same throughout where there are none

    A runner-up of confidence 0 is behind without bound, which no finite sum shows: then there are no lines, and the
    total is 0.
    """
    one, other = layout.rivals.index(leader), layout.rivals.index(runner_up)
    if not np.isfinite((factors.posterior + rest)[0, [one, other]]).all():
        return Account(leader, runner_up, 0.0, ())

    def line(part: str, ref: str, log_factor: Array) -> AccountLine:
        return AccountLine(part, ref, float(DECIBANS * (log_factor[one] - log_factor[other])))

    lines = [line("prior", question, np.log(np.where(layout.prior[0] > 0, layout.prior[0], 1.0)))]
    lines += [line("origin", ref, factor) for ref, factor in _notes_alone(layout)]
    lines += [line("prediction", ref, factor) for ref, factor in sorted(_predictions(layout), key=itemgetter(0))]
    lines += _feasibilities(layout, leader, runner_up)
    if rest.any():
        lines.append(line("links", question, rest[0]))
    return Account(leader, runner_up, math.fsum(part.decibans for part in lines), tuple(lines))


def _notes_alone(layout: Layout) -> list[tuple[str, Array]]:
    predicted = np.array([isinstance(row, Prediction) for row in layout.rows], dtype=bool)
    parts = np.where(predicted[None, :, None], 0.0, layout.parts)
    factors = origin_factors(layout.prior, layout.soundness, stories(parts, layout.starts))
    noted = sorted(set(layout.owner[~predicted].tolist()))
    return [(layout.origins[index], factors[0, index]) for index in noted]


def _predictions(layout: Layout) -> list[tuple[str, Array]]:
    """Return what each prediction multiplies its origin's factor by, as logs; a rival shut out before is not moved."""
    added = []
    for index in np.flatnonzero([isinstance(row, Prediction) for row in layout.rows]).tolist():
        owner = int(layout.owner[index])
        before, after = (_factor_of(layout, owner, last) for last in (index, index + 1))
        shut = np.isneginf(before)
        added.append((layout.rows[index].ref, np.where(shut, 0.0, after - np.where(shut, 0.0, before))))
    return added


def _factor_of(layout: Layout, owner: int, last: int) -> Array:
    """Return log P of one origin from its rows up to, and without, the row `last`, (rivals,)."""
    story = layout.parts[:, layout.starts[owner] : last, :].sum(axis=1, keepdims=True)
    factor: Array = origin_factors(layout.prior, layout.soundness[:, [owner]], story)[0, 0]
    return factor


def _feasibilities(layout: Layout, leader: str, runner_up: str) -> list[AccountLine]:
    lines = []
    for rival, sign in ((leader, 1), (runner_up, -1)):
        factor = float(layout.feasible[0, layout.rivals.index(rival)])
        if factor:
            lines.append(AccountLine("feasibility", rival, sign * DECIBANS * factor))
    return lines
