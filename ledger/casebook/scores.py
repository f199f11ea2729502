"""Keeping score: how the ledger, its authors and its readers did on the questions whose answers are known by now."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import fsum

from ledger.casebook.foretelling import Forecast, Pool, belated, ledgers, pool, stated
from ledger.casebook.items import Item
from ledger.casebook.values import Casebook
from ledger.entries.models import Question
from ledger.entries.parts import Resolution
from ledger.weighing.scoring import (
    CalibrationLine,
    Decomposition,
    LogarithmicScore,
    brier_half,
    brier_original,
    calibration,
    decompose,
    logarithmic,
)

ORDER = ("ledger", "author", "reader", "unnamed", "all-linear", "all-logarithmic", "even")
TENTHS = tuple(number / 10 for number in range(11))


@dataclass(frozen=True)
class Judged:
    """One forecast after the answer was known: the confidence it gave the answer, and both scores of it alone."""

    forecast: Forecast
    share: float
    brier: float
    bits: float


@dataclass(frozen=True)
class Answered:
    """A resolved question: how it came out, every forecast of it, and why the ledger has none where it has none.

    late  replies that are dated before the answer was known and were posted after it: nobody can tell, so none counts
    """

    question: str
    resolved: Resolution
    judged: tuple[Judged, ...]
    unforetold: str
    late: tuple[str, ...] = ()


@dataclass(frozen=True)
class Score:
    """How one forecaster did over all resolved questions it spoke to. All scores are losses: 0 is best.

    kind, name   as in Forecast; the unnamed are counted together
    brier        as first defined, 0 to 2; `half` over all rivals as yes-or-no forecasts, 0 to 1
    bits         the logarithmic score
    parts        of `half`, over tenths; `lines` the calibration table they come from
    ledger       what the ledger's Brier score is over the same questions; None where it has no forecast of some
    """

    kind: str
    name: str
    questions: int
    forecasts: int
    brier: float
    half: float
    bits: LogarithmicScore
    parts: Decomposition
    lines: tuple[CalibrationLine, ...]
    ledger: float | None


@dataclass(frozen=True)
class Scores:
    """The score kept: by forecaster, and by question in order of its answer's date.

    pools    by question, the forecasts of all, the ledger's with them, where a reader gave any
    readers  likewise, without the ledger's
    people   the calibration table of all authors and readers
    """

    forecasters: tuple[Score, ...] = ()
    answered: tuple[Answered, ...] = ()
    pools: Mapping[str, Pool] = field(default_factory=dict)
    readers: Mapping[str, Pool] = field(default_factory=dict)
    people: tuple[CalibrationLine, ...] = ()


def worth_a_page(casebook: Casebook) -> bool:
    """Return whether there is anything to keep score of: a resolved question, or a reader's confidences."""
    replies = (item.entry for item in casebook.of_kind("reply"))
    return any(True for _ in _resolved(casebook)) or any(getattr(reply, "confidences", None) for reply in replies)


def scores(casebook: Casebook) -> Scores:
    """Return the score: what each forecaster said before the answers were known, held against them."""
    answered = tuple(_answered(casebook, item, resolved) for item, resolved in _resolved(casebook))
    own = {one.question: judged for one in answered for judged in one.judged if judged.forecast.kind == "ledger"}
    answers = {one.question: one.resolved.answer for one in answered}
    groups: dict[tuple[str, str], list[Judged]] = {}
    for one in answered:
        for judged in one.judged:
            groups.setdefault((judged.forecast.kind, judged.forecast.name.casefold()), []).append(judged)
    readers, pools = {}, {}
    for item in casebook.of_kind("question"):
        said, mine = stated(casebook, item.ref), ledgers(casebook, item.ref)
        if (together := pool(said)) is not None:
            readers[item.ref] = together
            pools[item.ref] = pool((mine, *said) if mine is not None else said) or together
    people = [judged for one in answered for judged in one.judged if judged.forecast.kind in ORDER[1:4]]
    return Scores(
        forecasters=tuple(
            _score(groups[key], answers, own) for key in sorted(groups, key=lambda key: (ORDER.index(key[0]), key[1]))
        ),
        answered=answered,
        pools=pools,
        readers=readers,
        people=calibration(*_yes_or_no(people, answers), TENTHS) if people else (),
    )


