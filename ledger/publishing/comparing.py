"""One question as its comparison page shows it: the answer, the rivals side by side, every note, the account."""

from __future__ import annotations

from dataclasses import dataclass

from ledger.casebook.values import Casebook
from ledger.publishing import words
from ledger.publishing.addresses import Link, Ways, by_title
from ledger.publishing.keeping import Feasible, feasible
from ledger.publishing.reasons import Paragraph, reasons
from ledger.publishing.weights import Note, Part, Weight, beyond, lines, notes, sources, uncounted, weight
from ledger.quantities import percents
from ledger.weighing.values import NONE, Standing, Weighing


@dataclass(frozen=True)
class Rival:
    """One rival's row. `share` and, where a range was drawn, `low` and `high` draw its bar; the rest are words.

    whole  whether every note judges it, as is to be expected
    """

    link: Link
    share: float
    low: float | None
    high: float | None
    confidence: str
    word: str
    interval: str
    median: str
    first: str
    prior: Link
    linked_prior: str
    feasible: Feasible | None
    judged: str
    whole: bool
    untested: bool
    uncomputed: bool
    leads: bool
    short_of_notes: bool


@dataclass(frozen=True)
class Answer:
    """The answer in short.

    leads   whether the first named may be called leader; `why` says why not, or why a higher one may not
    margin  words for the lead in odds and decibans; empty where the runner-up stands higher but may not lead
    """

    top: Link
    confidence: str
    word: str
    interval: str
    judged: str
    first: str
    leads: bool
    why: str
    runner_up: Link
    runner_confidence: str
    decibans: str
    margin: str


@dataclass(frozen=True)
class Comparison:
    """One weighed question.

    orders  of the first two over the draws, with their chances; `linked` the questions it is weighed with
    """

    answer: Answer
    rivals: tuple[Rival, ...]
    orders: tuple[tuple[Link, Link, str], ...]
    linked: tuple[Link, ...]
    reasons: tuple[Paragraph, ...]
    beyond: tuple[Note, ...]
    notes: tuple[Note, ...]
    sources: tuple[Note, ...]
    uncounted: tuple[tuple[Link, str], ...]
    account: tuple[Part, ...]
    total: Weight
    cautions: tuple[str, ...]


def compare(casebook: Casebook, weighing: Weighing, ways: Ways) -> Comparison:
    """Return what the comparison page of a weighed question shows."""
    return Comparison(
        answer=answer(weighing, ways),
        rivals=tuple(_rival(casebook, weighing, standing, ways) for standing in weighing.standings),
        orders=tuple(
            (ways.to(order.first), ways.to(order.second), percents.chance(order.chance))
            for order in weighing.orders[:4]
        ),
        linked=tuple(ways.to(ref) for ref in weighing.linked if ref != weighing.question),
        reasons=reasons(casebook, weighing, ways),
        beyond=beyond(weighing, ways),
        notes=notes(casebook, weighing, ways),
        sources=sources(casebook, weighing, ways),
        uncounted=uncounted(casebook, weighing, ways),
        account=lines(weighing, ways),
        total=weight(weighing.account.total),
        cautions=_cautions(casebook, weighing, ways),
    )


def answer(weighing: Weighing, ways: Ways) -> Answer:
    """Return the answer in short: who leads, by how much, over whom."""
    account = weighing.account
    top = standing(weighing, weighing.leader or account.leader)
    second = standing(weighing, account.runner_up)
    unbounded = not account.lines
    ahead = unbounded or account.total >= 0
    margin = (
        "a lead without bound" if unbounded else f"{words.margin(account.total)}, odds of {words.odds(account.total)}"
    )
    return Answer(
        top=ways.to(top.rival),
        confidence=percents.chance(top.confidence),
        word=words.word(top.confidence),
        interval=interval(top),
        judged=f"judged in {top.judged} of {words.count(top.notes, 'note')}",
        first=_first(top, "ranked first"),
        leads=weighing.leader is not None,
        why=_why(top, second, weighing.leader is not None),
        runner_up=ways.to(second.rival),
        runner_confidence=percents.chance(second.confidence),
        decibans="" if unbounded else words.decibans(account.total),
        margin=margin if ahead else "",
    )


