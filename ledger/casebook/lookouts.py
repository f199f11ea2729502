"""Which lookout would settle most: each held against where its question stands now, by what it tells or by the hour."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from ledger.casebook.cases import bearing_range, chance_of, judged
from ledger.casebook.items import Item
from ledger.casebook.known import answers
from ledger.casebook.values import Casebook
from ledger.entries.models import OTHERS, Hypothesis, Lookout
from ledger.entries.parts import Bearing
from ledger.quantities.draws import generator
from ledger.quantities.notation import Quantity
from ledger.weighing.drawn import Drawn
from ledger.weighing.layout import lay_out
from ledger.weighing.looking import Doubt, Linked, Worth, worth
from ledger.weighing.ranges import LEVEL
from ledger.weighing.supposing import given_each
from ledger.weighing.values import NONE, Case, Stated, Weighing

By = Literal["gain", "effort"]


@dataclass(frozen=True)
class Look:
    """One lookout and what it is worth.

    hours      the time it would take, on the mean; None where none is stated
    rate       expected gain over the mean time [bit/h]; None without a time above 0
    rate_low   end of the 90 % interval of gain over time, both drawn; None where nothing was drawn
    rate_high  likewise; None also where the time may be nothing at all
    """

    ref: str
    question: str
    worth: Worth
    hours: float | None = None
    rate: float | None = None
    rate_low: float | None = None
    rate_high: float | None = None


@dataclass(frozen=True)
class Looks:
    """The standing lookouts, the best first, and why others are not among them, by ref."""

    ranked: tuple[Look, ...]
    left_out: Mapping[str, str]


def looks(casebook: Casebook, by: By = "gain") -> Looks:
    """Return every standing lookout with what it is worth, the best first.

    by  gain: the greatest expected gain first; effort: the greatest gain an hour first, and those without a time last

    Chances stated as ranges or words are drawn together with all that the question's confidences are drawn from; the
    gain itself is at their middles. Outcomes are divided by their sum, rival by rival.
    """
    found: list[Look] = []
    left_out: dict[str, str] = {}
    given: dict[str, tuple[Linked, ...]] = {}
    drawn = Drawn(_count(casebook)) if _count(casebook) else None
    for item in casebook.of_kind("lookout"):
        entry = item.entry
        assert isinstance(entry, Lookout)
        weighing = casebook.weighings.get(entry.question)
        wrong = _why_not(casebook, entry, weighing)
        if wrong or weighing is None:
            left_out[item.ref] = wrong
            continue
        if entry.question not in given:
            given[entry.question] = linked_to(casebook, entry.question)
        found.append(_look(item.ref, entry, _worth(casebook, item, weighing, drawn, given[entry.question])))
    return Looks(tuple(sorted(found, key=lambda look: _rank(look, by))), left_out)


def open_questions(casebook: Casebook) -> dict[str, Weighing]:
    """Return the weighings of the questions that are not resolved, by ref."""
    known = answers(casebook.entries)
    return {ref: one for ref, one in casebook.weighings.items() if ref not in known}


def linked_to(casebook: Casebook, question: str) -> tuple[Linked, ...]:
    """Return the questions linked with one: what each would come to were a rival of that one true."""
    together = [ref for ref in casebook.weighings[question].linked if ref in casebook.cases]
    if question not in together:
        return ()
    cases = [casebook.cases[ref] for ref in together]
    rivals = {rival for case in cases for rival in case.prior if rival != NONE}
    links = [link for link in casebook.links if link.one in rivals and link.other in rivals]
    return tuple(
        Linked(other, chances, may_lead(casebook.weighings[other]))
        for other, chances in given_each(cases, links, question).items()
    )


def may_lead(weighing: Weighing) -> set[str]:
    """Return the rivals that may lead."""
    return {one.rival for one in weighing.standings if one.may_lead} | {NONE}


def _rank(look: Look, by: By) -> tuple[float, float, str]:
    rate = -1.0 if look.rate is None or by == "gain" else look.rate
    return -rate, -look.worth.gain, look.ref


def _count(casebook: Casebook) -> int:
    return 0 if casebook.ground is None else casebook.ground.bench.drawing.count


def _why_not(casebook: Casebook, entry: Lookout, weighing: Weighing | None) -> str:
    if weighing is None:
        return f"{entry.question} is not weighed"
    if entry.question in answers(casebook.entries):
        return f"{entry.question} is resolved"
    rivals = _hypotheses(casebook.rivals(entry.question))
    silent = sorted({one for says in entry.outcomes.values() for one in rivals if one not in judged(says, rivals)})
    return f"it does not say what {', '.join(silent)} would show: add it to every outcome" if silent else ""


def _worth(
    casebook: Casebook, item: Item, weighing: Weighing, drawn: Drawn | None, linked: tuple[Linked, ...]
) -> Worth:
    entry = item.entry
    assert isinstance(entry, Lookout)
    rivals = _hypotheses(casebook.rivals(entry.question))
    said = {name: judged(bearings, rivals) for name, bearings in entry.outcomes.items()}
    points = {name: {rival: chance_of(one) for rival, one in says.items()} for name, says in said.items()}
    totals = {rival: sum(says[rival] for says in points.values()) for rival in rivals}
    doubt = None
    case = casebook.cases.get(entry.question)
    if drawn is not None and case is not None and all(len(one) == drawn.count for one in _drawn(weighing)):
        ranges = {
            name: _ranges(f"{item.ref} {name}", entry.outcomes[name], says, totals) for name, says in said.items()
        }
        doubt = Doubt(weighing.drawn, _priors(case, drawn), ranges, drawn)
    return worth(
        {one.rival: one.confidence for one in weighing.standings},
        {
            name: {one: chance / totals[one] if totals[one] > 0 else 1 / len(points) for one, chance in says.items()}
            for name, says in points.items()
        },
        prior={one.rival: one.prior for one in weighing.standings},
        may_lead=may_lead(weighing),
        doubt=doubt,
        linked=linked,
    )


def _drawn(weighing: Weighing) -> list[np.ndarray]:
    """Return the confidences that were drawn; one empty draw where none were, which fits no count."""
    return list(weighing.drawn.values()) or [np.zeros(0)]


def _ranges(
    place: str, written: Mapping[str, Bearing], says: Mapping[str, Bearing], totals: Mapping[str, float]
) -> dict[str, Stated]:
    """Return the ranges of one outcome's chances, divided as the points are, so that both stand in one measure."""
    found = {}
    for rival, bearing in says.items():
        one = bearing_range(bearing, f"{place} {rival if rival in written else OTHERS}")
        if one.low != one.high and totals[rival] > 0:
            found[rival] = Stated(one.low / totals[rival], one.high / totals[rival], one.name)
    return found


