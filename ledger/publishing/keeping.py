"""How pages say whether criteria are kept, and whether a hypothesis is feasible."""

from __future__ import annotations

from dataclasses import dataclass

from ledger.calculators.results import Bound, Kept, Result
from ledger.casebook.values import Casebook
from ledger.entries.models import Calculation, Measurement
from ledger.publishing import words
from ledger.publishing.addresses import Link, Ways
from ledger.publishing.chosen import told
from ledger.publishing.figures import minus, outcome_text, plain_label, referred, shown
from ledger.quantities import percents
from ledger.quantities.notation import NotationError, parse

AT_ONE_SETTING = (
    "Each calculation shows its criteria at its own best setting, while here all of them must hold at one setting "
    "together."
)


@dataclass(frozen=True)
class Limit:
    """One criterion: its output's label and value, the limit, and whether it is kept.

    source  the entry that the limit is taken from, the first if there are two; empty where it is a plain quantity
    """

    label: str
    value: str
    limit: str
    kept: str
    leaning: str
    source: str = ""


@dataclass(frozen=True)
class Setting:
    """One calculation with chosen inputs at the single setting that keeps its criteria most often."""

    link: Link
    chosen: str
    kept: str


@dataclass(frozen=True)
class Feasible:
    """Whether a hypothesis is feasible, and what the best single settings keep where inputs are chosen.

    together  why every criterion may be kept more often than all of them are; empty where none is
    """

    text: str
    settings: tuple[Setting, ...]
    together: str = ""


def certain(casebook: Casebook, ref: str) -> bool:
    """Return whether nothing that a calculation stands on is in doubt."""
    result, item = casebook.results.get(ref), casebook.entries.get(ref)
    if result is None or item is None or not isinstance(item.entry, Calculation):
        return False
    return not any(_doubtful(casebook, bound) for bound in result.inputs)


def decided(casebook: Casebook, ref: str) -> bool:
    """Return whether neither a calculation nor any of its limits is in doubt: then a criterion is kept or is not."""
    item = casebook.entries.get(ref)
    criteria = item.entry.criteria if item is not None and isinstance(item.entry, Calculation) else []
    limits = [limit.text for one in criteria for _, limit in one.limits()]
    return not any(_cell_doubtful(casebook, limit) for limit in limits) and certain(casebook, ref)


def _doubtful(casebook: Casebook, bound: Bound) -> bool:
    if bound.ground == "calculation" and bound.ref is not None and not certain(casebook, bound.ref):
        return True
    if bound.summary is not None:
        return bound.summary.low < bound.summary.high
    return any(_cell_doubtful(casebook, cell) for row in bound.rows for cell in row.values())


def _cell_doubtful(casebook: Casebook, cell: object) -> bool:
    if not isinstance(cell, str):
        return False
    ref, _, output = cell.partition("#")
    if output and ref.startswith("calculations/"):
        return not certain(casebook, ref)
    item = casebook.entries.get(ref)
    if item is not None and isinstance(item.entry, Measurement):
        return item.entry.quantity.shape != "exact"
    try:
        return parse(cell).shape != "exact"
    except NotationError:
        return False


def limit(casebook: Casebook, result: Result, one: Kept) -> Limit:
    """Return a criterion as its row shows it."""
    outcome = result.outcome(one.output)
    return Limit(
        plain_label(outcome.label) if outcome else one.output,
        outcome_text(outcome, certain(casebook, result.ref)) if outcome else "",
        minus(_with_values(casebook, one)),
        words.kept(one.chance, decided(casebook, result.ref)),
        words.standing(one.chance),
        one.taken[0].source.partition("#")[0] if one.taken else "",
    )


def _with_values(casebook: Casebook, one: Kept) -> str:
    """Return a limit in words, what is taken from elsewhere as its value with the title of its entry."""
    said = one.limit
    for each in one.taken:
        ref, _, output = each.source.partition("#")
        item = casebook.entries.get(ref)
        value = shown(each.summary, each.unit) if output else referred(casebook, ref, "")
        said = said.replace(each.source, f"{value} ({item.title if item else ref})")
    return said


def feasible(casebook: Casebook, rival: str, ways: Ways) -> Feasible | None:
    """Return whether a hypothesis is feasible, or None where no calculation with a criterion tests it."""
    chance = casebook.feasibility.get(rival)
    if chance is None:
        return None
    named = tested(casebook, rival)
    sure = chance in (0, 1) and bool(named) and all(decided(casebook, ref) for ref in named)
    if not any(_free(casebook, ref) for ref in named):
        number = sum(len(casebook.results[ref].kept) for ref in named if ref in casebook.results)
        said = words.kept(chance, sure)
        return Feasible(said if sure else f"{'criterion' if number == 1 else 'all criteria'} {said}", ())
    results = [casebook.results[ref] for ref in named if ref in casebook.results]
    settings = tuple(_setting(casebook, result, ways) for result in results if result.choice)
    least = min((one.chance for result in results for one in result.kept), default=0.0)
    seldomer = chance < least and percents.chance(chance) != percents.chance(least)
    return Feasible(_some_setting(chance, sure), settings, AT_ONE_SETTING if seldomer else "")


def tested(casebook: Casebook, rival: str) -> tuple[str, ...]:
    """Return the calculations whose criteria count for a hypothesis."""
    return tuple(
        item.ref
        for item in casebook.of_kind("calculation")
        if isinstance(item.entry, Calculation) and rival in item.entry.hypotheses and _limited(item.entry)
    )


def _limited(entry: Calculation) -> bool:
    return bool(entry.criteria) and not entry.uncounted


def _free(casebook: Casebook, ref: str) -> bool:
    """Return whether an input of a calculation, or of one it stands on, is chosen."""
    item = casebook.entries.get(ref)
    if item is None or not isinstance(item.entry, Calculation):
        return False
    above = {ground.calculation for ground in item.entry.grounds() if ground.calculation is not None}
    return bool(item.entry.chosen) or any(_free(casebook, one) for one in sorted(above))


def _some_setting(chance: float, sure: bool) -> str:
    if chance == 0:
        return "no setting keeps all criteria" if sure else "no setting keeps all criteria in any draw"
    return f"some setting keeps all criteria{'' if sure else f' {percents.draws(chance)}'}"


def _setting(casebook: Casebook, result: Result, ways: Ways) -> Setting:
    limits = [limit(casebook, result, one) for one in result.kept]
    kept = "; ".join(f"{one.label}, {one.limit}: {one.kept}" for one in limits)
    return Setting(ways.to(result.ref), told(result, result.choice), kept)
