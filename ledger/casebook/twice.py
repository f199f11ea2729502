"""Measurements that would count twice: once in an evidence note, once in a calculation, for the same hypothesis."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from ledger.casebook.cases import judged
from ledger.casebook.values import Finding, Item
from ledger.entries.models import Calculation, Evidence, Hypothesis, Measurement
from ledger.entries.parts import Bearing


def counted_twice(entries: Mapping[str, Item]) -> tuple[Finding, ...]:
    """Name each measurement that reaches a hypothesis both through a note and through a calculation."""
    calculations = {ref: item.entry for ref, item in entries.items() if isinstance(item.entry, Calculation)}
    rivals = {ref: item.entry for ref, item in entries.items() if isinstance(item.entry, Hypothesis)}
    parts = {ref: item.entry.combines for ref, item in entries.items() if isinstance(item.entry, Measurement)}

    def parted(refs: Collection[str]) -> set[str]:
        """Return measurements with the parts of combined ones, which count wherever those count."""
        inner = {str(part) for ref in refs for part in parts.get(ref, ())}
        return set(refs) | (parted(inner) if inner else set())

    findings = []
    for note_ref, item in entries.items():
        note = item.entry
        if not isinstance(note, Evidence) or note.uncounted is not None or not note.measurements:
            continue
        for ref, calculation in calculations.items():
            if calculation.uncounted is not None or not (calculation.criteria or calculation.observed):
                continue
            shared = sorted(parted(note.measurements) & parted(_measurements(ref, calculations, set())))
            reached = [
                rival for rival in calculation.hypotheses if rival in rivals and rival in _judged(note, rival, rivals)
            ]
            if shared and reached:
                findings.append(
                    Finding(
                        (note_ref, ref, *shared),
                        f"{', '.join(shared)} would count twice for {', '.join(reached)}: in {note_ref} and in {ref}. "
                        "Give one of the two `uncounted: reason`.",
                    )
                )
    return tuple(findings)


def _judged(note: Evidence, rival: str, rivals: Mapping[str, Hypothesis]) -> dict[str, Bearing]:
    question = rivals[rival].question
    return judged(note.bearing, {ref: entry for ref, entry in rivals.items() if entry.question == question})


def _measurements(ref: str, calculations: Mapping[str, Calculation], seen: set[str]) -> set[str]:
    """Return every measurement a calculation stands on, through others too, and the one it is held against."""
    if ref in seen or ref not in calculations:
        return set()
    seen.add(ref)
    calculation = calculations[ref]
    direct = {ground.measurement for ground in calculation.grounds() if ground.measurement is not None}
    if calculation.observed is not None:
        direct.add(calculation.observed.measurement)
    for ground in calculation.grounds():
        if ground.calculation is not None:
            direct |= _measurements(ground.calculation, calculations, seen)
    return direct
