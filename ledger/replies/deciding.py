"""Declining a reply, or asking its reader back: decisions that write no entries."""

from __future__ import annotations

from ledger.errors import Fault, FaultsFound
from ledger.replies.received import Received, Reply, State


def decide(store: Received, start: str, state: State, reason: str, at: str) -> Reply:
    """Note a decision on the received reply whose id begins so, and return the reply as it was before.

    Raises NotInLedger, and FaultsFound for a reply that was accepted or forgotten, or a decision without words.
    """
    one = store.find(start)
    faults = []
    if one.state in ("accepted", "forgotten"):
        given = f"a reply that was {one.state} on {(one.decided or '')[:10]}"
        remedy = "Withdraw or erase its entries instead." if one.state == "accepted" else "Leave it."
        faults.append(Fault(f"reply {one.id}", 0, "", given, "one that waits for a decision", remedy))
    said = " ".join(reason.split())
    if not said:
        faults.append(Fault(f"reply {one.id}", 0, "reason", "nothing", "some words", "Say why, or what you ask."))
    if faults:
        raise FaultsFound(faults)
    with store.writing():
        store.decide(one.id, state, at, said)
    return one
