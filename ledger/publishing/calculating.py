"""Calculations as pages show them: inputs with their grounds, outcomes, criteria, and the answer in short."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from ledger.calculators.contract import Calculator
from ledger.calculators.results import Bound, Outcome, Result
from ledger.casebook.values import Casebook
from ledger.entries.models import Calculation
from ledger.publishing.addresses import Link, Ways
from ledger.publishing.chosen import taken_at
from ledger.publishing.declaring import unlimited
from ledger.publishing.doubts import Doubts, doubts
from ledger.publishing.drawings import path, stack
from ledger.publishing.drawings.curves import Chart, draw
from ledger.publishing.figures import Grid, grid, minus, outcome_text, plain_label, setting, shown
from ledger.publishing.gauging import Gauge, of_calculation
from ledger.publishing.keeping import Limit, certain, limit


@dataclass(frozen=True)
class Given:
    """One input's row: the value used or the table, how it was written, and its ground.

    at  the setting at which the calculation it is taken from was made, where something is chosen freely there
    """

    label: str
    value: str
    grid: Grid | None
    stated: str
    ground: str
    link: Link | None
    reason: str
    by_default: bool
    at: str = ""


@dataclass(frozen=True)
class Shown:
    """One outcome: its text, or a table, or a chart; `name` is the output's, or that of the drawing.

    words  whether the text is words, which take the width of a page and not that of a cell
    """

    label: str
    text: str
    grid: Grid | None = None
    chart: Chart | None = None
    name: str = ""
    words: bool = False


@dataclass(frozen=True)
class Run:
    """One calculation's result as its page shows it; `told` says how many inputs stand on what."""

    inputs: tuple[Given, ...]
    told: str
    outcomes: tuple[Shown, ...]
    limits: tuple[Limit, ...]
    gauges: tuple[Gauge, ...]
    doubts: tuple[Doubts, ...]
    chosen: bool


LONG = 40  # letters, that a cell beside its label still takes
TRUTHS = {"True": "yes", "False": "no"}
GROUNDS = {
    "value": "stated",
    "chosen": "chosen freely",
    "measurement": "measured",
    "calculation": "calculated",
    "rows": "stated",
    "default": "the calculator's default",
}
SAID = {one: "by default" if one == GROUNDS["default"] else one for one in dict.fromkeys(GROUNDS.values())}


def run(casebook: Casebook, register: Mapping[str, Calculator], result: Result, ways: Ways) -> Run:
    """Return a result as its page shows it."""
    calculator = register.get(result.calculator)
    sure = certain(casebook, result.ref)
    item = casebook.entries.get(result.ref)
    entry = item.entry if item is not None and isinstance(item.entry, Calculation) else None
    inputs = tuple(_given(bound, result, calculator, ways) for bound in result.inputs)
    grounds = Counter(given.ground for given in inputs)
    return Run(
        inputs=inputs,
        told=", ".join(f"{grounds[ground]} {said}" for ground, said in SAID.items() if ground in grounds),
        outcomes=(*_drawn(result), *(_shown(outcome, calculator, sure, ways) for outcome in result.outcomes)),
        limits=tuple(limit(casebook, result, kept) for kept in result.kept),
        gauges=of_calculation(casebook, entry, result, ways) if entry is not None else (),
        doubts=doubts(casebook, register, result, ways),
        chosen=bool(result.choice or result.above),
    )


def _given(bound: Bound, result: Result, calculator: Calculator | None, ways: Ways) -> Given:
    declared = calculator.input(bound.name) if calculator else None
    chosen = result.choice.get(bound.name)
    stated = "" if bound.rows else minus(TRUTHS.get(bound.stated, bound.stated))
    if bound.ground == "default" and unlimited(declared):
        value = stated = "no limit"
    elif chosen is not None:
        value = setting(chosen)
    else:
        value = shown(bound.summary, bound.unit) if bound.summary is not None else stated
    return Given(
        label=plain_label(bound.label),
        value=value,
        grid=grid(bound.rows, declared, ways) if bound.rows else None,
        stated="" if bound.ground == "default" or stated == value else stated,
        ground=GROUNDS.get(bound.ground, bound.ground),
        link=_ground(bound, ways),
        reason=bound.reason or "",
        by_default=bound.ground == "default",
        at=taken_at(ways, result, bound),
    )


def _ground(bound: Bound, ways: Ways) -> Link | None:
    if bound.ref is None:
        return None
    link = ways.to(bound.ref)
    if bound.output is None:
        return link
    result = ways.casebook.results.get(bound.ref)
    named = [one.label for one in result.outcomes if one.name == bound.output] if result else []
    return Link(f"{link.words}: {plain_label(named[0]) if named else bound.output}", link.href, link.state)


def _drawn(result: Result) -> Iterator[Shown]:
    """Yield the drawings of what stands in a result's tables."""
    for name, title, draw_it in (
        ("stack", "The stack, to scale", stack.draw),
        ("path", "The path of the torque", path.draw),
    ):
        if (chart := draw_it(result)) is not None:
            yield Shown(title, "", chart=chart, name=name)


def _shown(outcome: Outcome, calculator: Calculator | None, sure: bool, ways: Ways) -> Shown:
    label = plain_label(outcome.label)
    rows = outcome.value if isinstance(outcome.value, tuple) else ()
    if outcome.form == "curves":
        declared = calculator.output(outcome.name) if calculator else None
        axes = declared.axes if declared else ("", "")
        return Shown(label, "", chart=draw(outcome.name, label, axes, rows), name=outcome.name)
    if outcome.form == "rows":
        return Shown(label, "", grid=grid(rows, None, ways), name=outcome.name)
    text = outcome_text(outcome, sure)
    return Shown(label, text, name=outcome.name, words=outcome.form == "text" and len(text) > LONG)


def in_short(casebook: Casebook, result: Result) -> str:
    """Return the answer of a calculation: the criterion kept least, else what is observed, else its first number."""
    if result.kept:
        kept = min(result.kept, key=lambda one: one.chance)
        least = limit(casebook, result, kept)
        told = any(one.name == kept.output and one.chance is not None for one in result.outcomes)
        return f"{least.label}{'' if told else f': {least.value}'}; {least.limit}: {least.kept}"
    sure = certain(casebook, result.ref)
    item = casebook.entries.get(result.ref)
    observed = item.entry.observed if item and isinstance(item.entry, Calculation) else None
    decisive = [observed.output] if observed else [one.output for one in result.shares]
    ordered = sorted(result.outcomes, key=lambda one: decisive.index(one.name) if one.name in decisive else 10**6)
    return next((f"{plain_label(one.label)}: {text}" for one in ordered if (text := outcome_text(one, sure))), "")
