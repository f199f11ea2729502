"""Rules over links between hypotheses: each pair is linked once, across questions, and asks for nothing impossible."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from ledger.entries.document import Document
from ledger.entries.models import Hypothesis
from ledger.entries.view import View, bare


def check_links(view: View) -> None:
    """Add the faults of links that no weighing could take as they stand."""
    told: dict[tuple[str, str], str] = {}
    for document, hypothesis in view.standing(Hypothesis):
        needed: dict[str, str] = {}
        for field, ref in _links(document, hypothesis):
            target = view.entry(ref, Hypothesis)
            if ref == document.ref:
                view.fault(document, field, f"`{bare(ref)}` itself", "another hypothesis", "Take the line out.")
            elif target is not None and target.question == hypothesis.question:
                view.fault(
                    document,
                    field,
                    f"`{bare(ref)}`, a rival of the same question",
                    "a hypothesis of another question",
                    "Rivals of one question exclude each other already: take the line out.",
                )
            elif (before := _before(told, document.ref, ref, field)) is not None:
                view.fault(
                    document,
                    field,
                    f"`{bare(ref)}`, linked already in {before}",
                    "one link for each pair, or two of which each needs the other",
                    "Keep one of the two lines: `rules-out` and `favours` hold both ways.",
                )
            elif field.startswith("needs") and target is not None and target.question in needed:
                view.fault(
                    document,
                    field,
                    f"`{bare(ref)}` beside `{bare(needed[target.question])}`",
                    f"one rival of {bare(target.question)}",
                    "Rivals of one question exclude each other, so both cannot be needed: keep one.",
                )
            else:
                told[document.ref, ref] = f"{document.ref}, {field.partition('.')[0]}"
                if field.startswith("needs") and target is not None:
                    needed[target.question] = ref


def _before(told: Mapping[tuple[str, str], str], one: str, other: str, field: str) -> str | None:
    """Return where a pair is linked already; that each needs the other takes two links."""
    back = told.get((other, one))
    both_need = field.startswith("needs") and back is not None and back.endswith(", needs")
    return told.get((one, other)) or (None if both_need else back)


def _links(document: Document, hypothesis: Hypothesis) -> Iterator[tuple[str, str]]:
    for name, refs in (("needs", hypothesis.needs), ("rules-out", hypothesis.rules_out)):
        for number, ref in enumerate(refs, 1):
            yield f"{name}.{number}", ref
    for ref in hypothesis.favours:
        short = f"favours.{bare(ref)}"
        yield short if short in document.lines else f"favours.{ref}", ref
