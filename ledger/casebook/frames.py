"""Numbers across rivals as pandas frames, for tables and CSV."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ledger.casebook.values import Casebook
from ledger.entries.models import Calculation

if TYPE_CHECKING:
    import pandas

COLUMNS = (
    "hypothesis", "calculation", "output", "label", "unit",
    "estimate", "uncertainty", "low", "high", "chance", "limit", "kept",
)  # fmt: skip


def across_rivals(casebook: Casebook, question: str, calculator: str) -> pandas.DataFrame:
    """Return what one calculator gives for every rival of a question, one row an output.

    Columns: hypothesis, calculation (refs), output, label, unit, estimate, uncertainty (standard), low, high (95 %),
    chance (of a truth), limit and kept (of a criterion: its words and the chance that it holds). Empty where there is
    none.
    """
    import pandas

    rivals = [item.ref for item in casebook.rivals(question)]
    rows: list[dict[str, Any]] = []
    for ref, result in casebook.results.items():
        entry = casebook.entries[ref].entry
        if result.calculator != calculator or not isinstance(entry, Calculation):
            continue
        limits = {kept.output: kept for kept in result.kept}
        for rival in rivals:
            if rival not in entry.hypotheses:
                continue
            for outcome in result.outcomes:
                if outcome.form not in ("number", "whole", "truth"):
                    continue
                summary, kept = outcome.summary, limits.get(outcome.name)
                rows.append(
                    {
                        "hypothesis": rival,
                        "calculation": ref,
                        "output": outcome.name,
                        "label": outcome.label,
                        "unit": outcome.unit,
                        "estimate": summary.estimate if summary else None,
                        "uncertainty": summary.uncertainty if summary else None,
                        "low": summary.low if summary else None,
                        "high": summary.high if summary else None,
                        "chance": outcome.chance,
                        "limit": kept.limit if kept else None,
                        "kept": kept.chance if kept else None,
                    }
                )
    return pandas.DataFrame(rows, columns=list(COLUMNS))
