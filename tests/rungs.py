"""What a ladder of words says of a chance, rung by rung."""

from __future__ import annotations

from ledger.quantities.ladders import Ladder, Rung


def said(ladder: Ladder, chance: float) -> list[str]:
    """The words of the rungs that hold a chance, the narrowest first; it is taken to twelve decimals."""
    held = [rung for rung in ladder.rungs if holds(rung, round(chance, 12))]
    return [rung.words[0] for rung in sorted(held, key=lambda rung: rung.high - rung.low)]


def holds(rung: Rung, chance: float) -> bool:
    """Whether a chance has these words; an open end does not itself belong."""
    above = rung.low < chance if rung.open_low else rung.low <= chance
    return above and (chance < rung.high if rung.open_high else chance <= rung.high)
