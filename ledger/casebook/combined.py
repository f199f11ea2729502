"""Measurements that combine others, made anew: what the parts share through their photograph is not counted twice."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from ledger.casebook.items import Item
from ledger.casebook.measuring import NotAtHand, file_of, measured_anew
from ledger.casebook.values import Casebook
from ledger.entries.models import Measurement, Source
from ledger.errors import PhotoRefused
from ledger.photo.combining import Combined, Reading, combine, reading
from ledger.photo.declaring import Found
from ledger.photo.telling import agrees, quantity_text
from ledger.quantities.notation import Z95
from ledger.quantities.percents import chance


def combined_anew(ref: str, entries: Mapping[str, Item], root: Path | None) -> Combined:
    """Return the parts of a measurement as one, each measured anew where it keeps its picks.

    Parts of one photograph share what they have in common of it; parts without picks count as independent.
    PhotoRefused for what cannot be combined or measured; NotAtHand where a picture is not here.
    """
    entry = _measurement(ref, entries)
    gone = [part for part in entry.combines if part not in entries]
    if gone:
        raise PhotoRefused(f"{ref}: given {', '.join(gone)}, withdrawn; expected standing parts. Revise `combines`.")
    readings = [_reading(part, entries, root, entry.quantity.unit) for part in entry.combines]
    return combine(entry.title, readings)


def as_found(combined: Combined) -> Found:
    """Return the combined value as anything measured is told, with a note where its parts conflict."""
    value = combined.value
    notes = (conflict_of(combined),) if combined.conflict else ()
    return Found(
        value.label, value.unit, value.estimate, value.uncertainty, value.low, value.high, value.draws, value.parts,
        notes=notes,
    )  # fmt: skip


def conflict_of(combined: Combined) -> str:
    """Say how badly the parts of a combined measurement disagree, and which is the odd one."""
    odd = f"; the odd one is {combined.odd}" if combined.odd is not None else ""
    return (
        f"its parts conflict: so great a difference has a chance of {chance(combined.chance)}{odd}. "
        "Find out which is wrong before using it; "
        f"± {Z95 * combined.widened:.2g} {combined.value.unit} would cover the difference."
    )


def _measurement(ref: str, entries: Mapping[str, Item]) -> Measurement:
    entry = entries[ref].entry
    assert isinstance(entry, Measurement)
    return entry


def _reading(ref: str, entries: Mapping[str, Item], root: Path | None, unit: str) -> Reading:
    entry = _measurement(ref, entries)
    if entry.picked is None:
        stated = entry.quantity.to(unit)
        return Reading(ref, unit, stated.mean, stated.std, {})
    item = entries.get(entry.source)
    source = item.entry if item is not None and isinstance(item.entry, Source) else None
    found = measured_anew(entry, source, root)
    if found.unit != unit:
        raise PhotoRefused(
            f"{ref}: given in {found.unit}; expected {unit}, as the combined one. State that in {found.unit}."
        )
    return reading(found, file_of(entry.picked, source) or entry.source, ref)


def unlike_their_parts(casebook: Casebook, root: Path) -> tuple[list[str], list[str]]:
    """Return which combined measurements are not what their parts give; and those in conflict or not at hand."""
    unlike, look = [], []
    for item in casebook.of_kind("measurement"):
        if not isinstance(item.entry, Measurement) or not item.entry.combines:
            continue
        try:
            combined = combined_anew(item.ref, casebook.entries, root)
        except NotAtHand as error:
            look.append(f"{item.ref} cannot be combined again: {error}")
            continue
        except PhotoRefused as error:
            unlike.append(f"{item.ref} cannot be combined. {error}")
            continue
        if combined.conflict:
            look.append(f"{item.ref}: {conflict_of(combined)}")
        found = as_found(combined)
        if not agrees(found, item.entry.quantity):
            unlike.append(
                f"{item.ref} says `{item.entry.quantity.text}`, but its parts give `{quantity_text(found)}`: "
                f"`witness measure {item.ref} --write` writes that into its file, or mend the parts."
            )
    return unlike, look
