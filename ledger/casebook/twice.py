"""What would count twice: a measurement in a note and in a calculation, or one note written down again."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from ledger.casebook.cases import judged
from ledger.casebook.items import Finding, Item
from ledger.entries.models import Calculation, Evidence, Hypothesis, Measurement
from ledger.entries.parts import Bearing


def counted_twice(entries: Mapping[str, Item]) -> tuple[Finding, ...]:
    """Name what reaches a hypothesis twice."""
    return (*_through_both(entries), *_written_again(entries))


def _written_again(entries: Mapping[str, Item]) -> list[Finding]:
    """Name notes of one source that bear alike and say the same in the same words: each of them would count."""
    alike: dict[tuple[str, object, str], list[str]] = {}
    for ref, item in entries.items():
        note = item.entry
        if isinstance(note, Evidence) and note.uncounted is None:
            words = " ".join((item.body.strip() or item.title).casefold().split())
            bearing = tuple(sorted((rival, repr(one)) for rival, one in note.bearing.items()))
            alike.setdefault((str(note.source), bearing, words), []).append(ref)
    return [
        Finding(
            tuple(refs),
            f"{', '.join(refs)} say the same of {source}, and each of them counts. "
            "Withdraw all but one, or give the others `uncounted: reason`.",
        )
        for (source, _, _), refs in alike.items()
        if len(refs) > 1
    ]


def _through_both(entries: Mapping[str, Item]) -> list[Finding]:
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
    return findings


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
