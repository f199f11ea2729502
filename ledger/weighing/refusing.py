"""Words for evidence that leaves no rival: what shuts out whom, and how to mend it."""

from __future__ import annotations

import numpy as np

from ledger.weighing.layout import Factors, Layout


def evidence_leaves_nobody(question: str, layout: Layout, factors: Factors) -> str:
    """Say what shuts out each rival that had a prior above 0."""
    had = layout.prior[0] > 0
    for row, part in zip(layout.rows, layout.parts[0], strict=True):
        if np.isneginf(part[had]).all():
            return (
                f"{question}: {row.ref} cannot be, whatever is true: no rival with a prior above 0 gives it a chance. "
                "Give it a bearing above 0 on one of them, or withdraw it."
            )
    reasons = []
    for index in np.flatnonzero(had):
        shut = [
            row.ref
            for row, owner, part in zip(layout.rows, layout.owner, layout.parts[0], strict=True)
            if np.isneginf(part[index]) and np.isneginf(factors.origin[0, owner, index])
        ]
        if np.isneginf(layout.feasible[0, index]):
            shut.append("its feasibility")
        reasons.append(f"{layout.rivals[index]} by {', '.join(shut) or 'all of it together'}")
    return (
        f"{question}: the evidence contradicts itself and no rival is left; shut out are {'; '.join(reasons)}. "
        "Certainty leaves no way back: raise a bearing or doubt above 0, or a soundness or credibility below 1."
    )
