"""The numbers that decide between rivals: each against the limit it must keep, or the measurement it must meet."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from markupsafe import Markup

from ledger.calculators.contract import Calculator
from ledger.calculators.results import Kept, Outcome, Result
from ledger.casebook.values import Casebook
from ledger.entries.models import Calculation, Hypothesis, Measurement
from ledger.entries.parts import Criterion
from ledger.publishing import words
from ledger.publishing.addresses import Link, Ways
from ledger.publishing.drawings.gauge import Ends, draw, ends, share
from ledger.publishing.figures import minus, outcome_text
from ledger.publishing.keeping import certain, decided, limit
from ledger.publishing.live.section import carried
from ledger.publishing.sidebyside import used
from ledger.quantities.notation import Quantity
from ledger.quantities.units import same_dimension

LIVE = "try-other-numbers"
STATES = {"for": "", "even": "open", "against": "missed"}
AT_ENDS = 0.8
TWO_ENDS = "In each draw this chance is nearly 0 or nearly 100 %; the number is their mean."


@dataclass(frozen=True)
class Gauge:
    """One number against its limit, or against what was measured.

    rivals   whose number it is
    value    leads to its calculation, or to who states it
    live     where a reader may try other numbers; None where nothing is computed in the browser
    against  the limit or the measured value in words; `kept` what becomes of it
    chance   that the limit is kept; None against a measurement
    state    open or missed, by the share of the draws; empty where kept, against a measurement, and without any doubt
    note     what is to be said of the number
    """

    label: str
    rivals: tuple[Link, ...]
    value: Link
    live: Link | None
    against: Link
    kept: str
    leaning: str
    chance: float | None
    svg: Markup
    state: str = ""
    note: str = ""


def gauges(
    casebook: Casebook, register: Mapping[str, Calculator], rivals: tuple[str, ...], ways: Ways
) -> tuple[Gauge, ...]:
    """Return what decides between rivals: limits that fail first, then predictions, then limits by how safely kept."""
    found = [*_limits(casebook, register, rivals, ways), *_predictions(casebook, register, rivals, ways)]
    return tuple(sorted(found, key=_urgency))


def _urgency(gauge: Gauge) -> float:
    return 0.5 if gauge.chance is None else gauge.chance


def _limits(
    casebook: Casebook, register: Mapping[str, Calculator], rivals: tuple[str, ...], ways: Ways
) -> Iterator[Gauge]:
    for ref, entry, result, tested in used(casebook, rivals):
        if not entry.uncounted:
            told = tuple(ways.to(one) for one in tested)
            live = _live(register, result, ways)
            for gauge in _kept(casebook, entry, result, ways):
                if gauge.svg:
                    yield replace(gauge, rivals=told, value=ways.to(ref, gauge.value.words), live=live)


def _kept(casebook: Casebook, entry: Calculation, result: Result, ways: Ways) -> Iterator[Gauge]:
    """Yield each criterion of a calculation, without a drawing where there is no number to draw."""
    for kept, criterion in zip(result.kept, entry.criteria, strict=False):
        outcome = next((one for one in result.outcomes if one.name == kept.output), None)
        svg = _against_limit(outcome, criterion, kept) if outcome is not None else None
        told = limit(casebook, result, kept)
        value = Link(told.value, None)
        against = ways.to(told.source, told.limit) if told.source else Link(told.limit, None)
        sure = kept.chance in (0, 1) and decided(casebook, result.ref)
        note = TWO_ENDS if outcome is not None and _of_two_ends(outcome) else ""
        drawn = svg or Markup("")
        state = "" if sure else STATES[told.leaning]
        yield Gauge(told.label, (), value, None, against, told.kept, told.leaning, kept.chance, drawn, state, note)


def _of_two_ends(outcome: Outcome) -> bool:
    """Return whether a chance in percent is near nought or near 100 in nearly every draw.

    Of all numbers between two ends with one mean those at the ends alone have the greatest variance, (100 − m) m.
    Source: R. Bhatia, C. Davis, “A better bound on the variance”, American Mathematical Monthly 107 (2000), 353–357.
    """
    one = outcome.summary
    if one is None or outcome.unit != "%" or not 0 <= one.low < one.high <= 100:
        return False
    return one.uncertainty**2 >= AT_ENDS * (100 - one.estimate) * one.estimate


def of_calculation(casebook: Casebook, entry: Calculation, result: Result, ways: Ways) -> tuple[Gauge, ...]:
    """Return one calculation's numbers against its own limits, and against the measurement it is held against."""
    kept, nothing = zip(_kept(casebook, entry, result, ways), entry.criteria, strict=False), Link("", None)
    found = [gauge if criterion.holds is None else replace(gauge, value=nothing) for gauge, criterion in kept]
    for ref, value, unit, shown in _predicted(casebook, entry, result):
        met = _met(casebook, ref, (), result.ref, value, unit, shown, None, ways)
        found += [replace(one, value=Link(shown, None)) for one in met]
    return tuple(found)


