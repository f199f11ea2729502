"""What changed entries are held to before they are posted, whoever posts them, beyond what entries tell by themselves.

Calculators, ways of measuring and the sections of the build sheet each know what may be said of them.
"""

from __future__ import annotations

from collections.abc import Mapping, Set
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

from pydantic import ValidationError

from ledger.calculators.contract import Calculator
from ledger.calculators.declared import check_calculations
from ledger.calculators.quoted import check_quotes
from ledger.calculators.register import REGISTER as CALCULATORS
from ledger.entries.models import MODELS, Calculation, Decision
from ledger.entries.reading import Document
from ledger.entries.references import references
from ledger.entries.signs import check_signs
from ledger.errors import Fault


def check_changed(root: Path, documents: Mapping[str, Document], changed: Set[str]) -> list[Fault]:
    """Return the faults of changed texts, calculations, quotes, picks, files of sources, and what decisions fix.

    What has not changed is held to what it takes from changed measurements and calculations.

    root  the investigation's folder, where pictures and recordings are looked for
    """
    return [
        *check_signs(documents, changed),
        *check_calculations(CALCULATORS, documents, changed),
        *check_quotes(CALCULATORS, documents, changed),
        *_of_picks(root, documents, changed),
        *_of_originals(root, documents, changed),
        *_of_fixes(documents, changed),
        *_of_users(root, documents, changed),
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
    return _fixes_of(CALCULATORS, documents, changed)


def _of_users(root: Path, documents: Mapping[str, Document], changed: Set[str]) -> list[Fault]:
    """Return what calculations and decisions that stay as they are cannot take from changed entries any more.

    It is told where the change is. A fault that they have whatever is changed, or had before, is none of it.
    """
    given = {ref for ref in changed if ref.startswith(("measurements/", "calculations/"))}
    if not given:
        return []
    faults = []
    former: dict[str, Document] | None = None
    for ref, document in sorted(documents.items()):
        if ref in changed or not document.standing or not isinstance(document.entry, Calculation | Decision):
            continue
        check = check_calculations if isinstance(document.entry, Calculation) else _fixes_of
        own = {ref: document}
        for one in sorted(given & {target for _, target in references(document.entry)}):
            before = check(CALCULATORS, own, {ref})
            new = [fault for fault in check(CALCULATORS, {**own, one: documents[one]}, {ref}) if fault not in before]
            if new and former is None:
                former = _former(root, documents, given)
            had = check(CALCULATORS, {**own, one: former[one]}, {ref}) if former and one in former else []
            known = {(fault.field, fault.expected) for fault in had}
            for fault in new:
                if (fault.field, fault.expected) not in known:
                    field = "quantity" if one.startswith("measurements/") else "calculator"
                    remedy = f"{ref} takes `{fault.field}` from it: mend one of the two. {fault.remedy}"
                    faults.append(documents[one].fault(field, fault.given, fault.expected, remedy))
    return faults


def _former(root: Path, documents: Mapping[str, Document], refs: Set[str]) -> dict[str, Document]:
    """Return changed entries as the record has them, by ref; new ones, and such as cannot be read, are left out."""
    from ledger.casebook.opening import STORE
    from ledger.store.engine import open_store
    from ledger.store.records import current

    path = root / STORE
    known = current(open_store(path, create=False, write=False)) if path.is_file() else {}
    found = {}
    for ref in sorted(refs & known.keys()):
        with suppress(ValidationError):
            entry = MODELS[known[ref].kind].model_validate(known[ref].front)
            found[ref] = replace(documents[ref], entry=entry)
    return found


def _fixes_of(register: Mapping[str, Calculator], documents: Mapping[str, Document], changed: Set[str]) -> list[Fault]:
    from ledger.building.deciding.fixes import check_fixes

    return check_fixes(register, documents, changed)
