"""Refuse impossible values, all that is wrong with them at once."""

from __future__ import annotations

from ledger.mechanics.permitted import outside


def refuse(permitted, more=(), **values):
    """Raise ValueError naming every value outside its permitted range, and whatever `more` says is wrong.

    permitted  ranges by name, (label, unit, least, greatest)
    more       sentences; empty ones are passed over
    values     floats or arrays of draws, by the names of their ranges
    """
    said = [outside(permitted[name], value) for name, value in values.items()]
    said = [fault for fault in [*said, *more] if fault]
    if said:
        raise ValueError(" ".join(said))
