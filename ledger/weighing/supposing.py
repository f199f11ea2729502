"""What linked questions would say if one rival were known to be true."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import numpy as np

from ledger.weighing.layout import lay_out, work_out
from ledger.weighing.linking import from_the_rest, group
from ledger.weighing.values import Case, Link

Given = Mapping[str, Mapping[str, float]]


def given_each(cases: Sequence[Case], links: Iterable[Link], question: str) -> dict[str, Given]:
    """Return P(rival of another question | rival of this one), by other question, rival of this one and its rival.

    Each rival of the question in turn is taken as true, and all the others are weighed anew with it, exactly. A rival
    that is left no combination is not among the conditions.

    cases  of questions that links connect, all well formed and weighed before; `question` is one of them
    links  between them
    """
    by_question = {case.question: case for case in sorted(cases, key=lambda case: case.question)}
    layouts = {name: lay_out(case) for name, case in by_question.items()}
    of = group(by_question, tuple(links))
    own = [work_out(layout).posterior for layout in layouts.values()]
    place = list(of.rivals).index(question)
    rivals = of.rivals[question]
    own[place] = np.where(np.eye(len(rivals), dtype=bool), own[place], -np.inf)  # one rival held in each draw
    total, rest = from_the_rest(of, own, of.tables())
    left = np.flatnonzero(np.isfinite(np.broadcast_to(total, (len(rivals),)))).tolist()
    found: dict[str, Given] = {}
    for name, mine, others in zip(of.rivals, own, rest, strict=True):
        if name != question:
            posterior = np.broadcast_to(mine + others, (len(rivals), mine.shape[1]))[left]
            shares = np.exp(posterior - np.logaddexp.reduce(posterior, axis=-1, keepdims=True))
            found[name] = {
                rivals[one]: dict(zip(of.rivals[name], row.tolist(), strict=True))
                for one, row in zip(left, shares, strict=True)
            }
    return found
