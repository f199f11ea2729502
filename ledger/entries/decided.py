"""Rules over decisions that were posted before: one that is taken again says why."""

from __future__ import annotations

from collections.abc import Mapping

from ledger.entries.document import Document
from ledger.entries.models import Decision
from ledger.entries.said import said
from ledger.entries.view import View

STOOD_ON = ("choice", "grounds", "fixes", "quotes", "least-confidence")


def check_decided(view: View, renamed: Mapping[str, str]) -> None:
    """Add the faults of decisions whose day changed without a new reason; warn of those changed under the old day.

    renamed  present refs by former ones, so that a ground under a new name is no other ground
    """
    for document, decision in view.standing(Decision):
        was = view.before.get(document.ref)
        if was is None or not isinstance(was.entry, Decision) or document.lost("taken", "retaken"):
            continue
        if decision.taken == was.entry.taken:
            if decision.retaken == was.entry.retaken:
                _under_the_old_day(view, document, was, renamed)
        elif decision.retaken is None:
            view.fault(
                document,
                "taken",
                f"`{decision.taken}`, so far `{was.entry.taken}`",
                "why it was taken again, in `retaken`",
                f'Add `retaken: …`; `witness retake {document.ref} --reason "…"` writes both, and the numbers quoted.',
            )
        elif decision.retaken == was.entry.retaken:
            view.fault(
                document,
                "retaken",
                "the reason of the last time",
                f"why it was taken again on {decision.taken}",
                "Say what has changed since.",
            )


def _under_the_old_day(view: View, document: Document, was: Document, renamed: Mapping[str, str]) -> None:
    if document.spoiled:
        return
    now, then = (said(one.entry, renamed, *STOOD_ON) for one in (document, was))
    changed = [name for name in STOOD_ON if now.get(name) != then.get(name)]
    if changed:
        view.warn(
            document,
            changed[0],
            f"another {' and another '.join(f'`{name}`' for name in changed)} under the old day",
            "a new `taken` with its reason, if the decision was thought over",
            "From this posting on it is held against what its grounds say now.",
        )
