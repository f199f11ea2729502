"""Rules over combined measurements: two or more of one dimension, each named once, and no picks of its own beside."""

from __future__ import annotations

from ledger.entries.models import Measurement
from ledger.entries.view import View, bare
from ledger.quantities.units import same_dimension


def check_combined(view: View) -> None:
    """Add the faults of measurements that combine others."""
    for document, measurement in view.standing(Measurement):
        if not measurement.combines:
            continue
        if len(set(measurement.combines)) < max(2, len(measurement.combines)):
            given = ", ".join(map(bare, measurement.combines))
            view.fault(document, "combines", given, "two measurements or more, each once", "Name them.")
        if measurement.picked is not None:
            remedy = "Make a measurement of the picks and combine that one."
            view.fault(document, "picked", "picks beside `combines`", "one of the two", remedy)
        for number, ref in enumerate(measurement.combines, 1):
            part = view.entry(ref, Measurement)
            if part is None or document.lost("quantity") or view.documents[ref].lost("quantity"):
                continue
            if not same_dimension(part.quantity.unit, measurement.quantity.unit):
                view.fault(
                    document,
                    f"combines.{number}",
                    f"`{bare(ref)}` in {part.quantity.unit or 'plain numbers'}",
                    f"a quantity of the dimension of {measurement.quantity.text}",
                    "Combine measurements of one quantity only.",
                )
