"""The chain from a number to what it stands on: decision, ground, what the ground was made from, down to the source."""

from __future__ import annotations

from collections.abc import Iterator

from ledger.casebook.values import Casebook
from ledger.entries.models import (
    Calculation,
    Decision,
    Evidence,
    Hypothesis,
    Measurement,
    Precedent,
    Source,
)
from ledger.quantities.percents import chance
from ledger.quantities.summary import show

ARROW = " < "


def behind(casebook: Casebook, ref: str) -> tuple[str, ...]:
    """Return what an entry stands on directly, in the order it says so; nothing for a source and what is not there."""
    item = casebook.entries.get(ref)
    entry = item.entry if item is not None else None
    found: list[str | None] = []
    if isinstance(entry, Decision):
        found = list(entry.grounds)
    elif isinstance(entry, Calculation):
        found = [str(one) for ground in entry.grounds() for one in (ground.measurement, ground.calculation) if one]
    elif isinstance(entry, Measurement):
        found = [*entry.combines, entry.source]
    elif isinstance(entry, Evidence | Precedent):
        found = [entry.source]
    elif isinstance(entry, Hypothesis):
        found = [entry.question]
    elif isinstance(entry, Source):
        found = [entry.origin]
    return tuple(dict.fromkeys(str(one) for one in found if one is not None))


def paths(casebook: Casebook, ref: str) -> list[str]:
    """Return every chain from an entry to its ends, as refs with ` < ` between them, in order and each once."""
    return list(dict.fromkeys(ARROW.join(path) for path in _paths(casebook, ref, ())))


def _paths(casebook: Casebook, ref: str, above: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
    path = (*above, ref)
    further = [one for one in behind(casebook, ref) if one not in path]
    if not further:
        yield path
    for one in further:
        yield from _paths(casebook, one, path)


def says(casebook: Casebook, ref: str, output: str | None = None) -> str:
    """Return in short what an entry says: a quantity, an output of a calculation, how sure the ledger is of it."""
    item = casebook.entries.get(ref)
    entry = item.entry if item is not None else None
    if isinstance(entry, Measurement):
        return entry.quantity.text
    if isinstance(entry, Calculation) and output is not None and ref in casebook.results:
        named = casebook.results[ref].outcome(output)
        return show(named.summary, named.unit) if named is not None and named.summary is not None else ""
    if isinstance(entry, Hypothesis):
        weighing = casebook.weighings.get(str(entry.question))
        standing = [one for one in weighing.standings if one.rival == ref] if weighing else []
        return f"confidence {chance(standing[0].confidence)}" if standing else ""
    return ""
