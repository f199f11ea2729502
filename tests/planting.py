"""A small ledger that keeps every rule, and faults planted in it one at a time. All of it is invented."""

from __future__ import annotations

from typing import Any

from ledger.entries.checking import Checked, check_ledger
from ledger.entries.reading import Document, read_text
from ledger.entries.writing import write

Front = dict[str, Any]


def base() -> dict[str, Front]:
    """Return the front matter of a small invented ledger that keeps all rules."""
    return {
        "investigation/gearbox": {"kind": "investigation", "by": ["A. Name"], "subject": "an invented gearbox"},
        "sources/bench-left": {
            "kind": "source",
            "medium": "photograph",
            "author": "A. Name",
            "date": 2031,
            "rights": "mine",
            "reliability": "B",
        },
        "sources/retold": {
            "kind": "source",
            "medium": "conversation",
            "author": "B. Name",
            "date": 2032,
            "rights": "mine",
            "reliability": "C",
            "origin": "bench-left",
        },
        "measurements/hub-width": {
            "kind": "measurement",
            "quantity": "62 ± 3 mm",
            "source": "bench-left",
            "credibility": 2,
            "method": "scaled",
        },
        "questions/forks": {"kind": "question"},
        "hypotheses/drum": {"kind": "hypothesis", "question": "forks", "prior": 0.5, "reason": "seen before"},
        "hypotheses/face-cam": {"kind": "hypothesis", "question": "forks", "prior": 0.4, "reason": "seen before"},
        "evidence/groove": {
            "kind": "evidence",
            "source": "bench-left",
            "credibility": 2,
            "bearing": {"drum": 0.9, "face-cam": "likely"},
            "measurements": ["hub-width"],
        },
        "calculations/track": {
            "kind": "calculation",
            "calculator": "drum-track",
            "hypotheses": ["drum"],
            "inputs": {"hub": "measurements/hub-width"},
        },
        "calculations/load": {
            "kind": "calculation",
            "calculator": "drum-load",
            "hypotheses": ["drum"],
            "inputs": {"radius": "calculations/track#radius"},
        },
        "decisions/size": {"kind": "decision", "choice": "small", "grounds": ["evidence/groove"], "taken": "2033"},
        "lookouts/inside": {
            "kind": "lookout",
            "question": "forks",
            "outcomes": {"seen": {"drum": 0.8, "face-cam": 0.3}, "unseen": {"drum": 0.2, "face-cam": 0.7}},
        },
        "replies/first": {
            "kind": "reply",
            "about": "hypotheses/drum",
            "stance": "doubt",
            "date": 2033,
            "consent": True,
        },
    }


def documents(fronts: dict[str, Front]) -> dict[str, Document]:
    read = {}
    for ref, front in fronts.items():
        folder, _, name = ref.partition("/")
        read[ref] = read_text(write({"kind": front["kind"], "title": name, **front}, ""), folder, name)
    return read


def check(
    fronts: dict[str, Front], changed: set[str] | None = None, unread: set[str] | frozenset[str] = frozenset()
) -> Checked:
    return check_ledger(documents(fronts), set(fronts) if changed is None else changed, unread)


def planted(ref: str, remove: tuple[str, ...] = (), **fields: Any) -> dict[str, Front]:
    """Return the small ledger with fields of one entry set (`_` for `-`) or removed."""
    fronts = base()
    fronts.setdefault(ref, {}).update({key.replace("_", "-"): value for key, value in fields.items()})
    for key in remove:
        del fronts[ref][key]
    return fronts


def without(*refs: str) -> dict[str, Front]:
    return {ref: front for ref, front in base().items() if ref not in refs}


def only(checked: Checked) -> tuple[str, str, str, str, str]:
    """Return what the one fault says, with its file and field."""
    assert len(checked.faults) == 1, checked.faults
    fault = checked.faults[0]
    assert fault.given
    assert fault.expected
    assert fault.remedy
    return (
        fault.file.removeprefix("entries/").removesuffix(".md"),
        fault.field,
        fault.given,
        fault.expected,
        fault.remedy,
    )