def _priors(case: Case, drawn: Drawn) -> dict[str, np.ndarray]:
    layout = lay_out(replace(case, notes=(), predictions=(), feasibilities=()), drawn)
    return dict(zip(layout.rivals, layout.prior.T, strict=True))


def _look(ref: str, entry: Lookout, found: Worth) -> Look:
    if entry.effort is None:
        return Look(ref, entry.question, found)
    time = entry.effort.to("h")
    if time.mean <= 0:
        return Look(ref, entry.question, found, time.mean)
    low, high = (None, None) if found.drawn is None else _rates(ref, time, found.drawn)
    return Look(ref, entry.question, found, time.mean, found.gain / time.mean, low, high)


def _rates(ref: str, time: Quantity, gains: np.ndarray) -> tuple[float | None, float | None]:
    hours = time.draw(len(gains), generator(ref, "effort"))
    rates = np.where(hours > 0, gains / np.where(hours > 0, hours, 1.0), np.inf)
    low, high = np.quantile(rates, (LEVEL[0], LEVEL[-1]), method="nearest").tolist()
    return (low if np.isfinite(low) else None), (high if np.isfinite(high) else None)


def _hypotheses(items: tuple[Item, ...]) -> dict[str, Hypothesis]:
    return {item.ref: item.entry for item in items if isinstance(item.entry, Hypothesis)}
