"""The page that holds calculators against print: printed value, ours, the difference, and what was permitted."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import ceil, floor, log10

from ledger.calculators.checked import ours
from ledger.calculators.contract import Calculator, Input, Rows
from ledger.calculators.printed import CASES, IN_PART, WITHOUT, Case, Figure
from ledger.casebook.values import Casebook
from ledger.publishing.addresses import CHECKS, Link, Ways
from ledger.publishing.figures import minus, plain_label, short_label
from ledger.publishing.rendering import page
from ledger.publishing.words import count

EXACT = 1e-5  # permitted less than this, a difference is but the last bit of the computing


@dataclass(frozen=True)
class Row:
    """One printed figure in words: what it is of, as printed, as computed, the difference, and what is permitted.

    used  the difference as a part of what is permitted; 0 where that is no more than the last bit of the computing
    """

    label: str
    printed: str
    ours: str
    difference: str
    within: str
    kept: bool
    used: float


@dataclass(frozen=True)
class Held:
    """One worked example: its title, its inputs as the book has them, its figures, its source, how that was seen."""

    title: str
    inputs: tuple[str, ...]
    rows: tuple[Row, ...]
    source: str
    seen: str
    why: str


@dataclass(frozen=True)
class Group:
    """One calculator with its cases, and what has no printed case, if there is something.

    known  the id of its fold
    told   its cases in a line: how many, and the difference that comes nearest to what is permitted
    """

    title: str
    link: Link
    known: str
    told: str
    cases: tuple[Held, ...]
    lacking: str


def checks_page(casebook: Casebook, register: Mapping[str, Calculator]) -> str:
    """Return the page, calculator by calculator in order of title."""
    ways = Ways(casebook, CHECKS)
    groups = [_group(register[name], ways) for name in sorted(register, key=lambda one: register[one].title)]
    figures = [row for group in groups for case in group.cases for row in case.rows]
    return page(
        "checks",
        groups=groups,
        cases=sum(len(group.cases) for group in groups),
        figures=len(figures),
        missed=sum(not row.kept for row in figures),
    )


def _group(calculator: Calculator, ways: Ways) -> Group:
    own = tuple(case for case in CASES if case.calculator == calculator.name)
    lacking = WITHOUT.get(calculator.name, "") or IN_PART.get(calculator.name, "")
    link = ways.calculator(calculator.name, "What it takes, gives and rests on")
    cases = tuple(_held(case, calculator) for case in own)
    return Group(calculator.title, link, held_at(calculator.name), _told(cases), cases, lacking)


def held_at(name: str) -> str:
    """Return the id of a calculator's cases on the page, by the calculator's name."""
    return f"held-{name}"


def _told(cases: tuple[Held, ...]) -> str:
    rows = [row for case in cases for row in case.rows]
    said = f"{count(len(cases), 'case')}, {count(len(rows), 'figure')}"
    missed = sum(not row.kept for row in rows)
    if missed:
        return f"{said}; {missed} off by more than is permitted"
    worst = max((row.used for row in rows), default=0.0)
    part = f"at most {ceil(100 * worst)} % of what is permitted" if worst else "no more than the last bit of computing"
    return f"{said}; off by {part}"


def _held(case: Case, calculator: Calculator) -> Held:
    rows = tuple(_row(one, value, calculator) for one, value in zip(case.figures, ours(case), strict=True))
    return Held(case.title, tuple(_inputs(case, calculator)), rows, case.source, case.seen, case.why)


def _inputs(case: Case, calculator: Calculator) -> Iterator[str]:
    for name, value in case.inputs.items():
        declared = calculator.input(name)
        label = _label(declared, name)
        if isinstance(value, list):
            rows = "; ".join(
                ", ".join(f"{_column(declared, key)} {cell}" for key, cell in row.items()) for row in value
            )
            yield f"{label}: {minus(rows)}"
        else:
            yield f"{label}: {minus(value)}"


def _label(declared: Input | None, name: str) -> str:
    return short_label(declared.label) if declared is not None else name


def _column(declared: Input | None, name: str) -> str:
    known = {one.name: one.label for one in declared.columns} if isinstance(declared, Rows) else {}
    return short_label(known.get(name, name)).lower()


def _row(one: Figure, value: float, calculator: Calculator) -> Row:
    output = calculator.output(one.output)
    off = value - one.value
    exact = one.within < EXACT
    places = None if exact else max(0, 1 - floor(log10(one.within)))
    return Row(
        label=plain_label(output.label) if output is not None else one.output,
        printed=_text(one.value, None, one.unit),
        ours=_text(value, places, one.unit),
        difference=_difference(off, places),
        within="none" if exact else minus(f"± {one.within:.2g}"),
        kept=abs(off) <= one.within,
        used=0.0 if exact else abs(off) / one.within,
    )


def _text(value: float, places: int | None, unit: str) -> str:
    digits = f"{value:.8g}" if places is None else f"{value:.{places}f}"
    return minus(f"{digits} {unit}".strip())


def _difference(off: float, places: int | None) -> str:
    """Return a difference to two digits more than is permitted; nought where it is less than that."""
    rounded = round(off, 8 if places is None else places + 1)
    return "0" if rounded == 0 else minus(f"{rounded:+.2g}")