def _predicted(casebook: Casebook, entry: Calculation, result: Result) -> Iterator[tuple[str, Ends, str, str]]:
    """Yield the measurement that a calculation is held against, and its own value: ends, unit and words."""
    observed = entry.observed
    outcome = next((one for one in result.outcomes if observed and one.name == observed.output), None)
    if observed is not None and outcome is not None and outcome.summary is not None:
        value = (outcome.summary.low, outcome.summary.estimate, outcome.summary.high)
        yield observed.measurement, value, outcome.unit, outcome_text(outcome, certain(casebook, result.ref))


def _live(register: Mapping[str, Calculator], result: Result, ways: Ways) -> Link | None:
    calculator = register.get(result.calculator)
    return ways.to(result.ref, "other numbers", LIVE) if calculator is not None and carried(calculator) else None


def _against_limit(outcome: Outcome, criterion: Criterion, kept: Kept) -> Markup | None:
    if criterion.holds is not None:
        return share(kept.chance, words.standing(kept.chance))
    if outcome.summary is None:
        return None
    value = (outcome.summary.low, outcome.summary.estimate, outcome.summary.high)
    sides = {one.side: (one.summary.low, one.summary.estimate, one.summary.high) for one in kept.taken}
    for side, stated in criterion.limits():
        if isinstance(stated, Quantity):
            if not same_dimension(stated.unit, outcome.unit):
                return None
            sides[side] = ends(stated.to(outcome.unit))
    return draw(value, outcome.unit, sides.get("at-least"), sides.get("at-most"), words.standing(kept.chance))


def _predictions(
    casebook: Casebook, register: Mapping[str, Calculator], rivals: tuple[str, ...], ways: Ways
) -> Iterator[Gauge]:
    """Yield what rivals predict of measurements: calculated, or stated where nothing calculated counts."""
    told = set[tuple[str, str]]()
    for ref, entry, result, tested in used(casebook, rivals):
        if entry.uncounted:
            continue
        for measurement, value, unit, shown in _predicted(casebook, entry, result):
            told.update((one, measurement) for one in tested)
            live = _live(register, result, ways)
            yield from _met(casebook, measurement, tested, ref, value, unit, shown, live, ways)
    for rival in rivals:
        item = casebook.entries.get(rival)
        stated = item.entry.predicts if item is not None and isinstance(item.entry, Hypothesis) else {}
        for ref, quantity in stated.items():
            if (rival, ref) not in told and _weighed(casebook, ref):
                shown = minus(quantity.text)
                yield from _met(casebook, ref, (rival,), rival, ends(quantity), quantity.unit, shown, None, ways)


def _weighed(casebook: Casebook, measurement: str) -> bool:
    """Return whether some calculation that counts is held against a measurement; else what is stated is not weighed."""
    entries = (item.entry for item in casebook.of_kind("calculation"))
    return any(
        isinstance(one, Calculation) and one.observed and one.observed.measurement == measurement and not one.uncounted
        for one in entries
    )


def _measured(casebook: Casebook, ref: str) -> Quantity | None:
    item = casebook.entries.get(ref)
    return item.entry.quantity if item is not None and isinstance(item.entry, Measurement) else None


def _met(
    casebook: Casebook,
    measurement: str,
    rivals: tuple[str, ...],
    ref: str,
    value: Ends,
    unit: str,
    shown: str,
    live: Link | None,
    ways: Ways,
) -> Iterator[Gauge]:
    measured = _measured(casebook, measurement)
    if measured is not None and same_dimension(measured.unit, unit):
        low, middle, high = ends(measured.to(unit))
        meets = value[0] <= high and low <= value[2]
        yield Gauge(
            ways.to(measurement).words,
            tuple(ways.to(one) for one in rivals),
            ways.to(ref, shown),
            live,
            ways.to(measurement, f"measured {minus(measured.text)}"),
            "the intervals overlap" if meets else "the intervals lie apart",
            "for" if meets else "against",
            None,
            draw(value, unit, leaning="for" if meets else "against", band=(low, middle, high)),
        )