def _resolved(casebook: Casebook) -> list[tuple[Item, Resolution]]:
    found = [
        (item, item.entry.resolved)
        for item in casebook.of_kind("question")
        if isinstance(item.entry, Question) and item.entry.resolved is not None
    ]
    return sorted(found, key=lambda pair: (pair[1].date, pair[0].ref))


def _answered(casebook: Casebook, item: Item, resolved: Resolution) -> Answered:
    own, said = ledgers(casebook, item.ref), stated(casebook, item.ref)
    forecasts = [*([own] if own is not None else []), *said]
    made = forecasts + _together(forecasts) + _even(forecasts[:1])
    return Answered(
        question=item.ref,
        resolved=resolved,
        judged=tuple(_judged(one, resolved.answer) for one in made),
        unforetold=casebook.course().unforetold.get(item.ref, ""),
        late=belated(casebook, item.ref),
    )


def _together(forecasts: Sequence[Forecast]) -> list[Forecast]:
    """Return both pools of several forecasts as forecasts of their own."""
    pooled = pool(forecasts) if len(forecasts) > 1 else None
    if pooled is None:
        return []
    date = max(one.date for one in forecasts)
    made = [Forecast(pooled.question, "all-linear", "", pooled.linear, date)]
    if pooled.logarithmic is not None:
        made.append(Forecast(pooled.question, "all-logarithmic", "", pooled.logarithmic, date))
    return made


def _even(forecasts: Sequence[Forecast]) -> list[Forecast]:
    """Return what knowing nothing would have said: every rival, and none of these, alike."""
    return [
        Forecast(one.question, "even", "", dict.fromkeys(one.confidences, 1 / len(one.confidences)), one.date)
        for one in forecasts
    ]


def _judged(forecast: Forecast, answer: str) -> Judged:
    row, place = list(forecast.confidences.values()), list(forecast.confidences).index(forecast.column(answer))
    return Judged(forecast, row[place], brier_original([row], [place]), logarithmic([row], [place]).bits)


def _score(judged: Sequence[Judged], answers: Mapping[str, str], own: Mapping[str, Judged]) -> Score:
    forecasts = [one.forecast for one in judged]
    widest = max(len(one.confidences) for one in forecasts)
    rows = [[*one.confidences.values(), *[0.0] * (widest - len(one.confidences))] for one in forecasts]
    truths = [list(one.confidences).index(one.column(answers[one.question])) for one in forecasts]
    questions = {one.question for one in forecasts}
    said, came = _yes_or_no(judged, answers)
    beside = [own[one.question].brier for one in forecasts if one.question in own]
    return Score(
        kind=forecasts[0].kind,
        name=forecasts[-1].name,
        questions=len(questions),
        forecasts=len(forecasts),
        brier=brier_original(rows, truths),
        half=brier_half(said, came),
        bits=logarithmic(rows, truths),
        parts=decompose(said, came, TENTHS),
        lines=calibration(said, came, TENTHS),
        ledger=fsum(beside) / len(beside) if len(beside) == len(forecasts) else None,
    )


def _yes_or_no(judged: Sequence[Judged], answers: Mapping[str, str]) -> tuple[list[float], list[float]]:
    """Return every confidence in every rival, and whether that rival was it."""
    pairs = [
        (share, float(rival == one.forecast.column(answers[one.forecast.question])))
        for one in judged
        for rival, share in one.forecast.confidences.items()
    ]
    return [share for share, _ in pairs], [came for _, came in pairs]
