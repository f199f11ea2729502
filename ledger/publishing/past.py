"""What a question's page says of its past: how it came out, what readers held, and how the confidences went."""

from __future__ import annotations

from dataclasses import dataclass

from ledger.casebook.foretelling import ledgers, readers_pool
from ledger.casebook.values import Casebook
from ledger.entries.models import NONE_OF_THESE, Question
from ledger.publishing import words
from ledger.publishing.addresses import SCORES, Link, Ways
from ledger.publishing.drawings import timeline
from ledger.publishing.drawings.curves import Chart
from ledger.quantities import percents


@dataclass(frozen=True)
class CameOut:
    """How a question was resolved: `given` is what the ledger had given the answer, on `when`; or `why` it had not."""

    answer: Link
    date: str
    reason: str
    source: Link | None
    given: str
    when: str
    why: str
    score: Link


@dataclass(frozen=True)
class Held:
    """One rival as the ledger and its readers hold it, in words; empty where it is not among theirs."""

    rival: Link
    ledger: str
    linear: str
    logarithmic: str


@dataclass(frozen=True)
class Pooled:
    """Readers' confidences taken together beside the ledger's.

    before  whether both are from before the answer was known
    folded  rivals that not all of the readers had before them
    """

    people: str
    rows: tuple[Held, ...]
    shut: bool
    before: bool
    folded: tuple[Link, ...]


@dataclass(frozen=True)
class Course:
    """The picture of the confidences over time.

    marked    whether a line marks the last posting before the answer was known
    thinned   how many postings there were, where not all are shown; else empty
    lost      days whose state cannot be rebuilt, and why
    """

    chart: Chart
    marked: bool
    thinned: str
    lost: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Past:
    """What a question's page says of its past; each part is None where there is nothing to say."""

    came_out: CameOut | None
    pooled: Pooled | None
    course: Course | None


def past(casebook: Casebook, question: str, ways: Ways) -> Past:
    """Return the past of a question as its page shows it."""
    return Past(
        _came_out(casebook, question, ways), pooled(casebook, question, ways), _course(casebook, question, ways)
    )


def _came_out(casebook: Casebook, question: str, ways: Ways) -> CameOut | None:
    item = casebook.entries.get(question)
    resolved = item.entry.resolved if item is not None and isinstance(item.entry, Question) else None
    if resolved is None:
        return None
    own = ledgers(casebook, question)
    return CameOut(
        answer=ways.to(resolved.answer),
        date=resolved.date,
        reason=resolved.reason,
        source=ways.to(resolved.source) if resolved.source is not None else None,
        given="" if own is None else percents.chance(own.confidences[own.column(resolved.answer)]),
        when="" if own is None else own.date,
        why=casebook.course().unforetold.get(question, ""),
        score=ways.page(SCORES, "Scores", anchor(question)),
    )


def pooled(casebook: Casebook, question: str, ways: Ways) -> Pooled | None:
    """Return readers' confidences beside the ledger's, or None where no reader gave any."""
    pool, own = readers_pool(casebook, question), ledgers(casebook, question)
    if pool is None:
        return None
    ledger = {} if own is None else own.confidences
    shown = dict.fromkeys([*ledger, *pool.linear, NONE_OF_THESE])
    ranked = sorted(shown, key=lambda rival: -ledger.get(rival, -1.0))
    logarithmic = pool.logarithmic or {}
    item = casebook.entries[question]
    return Pooled(
        people=words.count(pool.people, "reader"),
        rows=tuple(
            Held(
                ways.to(rival),
                *(percents.chance(one[rival]) if rival in one else "" for one in (ledger, pool.linear, logarithmic)),
            )
            for rival in ranked
        ),
        shut=pool.logarithmic is None,
        before=isinstance(item.entry, Question) and item.entry.resolved is not None,
        folded=tuple(ways.to(rival) for rival in pool.folded),
    )


def _course(casebook: Casebook, question: str, ways: Ways) -> Course | None:
    found = casebook.course()
    standing = [one.rival for one in casebook.weighings[question].standings] if question in casebook.weighings else []
    ever = [rival for one in found.moments for rival in one.confidences.get(question, ())]
    rivals = {rival: ways.to(rival) for rival in dict.fromkeys([*standing, *ever])}
    mark = found.foretold[question].at if question in found.foretold else ""
    chart = timeline.draw(question, f"Confidence over time: {ways.to(question).words}", found.moments, rivals, mark)
    if chart is None:
        return None
    shown = len(found.moments) + len(found.lost)
    return Course(
        chart=chart,
        marked=any(one.at == mark for one in found.moments),
        thinned=words.count(found.postings, "posting") if shown < found.postings else "",
        lost=tuple((one.at[:10], one.why) for one in found.lost),
    )


def anchor(question: str) -> str:
    """Return the name of a question's place on the page of scores."""
    return question.partition("/")[2]
