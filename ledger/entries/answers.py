"""Rules over answers to a question: the one that came true, and the confidences that readers state."""

from __future__ import annotations

from math import fsum

from ledger.entries.document import Document
from ledger.entries.models import NONE_OF_THESE, Hypothesis, Lookout, Question, Reply
from ledger.entries.view import View, bare
from ledger.quantities.units import same_dimension

SUM_TOLERANCE = 0.005


def check_answers(view: View) -> None:
    """Add the faults of resolutions, of readers' confidences and of the efforts of lookouts."""
    for document, question in view.standing(Question):
        if question.resolved is not None:
            _resolution(view, document, question.resolved.answer)
    for document, reply in view.standing(Reply):
        if reply.confidences:
            _confidences(view, document, reply)
    for document, lookout in view.standing(Lookout):
        if lookout.effort is not None and not same_dimension(lookout.effort.unit, "h"):
            view.fault(document, "effort", lookout.effort.text, "a time", "Write `3 h`, `20 min` or `2 day`.")
        elif lookout.effort is not None and not lookout.effort.mean > 0:
            view.fault(document, "effort", lookout.effort.text, "a time above 0", "Write `5 min` for a moment.")


def _resolution(view: View, document: Document, answer: str) -> None:
    hypothesis = view.entry(answer, Hypothesis)
    if answer != NONE_OF_THESE and hypothesis is not None and hypothesis.question != document.ref:
        view.fault(
            document,
            "resolved.answer",
            f"`{bare(answer)}`, a rival of {bare(hypothesis.question)}",
            f"a rival of {bare(document.ref)}, or `{NONE_OF_THESE}`",
            "Name the rival that came true.",
        )


def _confidences(view: View, document: Document, reply: Reply) -> None:
    if document.lost("confidences"):
        return
    named = [entry for ref in reply.confidences if (entry := view.entry(ref, Hypothesis)) is not None]
    questions = sorted({entry.question for entry in named})
    if len(questions) > 1 or set(reply.confidences) == {NONE_OF_THESE}:
        given = f"rivals of {', '.join(map(bare, questions))}" if questions else f"`{NONE_OF_THESE}` alone"
        view.fault(document, "confidences", given, "the rivals of one question", "Write one reply a question.")
        return
    wrong = [f"{bare(ref)}: {value:g}" for ref, value in reply.confidences.items() if not 0 <= value <= 1]
    if wrong:
        view.fault(document, "confidences", ", ".join(wrong), "chances from 0 to 1", "Write `0.3` for 30 %.")
        return
    if not named:
        return
    for question in questions if document.ref in view.changed else ():
        missing = [bare(ref) for ref in view.rivals.get(question, ()) if ref not in reply.confidences]
        if missing:
            # What a reader did not have before the eyes is none of those that are named.
            rest = NONE_OF_THESE in reply.confidences
            tell = view.warn if rest else view.fault
            remedy = f"Their share is in `{NONE_OF_THESE}`." if rest else "Give each a chance, 0 at least."
            given = f"nothing for {', '.join(missing)}"
            tell(document, "confidences", given, f"every rival of {bare(question)}", remedy)
    total = fsum(reply.confidences.values())
    if abs(total - 1) > SUM_TOLERANCE:
        remedy = f"What is left belongs to `{NONE_OF_THESE}`; or divide each by {total:.4g}."
        view.fault(document, "confidences", f"a sum of {total:.4g}", "a sum of 1", remedy)
