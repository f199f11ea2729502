"""What changed entries are held to before they are posted, whoever posts them, beyond what entries tell by themselves.

Calculators, ways of measuring and the sections of the build sheet each know what may be said of them.
"""

from __future__ import annotations

from collections.abc import Mapping, Set
from pathlib import Path

from ledger.calculators.declared import check_calculations
from ledger.calculators.quoted import check_quotes
from ledger.calculators.register import REGISTER as CALCULATORS
from ledger.entries.reading import Document
from ledger.errors import Fault


def check_changed(root: Path, documents: Mapping[str, Document], changed: Set[str]) -> list[Fault]:
    """Return the faults of changed calculations, quotes, picks, files of sources, and of what changed decisions fix.

    root  the investigation's folder, where pictures and recordings are looked for
    """
    return [
        *check_calculations(CALCULATORS, documents, changed),
        *check_quotes(CALCULATORS, documents, changed),
        *_of_picks(root, documents, changed),
        *_of_originals(root, documents, changed),
        *_of_fixes(documents, changed),
    ]


def _of_picks(root: Path, documents: Mapping[str, Document], changed: Set[str]) -> list[Fault]:
    """Return the faults of picks; the ways of measuring are loaded only where a measurement changed."""
    if not any(ref.startswith("measurements/") for ref in changed):
        return []
    from ledger.casebook.picking import check_picked
    from ledger.photo.methods import REGISTER as METHODS

    return check_picked(METHODS, documents, changed, root)


def _of_originals(root: Path, documents: Mapping[str, Document], changed: Set[str]) -> list[Fault]:
    """Return the faults of the files that sources name; what reads them is loaded only where a source changed."""
    if not any(ref.startswith("sources/") for ref in changed):
        return []
    from ledger.casebook.originals import check_originals

    return check_originals(documents, changed, root)


def _of_fixes(documents: Mapping[str, Document], changed: Set[str]) -> list[Fault]:
    """Return the faults of what decisions fix; the sheet's sections are loaded only where a decision changed."""
    if not any(ref.startswith("decisions/") for ref in changed):
        return []
    from ledger.building.fixes import check_fixes

    return check_fixes(CALCULATORS, documents, changed)
