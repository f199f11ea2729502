"""Rules over predictions: what one rival is held to by a measurement, all are held to, in its dimension."""

from __future__ import annotations

from ledger.entries.models import Calculation, Hypothesis, Measurement
from ledger.entries.view import View, bare
from ledger.quantities.units import same_dimension


def check_predictions(view: View) -> None:
    """Add the faults of predicted ranges and of calculations with `observed`.

    Only standing calculations that count are looked at. A prediction missing for one rival is one fault, shown at the
    first calculation that makes it needed.
    """
    for document, hypothesis in view.standing(Hypothesis):
        for ref, predicted in hypothesis.predicts.items():
            measurement = view.entry(ref, Measurement)
            if measurement is None or view.documents[ref].lost("quantity"):
                continue
            if not same_dimension(predicted.unit, measurement.quantity.unit):
                field = f"predicts.{bare(ref)}"
                field = field if field in document.lines else f"predicts.{ref}"
                wanted = (
                    f"a unit like `{measurement.quantity.unit}`"
                    if measurement.quantity.unit
                    else "a number without a unit"
                )
                view.fault(
                    document, field, predicted.text, f"{wanted}, as {ref} has", "Give the range in that dimension."
                )
    if view.unsure("hypotheses", "predicts", "question") or view.unsure(
        "calculations", "observed", "hypotheses", "uncounted"
    ):
        return
    counted = [
        (document, entry) for document, entry in view.standing(Calculation) if entry.observed and not entry.uncounted
    ]
    predicted_by = {
        (ref, entry.observed.measurement) for _, entry in counted if entry.observed for ref in entry.hypotheses
    }
    told: set[tuple[str, str]] = set()
    for document, calculation in counted:
        if calculation.observed is None:
            continue
        measurement_ref = calculation.observed.measurement
        tested = (view.entry(ref, Hypothesis) for ref in calculation.hypotheses)
        for question in dict.fromkeys(hypothesis.question for hypothesis in tested if hypothesis is not None):
            for rival in view.rivals.get(question, ()):
                entry = view.entry(rival, Hypothesis)
                if (
                    entry is None
                    or measurement_ref in entry.predicts
                    or (rival, measurement_ref) in predicted_by | told
                ):
                    continue
                told.add((rival, measurement_ref))
                name = bare(measurement_ref)
                remedy = f"Add a broad range to {rival}: `predicts: {{{name}: …}}`, or its own observed calculation."
                view.fault(
                    document, "observed", f"no prediction of {name} by `{bare(rival)}`", "one by every rival", remedy
                )
