"""Who held what of a question: the ledger, its authors, its readers; and all of them taken together."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from math import fsum

from ledger.casebook.moments import earliest, latest
from ledger.casebook.values import Casebook
from ledger.entries.models import NONE_OF_THESE, Question, Reply
from ledger.errors import WeighingRefused
from ledger.weighing.pools import effective_number, linear_pool, logarithmic_pool


@dataclass(frozen=True)
class Forecast:
    """What somebody holds of a question, or held before its answer was known.

    kind         ledger, author, reader or unnamed; all-linear, all-logarithmic or even for what was made of others
    name         of an author or reader who consented to be named, else empty
    confidences  by rival; none-of-these stands for every rival that is not named here
    date         as stated, or the day of the posting
    reply        the reply that says it, where it may be shown
    """

    question: str
    kind: str
    name: str
    confidences: Mapping[str, float]
    date: str
    reply: str | None = None

    def share(self, answer: str) -> float:
        """Return the confidence given to what came true; an answer not named here is none of those that are."""
        return self.confidences[self.column(answer)]

    def column(self, answer: str) -> str:
        """Return the rival that an answer is here."""
        return answer if answer in self.confidences else NONE_OF_THESE


@dataclass(frozen=True)
class Pool:
    """Several forecasts of a question as one, all of equal weight.

    people       how many forecasts; `number` is how many that is worth (Kish)
    linear       the mean; `logarithmic` the geometric mean, None where every rival is given no chance by somebody
    folded       rivals that not all of them had before them: these count as none of these
    """

    question: str
    people: int
    number: float
    linear: Mapping[str, float]
    logarithmic: Mapping[str, float] | None
    folded: tuple[str, ...] = ()


def stated(casebook: Casebook, question: str) -> tuple[Forecast, ...]:
    """Return the latest confidences of each author and reader in a question, those who are not named last.

    Of a resolved question only what is dated before its answer was known, and was not posted after it, as it was said;
    of an open one the shares of rivals withdrawn since are divided in proportion. Confidences are divided by their sum.
    A reader without a name, or without consent to it, is one of the unnamed; of a name, only the latest counts.
    """
    item = casebook.entries.get(question)
    resolved = item.entry.resolved if item is not None and isinstance(item.entry, Question) else None
    rivals = {one.ref for one in casebook.rivals(question)}
    authors = {_key(name) for name in casebook.investigation.by}
    found: dict[str, tuple[str, str, Forecast]] = {}
    for one in casebook.of_kind("reply"):
        reply = one.entry
        assert isinstance(reply, Reply)
        if _question(casebook, reply) != question:
            continue
        if resolved is not None and latest(reply.date) >= earliest(resolved.date):
            continue
        if one.ref in casebook.late().get(question, ()):
            continue
        confidences = _whole(reply.confidences, rivals if resolved is None else reply.confidences)
        if confidences is None:
            continue
        known = bool(reply.name and reply.consent)
        kind = "unnamed" if not known else "author" if _key(reply.name) in authors else "reader"
        ref = one.ref if reply.consent else None
        forecast = Forecast(
            question, kind, " ".join((reply.name or "").split()) if known else "", confidences, reply.date, ref
        )
        person = _key(reply.name) or one.ref
        if person not in found or found[person][:2] < (latest(reply.date), one.ref):
            found[person] = (latest(reply.date), one.ref, forecast)
    order = ("author", "reader", "unnamed")
    held = [forecast for _, _, forecast in found.values()]
    return tuple(sorted(held, key=lambda one: (order.index(one.kind), _key(one.name), one.date, one.reply or "")))


def belated(casebook: Casebook, question: str) -> tuple[str, ...]:
    """Return the replies with confidences in a resolved question that are dated in time and were posted after it."""
    item = casebook.entries.get(question)
    resolved = item.entry.resolved if item is not None and isinstance(item.entry, Question) else None
    if resolved is None:
        return ()
    return tuple(
        one.ref
        for one in casebook.of_kind("reply")
        if one.ref in casebook.late().get(question, ())
        and isinstance(one.entry, Reply)
        and _question(casebook, one.entry) == question
        and latest(one.entry.date) < earliest(resolved.date)
    )


def ledgers(casebook: Casebook, question: str) -> Forecast | None:
    """Return the ledger's own confidences: of an open question the present ones, of a resolved one those before."""
    item = casebook.entries.get(question)
    if item is None or not isinstance(item.entry, Question):
        return None
    if item.entry.resolved is None:
        weighing = casebook.weighings.get(question)
        now = {one.rival: one.confidence for one in weighing.standings} if weighing is not None else {}
        return Forecast(question, "ledger", "", now, "") if now else None
    moment = casebook.course().foretold.get(question)
    return Forecast(question, "ledger", "", moment.confidences[question], moment.at[:10]) if moment else None


def pool(forecasts: Sequence[Forecast]) -> Pool | None:
    """Return forecasts of one question taken together, or None where there are none.

    Rivals that one of them did not have before them count as none of these, for everybody: only what all had in view
    can be taken together.
    """
    if not forecasts:
        return None
    known = [rival for rival in forecasts[0].confidences if all(rival in one.confidences for one in forecasts)]
    columns = [*(rival for rival in known if rival != NONE_OF_THESE), NONE_OF_THESE]
    seen = dict.fromkeys(rival for one in forecasts for rival in one.confidences)
    rows = [_row(one.confidences, columns) for one in forecasts]
    try:
        logarithmic = dict(zip(columns, logarithmic_pool(rows), strict=True))
    except WeighingRefused:
        logarithmic = None
    return Pool(
        question=forecasts[0].question,
        people=len(forecasts),
        number=effective_number([1.0] * len(forecasts)),
        linear=dict(zip(columns, linear_pool(rows), strict=True)),
        logarithmic=logarithmic,
        folded=tuple(sorted(set(seen) - set(columns))),
    )


def readers_pool(casebook: Casebook, question: str) -> Pool | None:
    """Return what authors and readers said of a question, taken together without the ledger; None where nobody did."""
    return pool(stated(casebook, question))


def _question(casebook: Casebook, reply: Reply) -> str | None:
    """Return the question whose rivals a reply gives confidences for."""
    for ref in reply.confidences:
        item = casebook.entries.get(ref) or casebook.withdrawn.get(ref)
        if item is not None:
            return getattr(item.entry, "question", None)
    return None


def _whole(said: Mapping[str, float], counted: Collection[str]) -> dict[str, float] | None:
    """Return confidences in what counts, and in none of these, divided by their sum; None where nothing is left."""
    kept = {rival: share for rival, share in said.items() if rival in counted and rival != NONE_OF_THESE}
    kept[NONE_OF_THESE] = said.get(NONE_OF_THESE, 0.0)
    total = fsum(kept.values())
    return {rival: share / total for rival, share in kept.items()} if total > 0 else None


def _row(confidences: Mapping[str, float], columns: Sequence[str]) -> list[float]:
    *named, _ = columns
    rest = fsum(share for rival, share in confidences.items() if rival not in named)
    row = [*(confidences[rival] for rival in named), rest]
    total = fsum(row)
    return [share / total for share in row]


def _key(name: str | None) -> str:
    return " ".join((name or "").split()).casefold()
