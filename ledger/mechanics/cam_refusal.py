"""One refusal for everything that is impossible about a cam or a screw."""

from __future__ import annotations

from ledger.mechanics.permitted import outside


def refuse_impossible(permitted, values, more=()):
    """Raise ValueError that names every value outside its permitted range, and what `more` says; else nothing.

    permitted  ranges by name, see `ledger.mechanics.permitted`
    values     floats or arrays by name
    """
    said = [outside(permitted[name], value) for name, value in values.items()] + list(more)
    if any(said):
        raise ValueError(" ".join(fault for fault in said if fault))
