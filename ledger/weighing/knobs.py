"""The chances of a question that may be moved one at a time, and how far a move is."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ledger.weighing.likelihood import DECIBANS
from ledger.weighing.values import Note, Prediction, Stated
from ledger.weighing.weigh import Weighed


@dataclass(frozen=True)
class Knob:
    """One chance that may be moved.

    kind     bearing of a note, credibility of a note or measurement, soundness of an origin, feasibility of a rival, or
             doubt of the model behind a rival's prediction
    ref      the note, measurement, origin or, for a feasibility, rival
    rival    whose bearing, feasibility or doubt; None for credibility and soundness
    stated   where it stands; `low` and `high` are the ends of the range its author stated
    place    index of its row, origin or rival in the layout
    sampled  how many draws it was counted in; 0 where it is stated
    """

    kind: str
    ref: str
    rival: str | None
    stated: float
    low: float
    high: float
    place: int
    sampled: int = 0

    def within(self, value: float) -> bool:
        """Return whether a value lies in the range its author stated; a point is no range."""
        return self.low <= value <= self.high and self.low < self.high

    def size(self, value: float) -> float:
        """Return how far a value is from where it stands, in decibans of its odds; infinite from or to certainty.

        A chance counted in draws is never certain: with all or none of them it is taken as half a draw from there.
        """
        end = 0.5 / (self.sampled + 1) if self.sampled else 0.0
        odds = [log_odds_of(min(max(chance, end), 1 - end)) for chance in (self.stated, value)]
        return abs(DECIBANS * (odds[1] - odds[0])) if value != self.stated else 0.0


def log_odds_of(chance: float) -> float:
    """Return log[p / (1 - p)], infinite for 0 and 1."""
    return -math.inf if chance <= 0 else math.inf if chance >= 1 else math.log(chance) - math.log1p(-chance)


def knobs(one: Weighed) -> list[Knob]:
    """Return every chance of a question that may be moved, but for its priors, in a stable order."""
    layout, case, found = one.layout, one.case, list[Knob]()
    for place, row in enumerate(layout.rows):
        if isinstance(row, Note):
            for rival, value in sorted(row.bearing.items()):
                ends = _ends(value, row.stated.get(rival))
                found.append(Knob("bearing", row.ref, rival, value, *ends, place))
        else:
            for rival, value in sorted(row.doubt.items()):
                found.append(Knob("doubt", row.ref, rival, value, *_ends(value, row.stated.get(rival)), place))
        found.append(Knob("credibility", row.ref, None, row.credibility, *_product(row), place))
    for place, origin in enumerate(layout.origins):
        value = case.soundness[origin]
        found.append(Knob("soundness", origin, None, value, *_ends(value, case.trust.get(origin)), place))
    for item in sorted(case.feasibilities, key=lambda item: item.rival):
        place = layout.rivals.index(item.rival)
        found.append(
            Knob("feasibility", item.rival, item.rival, item.holds, item.holds, item.holds, place, item.sampled)
        )
    return found


def _ends(value: float, stated: Stated | None) -> tuple[float, float]:
    return (value, value) if stated is None else (min(stated.low, stated.high), max(stated.low, stated.high))


def _product(row: Note | Prediction) -> tuple[float, float]:
    if not row.trust:
        return row.credibility, row.credibility
    return math.prod(one.low for one in row.trust), math.prod(one.high for one in row.trust)
