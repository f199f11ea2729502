"""The least of several capacities, and which of them it is."""

from __future__ import annotations

from ledger.mechanics.maths import every, minimum


def weakest(capacities):
    """Return the least of several capacities, and each one's share in being it, as (least, shares).

    capacities  floats or arrays of draws of one shape, one at least

    Shares are 0 or 1, in every draw; those of a tie are divided evenly. They add up to 1.
    """
    least = capacities[0]
    for one in capacities[1:]:
        least = minimum(least, one)
    first = [(one == least) * 1.0 for one in capacities]
    ties = sum(first)
    return least, first if every(ties == 1) else [one / ties for one in first]