def interval(one: Standing) -> str:
    """Return the 90 % range of a confidence, or nothing where none was drawn or no range was given to draw from."""
    if one.low is None or one.high is None or one.low >= one.high:
        return ""
    return words.spread(one.low, one.high)


def _first(one: Standing, said: str) -> str:
    return f"{said} {percents.draws(one.first)}" if interval(one) and one.first is not None else ""


def _why(top: Standing, second: Standing, leads: bool) -> str:
    if leads and second.confidence > top.confidence:
        return f"{_seldom(second)}, and so is not called the leader although it stands higher."
    if leads:
        return ""
    return (
        f"{_seldom(top)}, and so is not called the leader."
        if not top.may_lead
        else "No rival may be called the leader."
    )


def _seldom(one: Standing) -> str:
    return (
        f"The one that stands highest was judged in only {one.judged} of {words.count(one.notes, 'note')}, under half"
    )


def standing(weighing: Weighing, rival: str) -> Standing:
    """Return one rival's standing."""
    return next(one for one in weighing.standings if one.rival == rival)


def _rival(casebook: Casebook, weighing: Weighing, one: Standing, ways: Ways) -> Rival:
    return Rival(
        link=ways.to(one.rival),
        share=one.confidence,
        low=one.low,
        high=one.high,
        confidence=percents.chance(one.confidence),
        word=words.word(one.confidence),
        interval=interval(one),
        median=percents.chance(one.median) if interval(one) and one.median is not None else "",
        first=_first(one, "first"),
        prior=ways.to(weighing.question if one.rival == NONE else one.rival, percents.chance(one.prior)),
        linked_prior=_moved(one),
        feasible=feasible(casebook, one.rival, ways),
        judged="" if one.rival == NONE else f"{one.judged} of {words.count(one.notes, 'note')}",
        whole=one.rival == NONE or one.judged == one.notes,
        untested=not one.tested and one.rival != NONE,
        uncomputed=bool(casebook.uncomputed(one.rival)),
        leads=one.rival == weighing.leader,
        short_of_notes=not one.may_lead and one.rival != NONE,
    )


def _moved(one: Standing) -> str:
    """Return the prior after links, where it reads otherwise than as stated."""
    said = percents.chance(one.linked_prior)
    return "" if said == percents.chance(one.prior) else said


def _cautions(casebook: Casebook, weighing: Weighing, ways: Ways) -> tuple[str, ...]:
    cautions = []
    named = [one for one in weighing.standings if one.rival != NONE]
    untested = [ways.to(one.rival).words for one in named if not one.tested and not casebook.uncomputed(one.rival)]
    if untested:
        cautions.append(f"No calculation tests {_listed(untested)}: its feasibility counts as 1.")
    unjudged = [ways.to(one.rival).words for one in named if one.judged < one.notes]
    if unjudged:
        cautions.append(
            f"Not every note judges {_listed(unjudged)}; "
            "an unjudged rival is placed between the note’s least and greatest bearing."
        )
    if weighing.standings and weighing.standings[0].rival == NONE:
        cautions.append("None of the named rivals explains the notes well: look for another hypothesis.")
    cautions.append(
        "Whether a source is sound is judged for this question alone; "
        "the same source may fare otherwise under another question."
    )
    about = {weighing.question, *weighing.weights, *(one.rival for one in named)}
    found = (one for one in (*casebook.findings, *casebook.twice) if about & set(one.about))
    cautions.extend(by_title(casebook, one.message) for one in found)
    return tuple(dict.fromkeys(cautions))


def _listed(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
