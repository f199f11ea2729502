"""At which settings of what is chosen freely a calculation was made, and where the pages it takes from stand."""

from __future__ import annotations

from collections.abc import Mapping

from ledger.calculators.results import Bound, Result
from ledger.casebook.values import Casebook
from ledger.publishing.addresses import Ways
from ledger.publishing.figures import setting, short_label

STANDS = "that page stands at"


def told(result: Result | None, choice: Mapping[str, str]) -> str:
    """Return settings with the labels of the inputs of the calculation they belong to: `Lead: 20 mm; Pitch: 4 mm`."""
    labels = {bound.name: bound.label for bound in result.inputs} if result is not None else {}
    return "; ".join(f"{short_label(labels.get(name, name))}: {setting(text)}" for name, text in choice.items())


def taken_at(ways: Ways, result: Result, bound: Bound) -> str:
    """Return at which setting an input taken from a calculation was worked out, nothing where none is chosen there.

    A page stands at the setting that keeps its own criteria most often, so the page that the number is taken from may
    show another number; where it does stand elsewhere, that is said. Cells of a table show the number of that page.
    """
    if bound.ground == "calculation":
        return _at(ways.casebook, result, bound.ref or "")
    cells = [cell for row in bound.rows for cell in row.values() if isinstance(cell, str) and "#" in cell]
    refs = dict.fromkeys(cell.partition("#")[0] for cell in cells)
    said = ((ways.to(ref).words, _at(ways.casebook, result, ref)) for ref in refs if ref.startswith("calculations/"))
    return "; ".join(f"the numbers shown are those of “{name}”, used here {at}" for name, at in said if STANDS in at)


def _at(casebook: Casebook, result: Result, ref: str) -> str:
    source = casebook.results.get(ref)
    if source is None:
        return ""
    here = {ref: result.above[ref] for ref in (source.ref, *source.above) if ref in result.above}
    there = {source.ref: source.choice, **source.above}
    used = "; ".join(told(casebook.results.get(ref), choice) for ref, choice in here.items())
    stands = "; ".join(
        told(casebook.results.get(ref), there.get(ref, {})) for ref, choice in here.items() if choice != there.get(ref)
    )
    if not used:
        return ""
    return f"at {used}, chosen freely there" + (f"; {STANDS} {stands}" if stands else "")
