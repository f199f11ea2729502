"""Rules over questions: priors sum to one, and whatever bears on a question judges all of its rivals."""

from __future__ import annotations

from collections.abc import Mapping

from ledger.entries.document import Document
from ledger.entries.models import NONE_OF_THESE, OTHERS, Evidence, Hypothesis, Lookout, Question
from ledger.entries.parts import Absence
from ledger.entries.view import View, bare
from ledger.quantities.chance import Chance

PRIOR_TOLERANCE = 0.005
OUTCOMES_BAND = (0.9, 1.1)
Judged = Mapping[str, Chance | Absence]


def check_completeness(view: View) -> None:
    """Add the faults and warnings of priors, of notes' bearings and of lookouts' outcomes."""
    for document, question in view.standing(Question):
        if not view.unsure("hypotheses", "question") and not document.lost(NONE_OF_THESE):
            _priors(view, document, question)
    for document, note in view.standing(Evidence):
        _note(view, document, note)
    for document, lookout in view.standing(Lookout):
        _lookout(view, document, lookout)


def _priors(view: View, document: Document, question: Question) -> None:
    rivals = view.rivals.get(document.ref, [])
    if len(rivals) < 2:
        given = f"{len(rivals)} standing rival{'' if len(rivals) == 1 else 's'}"
        view.warn(document, "kind", given, "at least two", "Add the hypotheses that answer this question.")
    priors = {ref: entry.prior for ref in rivals if (entry := view.entry(ref, Hypothesis)) is not None}
    if not priors:
        return
    if any(view.documents[ref].lost("prior") for ref in priors):
        return
    none = question.none_of_these
    parts = [*priors.values(), none]
    if any(part.low != part.high for part in parts):
        _ranges(view, document, priors, none)
        return
    named = sum(prior.low for prior in priors.values())
    total = named + none.low
    if abs(total - 1) <= PRIOR_TOLERANCE + 1e-12:
        return
    said = [f"{prior.low:g} ({bare(ref)})" for ref, prior in priors.items()]
    given = " + ".join((*said, f"{none.low:g} ({NONE_OF_THESE})")) + f" = {total:.4g}"
    # A rival that was erased leaves no trace but the gap, so a gap that this posting did not make is no fault.
    touched = view.changed.intersection({document.ref, *rivals})
    if total < 1 and (view.fallen.get(document.ref) or not touched):
        remedy = "The missing rival's share is divided in proportion; state new priors when you can."
        view.warn(document, NONE_OF_THESE, given, "a sum of 1", remedy)
        return
    remedy = f"Multiply each rival's prior by {(1 - none.low) / named:.4g}." if named else "Give each rival a prior."
    view.fault(document, NONE_OF_THESE, given, "a sum of 1", remedy)


def _ranges(view: View, document: Document, priors: Mapping[str, Chance], none: Chance) -> None:
    """Hold priors of which some are ranges to what a sum of one leaves open: they are normalised when drawn."""
    least = none.low + sum(prior.low for prior in priors.values())
    most = none.high + sum(prior.high for prior in priors.values())
    if least <= 1 + PRIOR_TOLERANCE + 1e-12 and most >= 1 - PRIOR_TOLERANCE - 1e-12:
        return
    given = f"priors that sum to between {least:.4g} and {most:.4g}, {NONE_OF_THESE} with them"
    if most < 1 and (view.fallen.get(document.ref) or not view.changed.intersection({document.ref, *priors})):
        remedy = "The missing rival's share is divided in proportion; state new priors when you can."
        view.warn(document, NONE_OF_THESE, given, "ranges that a sum of 1 lies within", remedy)
        return
    view.fault(document, NONE_OF_THESE, given, "ranges that a sum of 1 lies within", "Widen or move the ranges.")


def _note(view: View, document: Document, note: Evidence) -> None:
    if not note.bearing:
        return
    if set(note.bearing) | document.lost_keys("bearing") == {OTHERS}:
        _only_others(view, document, "bearing")
    elif document.ref in view.changed:
        hypotheses = (view.entry(ref, Hypothesis) for ref in note.bearing if ref != OTHERS)
        questions = (hypothesis.question for hypothesis in hypotheses if hypothesis is not None)
        for question in dict.fromkeys(question for question in questions if question):
            _all_judged(view, document, "bearing", note.bearing, question)


def _lookout(view: View, document: Document, lookout: Lookout) -> None:
    for name, bearing in lookout.outcomes.items():
        field = f"outcomes.{name}"
        if set(bearing) | document.lost_keys(field) == {OTHERS}:
            _only_others(view, document, field)
        elif document.ref in view.changed:
            _all_judged(view, document, field, bearing, lookout.question)
        for ref in bearing:
            hypothesis = view.entry(ref, Hypothesis)
            if (
                hypothesis is not None
                and hypothesis.question
                and lookout.question
                and hypothesis.question != lookout.question
            ):
                remedy = "Take it out, or make another lookout for its question."
                expected = f"rivals of {bare(lookout.question)}"
                view.fault(
                    document,
                    _field_of(document, field, ref),
                    f"a rival of {bare(hypothesis.question)}",
                    expected,
                    remedy,
                )
    for ref in () if document.lost("outcomes") else view.rivals.get(lookout.question, ()):
        _outcomes_sum(view, document, lookout, ref)


def _only_others(view: View, document: Document, field: str) -> None:
    view.fault(
        document, field, "`others` alone", "a rival by name", "Name at least one rival that it speaks for or against."
    )


def _all_judged(view: View, document: Document, field: str, bearing: Judged, question: str) -> None:
    lost = document.lost_keys(field)
    if OTHERS in bearing or OTHERS in lost:
        return
    missing = [bare(ref) for ref in view.rivals.get(question, ()) if ref not in bearing and not {ref, bare(ref)} & lost]
    if missing:
        names = ", ".join(f"`{name}`" for name in missing)
        expected = f"every rival of {bare(question)} judged, or `others`"
        remedy = f"Add a bearing for {names}, or the line `others: …`."
        view.fault(document, field, f"nothing for {names}", expected, remedy)


def _outcomes_sum(view: View, document: Document, lookout: Lookout, ref: str) -> None:
    """Check that the chances of all outcomes under one rival sum to about one, where all are plain numbers."""
    chances = [_point(bearing.get(ref, bearing.get(OTHERS))) for bearing in lookout.outcomes.values()]
    points = [chance for chance in chances if chance is not None]
    total = sum(points)
    low, high = OUTCOMES_BAND
    if len(points) == len(chances) and not low - 1e-9 <= total <= high + 1e-9:
        given = f"{' + '.join(f'{point:g}' for point in points)} = {total:.4g} for {bare(ref)}"
        remedy = "One of the outcomes must come about: change their chances, or add the outcome that is missing."
        view.fault(document, "outcomes", given, "a sum of about 1", remedy)


def _point(bearing: Chance | Absence | None) -> float | None:
    """Return the one number a bearing states; None where it is a range or not there."""
    chance = bearing.would_show if isinstance(bearing, Absence) else bearing
    if chance is None or chance.low != chance.high:
        return None
    return 1 - chance.low if isinstance(bearing, Absence) else chance.low


def _field_of(document: Document, field: str, ref: str) -> str:
    short = f"{field}.{bare(ref)}"
    return short if short in document.lines else f"{field}.{ref}"
