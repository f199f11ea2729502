"""Every way to put gears on the fewest hubs, by trying all."""

from __future__ import annotations

from collections.abc import Iterator

from ledger.mechanics.hub_pairing import clashes

Pairs = list[tuple[int, int | None]]


def workable_pairings(gears: int) -> list[Pairs]:
    """The pairings of gears 1 to n on half as many hubs, one gear alone if they are odd, in which no two overlap."""
    return [pairs for pairs in _pairings(list(range(1, gears + 1)), gears % 2) if not clashes(pairs)]


def _pairings(gears: list[int], alone: int) -> Iterator[Pairs]:
    if not gears:
        yield []
        return
    first, *rest = gears
    for partner in rest:
        for more in _pairings([gear for gear in rest if gear != partner], alone):
            yield [(first, partner), *more]
    if alone:
        for more in _pairings(rest, 0):
            yield [(first, None), *more]
