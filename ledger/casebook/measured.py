"""What picks give, kept in the store: measured once, and again only when picks, recording or code are others.

What measures is loaded where it is asked for: few commands do, and it loads for a second.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from ledger.casebook.items import Item
from ledger.casebook.recomputing import Unpacked, pack
from ledger.casebook.values import Casebook
from ledger.entries.models import Measurement
from ledger.errors import PhotoRefused
from ledger.store import derived
from ledger.store.engine import Store

if TYPE_CHECKING:
    from ledger.photo.declaring import Found

PICKED = "picks of "


def picked_names(entries: Mapping[str, Item]) -> set[str]:
    """Return under which names the store keeps what the picks of standing measurements give."""
    return {
        PICKED + ref
        for ref, item in entries.items()
        if isinstance(item.entry, Measurement) and item.entry.picked is not None
    }


def measurer(
    store: Store,
    kept: Mapping[str, derived.Cached],
    entries: Mapping[str, Item],
    others: Mapping[str, Item],
    root: Path,
    keeping: bool = True,
) -> Callable[[str], Found]:
    """Return what gives what the picks of a measurement give, by its ref; raises as `measured_anew` does.

    kept     what the store has; what has to be measured is put into it, if it is `keeping`
    others   withdrawn entries: a source may be among them
    root     the investigation's folder
    """
    known = dict(kept)

    def measured(ref: str) -> Found:
        from ledger.casebook.measuring import asked, source_among

        entry = entries[ref].entry
        if not isinstance(entry, Measurement):
            raise PhotoRefused(f"{ref}: given a {entries[ref].kind}; expected a measurement.")
        one = asked(entry, source_among(entry, entries, others), root)
        name, key = PICKED + ref, one.key()
        had = _unpacked(known[name]) if name in known and known[name].key == key else None
        if had is not None:
            return had
        found = one.found()
        known[name] = derived.Cached(key, *_packed(found))
        if keeping and store.writable:
            with derived.as_far_as_possible():
                derived.put_results(store, {name: known[name]})
        return found

    return measured


def untrue_of_picks(casebook: Casebook, kept: Mapping[str, derived.Cached], root: Path) -> list[str]:
    """Return of which measurements the store keeps something else than their picks give, measured anew."""
    from ledger.casebook.measuring import asked, source_of

    wrong = []
    for ref in sorted(name.removeprefix(PICKED) for name in picked_names(casebook.entries) & set(kept)):
        entry = casebook.entries[ref].entry
        assert isinstance(entry, Measurement)
        had = kept[PICKED + ref]
        try:
            one = asked(entry, source_of(casebook, entry), root)
            if one.key() == had.key and _packed(one.found()) != (had.summary, had.draws):
                wrong.append(ref)
        except PhotoRefused:
            continue
    return wrong


def _packed(found: Found) -> tuple[str, bytes]:
    said = {name: value for name, value in vars(found).items() if name != "draws"}
    return json.dumps(said | {"chances": list(found.chances.items())}), pack({"draws": found.draws})


def _unpacked(had: derived.Cached) -> Found | None:
    from ledger.photo.declaring import Found

    draws = Unpacked(had.draws)["draws"]
    try:
        said = json.loads(had.summary)
        return Found(**said | {"chances": dict(said["chances"]), "notes": tuple(said["notes"]), "draws": draws})
    except (KeyError, TypeError, ValueError):  # words of another make
        return None
