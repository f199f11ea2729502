"""The page that keeps score: what was said beforehand, held against what came true."""

from __future__ import annotations

from dataclasses import dataclass
from math import fsum, isinf

from ledger.casebook.foretelling import Forecast
from ledger.casebook.scores import Answered, Score, Scores, scores
from ledger.casebook.values import Casebook
from ledger.publishing import words
from ledger.publishing.addresses import SCORES, Link, Ways
from ledger.publishing.drawings import reliability
from ledger.publishing.drawings.curves import Chart
from ledger.publishing.figures import minus
from ledger.publishing.past import Pooled, anchor, pooled
from ledger.quantities import percents
from ledger.weighing.scoring import LogarithmicScore

FEW = 10
NAMES = {
    "ledger": "The ledger",
    "unnamed": "Readers not named",
    "all-linear": "All together, linear pool",
    "all-logarithmic": "All together, logarithmic pool",
    "even": "Even shares",
}


@dataclass(frozen=True)
class Row:
    """One forecaster's scores, and the parts of the half score, in words."""

    name: str
    note: str
    questions: str
    brier: str
    half: str
    bits: str
    beside: str
    reliability: str
    resolution: str
    uncertainty: str
    within: str
    leads: bool


@dataclass(frozen=True)
class Told:
    """One forecast of a resolved question: whose, of when, what it gave the answer, and both scores of it."""

    name: Link
    date: str
    given: str
    brier: str
    bits: str


@dataclass(frozen=True)
class Question:
    """A resolved question with every forecast of it. `why` says why the ledger has none, if so.

    late  replies that are dated before the answer was known and were posted after it was
    """

    anchor: str
    link: Link
    answer: Link
    date: str
    reason: str
    source: Link | None
    why: str
    told: tuple[Told, ...]
    late: tuple[Link, ...] = ()


@dataclass(frozen=True)
class Headline:
    """In short: over how many questions, what the ledger gave the answers on average, its score and even shares'."""

    questions: str
    given: str
    brier: str
    even: str
    few: bool


@dataclass(frozen=True)
class Sheet:
    """What the page shows. `headline` is None while the ledger has no forecast to score."""

    headline: Headline | None
    rows: tuple[Row, ...]
    chart: Chart | None
    questions: tuple[Question, ...]
    open: tuple[tuple[Link, Pooled], ...]


def sheet(casebook: Casebook) -> Sheet:
    """Return what the page of scores shows."""
    found, ways = scores(casebook), Ways(casebook, SCORES)
    own = [one for one in found.forecasters if one.kind == "ledger"]
    asked = {one.question for one in found.answered}
    return Sheet(
        headline=_headline(found, own[0]) if own else None,
        rows=tuple(_row(one) for one in found.forecasters),
        chart=reliability.draw({"The ledger": own[0].lines if own else (), "Authors and readers": found.people}),
        questions=tuple(_question(one, ways) for one in found.answered),
        open=tuple(
            (ways.to(question), shown)
            for question in found.readers
            if question not in asked and (shown := pooled(casebook, question, ways)) is not None
        ),
    )


def name(kind: str, said: str) -> str:
    """Return what a forecaster is called."""
    return NAMES.get(kind, said)


def bits(score: LogarithmicScore, forecasts: int) -> str:
    """Return a logarithmic score; an infinite one says why, and what the others come to."""
    if not score.infinite:
        return f"{score.bits:.2f}"
    rest = f"; {score.finite:.2f} over the others" if score.finite is not None else ""
    return f"infinite: {score.infinite} of {forecasts} gave the answer no chance{rest}"


def _headline(found: Scores, own: Score) -> Headline:
    given = [one.share for each in found.answered for one in each.judged if one.forecast.kind == "ledger"]
    own_questions = {one.question for one in found.answered for each in one.judged if each.forecast.kind == "ledger"}
    even = [
        each.brier
        for one in found.answered
        for each in one.judged
        if each.forecast.kind == "even" and one.question in own_questions
    ]
    return Headline(
        questions=words.count(own.questions, "question"),
        given=percents.chance(fsum(given) / len(given)),
        brier=_three(own.brier),
        even=_three(fsum(even) / len(even)),
        few=own.questions < FEW,
    )


def _row(score: Score) -> Row:
    parts = score.parts
    return Row(
        name=name(score.kind, score.name),
        note={"author": "author", "even": "what knowing nothing would score"}.get(score.kind, ""),
        questions=str(score.questions)
        if score.forecasts == score.questions
        else f"{score.questions}, in {score.forecasts} forecasts",
        brier=_three(score.brier),
        half=_three(score.half),
        bits=bits(score.bits, score.forecasts),
        beside="" if score.ledger is None or score.kind == "ledger" else _three(score.ledger),
        reliability=_three(parts.reliability),
        resolution=_three(parts.resolution),
        uncertainty=_three(parts.uncertainty),
        within=_three(parts.within),
        leads=score.kind == "ledger",
    )


def _question(one: Answered, ways: Ways) -> Question:
    resolved = one.resolved
    return Question(
        anchor=anchor(one.question),
        link=ways.to(one.question),
        answer=ways.to(resolved.answer),
        date=resolved.date,
        reason=resolved.reason,
        source=ways.to(resolved.source) if resolved.source is not None else None,
        why=one.unforetold,
        late=tuple(ways.to(ref) for ref in one.late),
        told=tuple(
            Told(
                name=_by(each.forecast, ways),
                date=each.forecast.date if each.forecast.kind in ("ledger", "author", "reader") else "",
                given=percents.chance(each.share),
                brier=_three(each.brier),
                bits="infinite" if isinf(each.bits) else f"{each.bits:.2f}",
            )
            for each in one.judged
        ),
    )


def _by(forecast: Forecast, ways: Ways) -> Link:
    said = name(forecast.kind, forecast.name)
    if forecast.kind == "unnamed":
        return Link("A reader not named", None)
    return ways.to(forecast.reply, said) if forecast.reply is not None else Link(said, None)


def _three(value: float) -> str:
    return minus(f"{value:.3f}") if abs(value) >= 0.0005 else "0.000"
