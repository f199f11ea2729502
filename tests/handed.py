"""What tests of handing out need: casebooks of drawn ledgers, and histories of casebooks."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from ledger.casebook.items import Edition, Item
from ledger.casebook.values import Casebook
from ledger.entries.models import KINDS, MODELS
from ledger.entries.references import references
from ledger.store.chain import START, Link, digest, link_hash
from tests.drawn_ledgers import Ledger

FIRST, LATER = "2031-05-17T09:30:00Z", "2031-06-02T18:00:00Z"


def casebook_of(ledger: Ledger) -> Casebook:
    """Return the casebook of a drawn ledger, with nothing computed and nothing weighed."""
    items = {
        f"{folder}/{name}": Item(
            f"{folder}/{name}", KINDS[folder], name, MODELS[KINDS[folder]].model_validate(front, by_alias=True), body, 1
        )
        for (folder, name), (front, body) in sorted(ledger.items())
    }
    entries = {ref: item for ref, item in items.items() if item.entry.withdrawn is None}
    used: dict[str, set[str]] = {}
    for ref, item in entries.items():
        for _, target in references(item.entry):
            used.setdefault(target, set()).add(ref)
    return Casebook(
        entries=entries,
        withdrawn={ref: item for ref, item in items.items() if ref not in entries},
        results={},
        refused={},
        weighings={},
        feasibility={},
        used_by={ref: tuple(sorted(users)) for ref, users in sorted(used.items())},
        soundness={"A": 0.95},
        tracking={"1": 0.95},
        findings=(),
        twice=(),
        edition=Edition(0, "0" * 64),
    )


def chain(steps: Iterable[tuple[int, str, str, str, str]]) -> tuple[Link, ...]:
    """Return the record of some steps: each the seq of its entry's first step, kind, name, action and time."""
    made: list[Link] = []
    for seq, (entry, kind, name, action, at) in enumerate(steps, 1):
        text, salt = f"{name} as of {seq}", f"{seq:032x}"
        fields: dict[str, Any] = {
            "seq": seq,
            "entry": entry,
            "kind": kind,
            "name": name,
            "action": action,
            "at": at,
            "digest": None if action == "erased" else digest(salt, text.encode()),
            "previous": made[-1].hash if made else START,
        }
        words = {} if action == "erased" else {"salt": salt, "text": text}
        made.append(Link(**fields, hash=link_hash(fields), **words))
    return tuple(made)


def history_of(casebook: Casebook) -> tuple[Link, ...]:
    """Return a history with every revision of a casebook: the first of each at FIRST, all others at LATER."""
    items = [*casebook.entries.values(), *casebook.withdrawn.values()]
    ids = {item.ref: number for number, item in enumerate(items, 1)}
    steps = [(ids[item.ref], item.kind, item.name, "new", FIRST) for item in items]
    for item in items:
        steps += [(ids[item.ref], item.kind, item.name, "revised", LATER)] * (item.revisions - 1)
    return chain(steps)


def private(ledger: Ledger, words: str) -> Ledger:
    """Return a ledger with a reply that may not be shown, of such a name and all of such words, which others name."""
    investigation = next(place for place in ledger if place[0] == "investigation")
    front, body = ledger[investigation]
    return {
        **ledger,
        investigation: (front, f"{body} See [a reply](replies/{words}.md), replies/{words}."),
        ("replies", words): (
            {
                "kind": "reply",
                "title": f"title {words}",
                "about": "/".join(investigation),
                "stance": "doubt",
                "name": f"name {words}",
                "date": "2031-05-17",
                "consent": False,
            },
            f"body {words}",
        ),
        ("decisions", "after-a-reply"): (
            {
                "kind": "decision",
                "title": "Taken after a reply",
                "choice": f"As replies/{words} says",
                "grounds": [f"replies/{words}", "/".join(investigation)],
                "taken": "2031-06",
            },
            "",
        ),
    }
