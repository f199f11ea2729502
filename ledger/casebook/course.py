"""The confidence over time, worked out from the record: the ledger as it stood after each posting, weighed.

Nothing of today enters: entries, names, grades and calculations are those of the moment. A result is taken from what is
kept where its key is the same, and computed anew where it is not. What a moment came to is kept in the store under the
hash of its revision, so that a later posting adds one moment and computes no other.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from functools import cache
from importlib import resources

from ledger.calculators.contract import Calculator
from ledger.casebook.moments import Course, Lost, Moment, earliest
from ledger.casebook.rebuilding import ById, Readings, Unreadable, by_id, rebuilt, states
from ledger.casebook.recomputing import Progress, code_digest
from ledger.entries.models import Question
from ledger.errors import FaultsFound
from ledger.store import derived
from ledger.store.chain import Link
from ledger.store.engine import Store
from ledger.store.recording import ref_of
from ledger.store.records import links
from ledger.weighing.values import NONE, Weighing

MOST = 40
WEIGHING = ("casebook", "entries", "weighing")


def course(
    store: Store,
    upto: int,
    now: Mapping[str, Weighing],
    questions: Mapping[str, Question],
    register: Mapping[str, Calculator],
    count: int,
    fresh: Mapping[str, derived.Cached],
    progress: Progress = lambda _: None,
) -> Course:
    """Return the confidences after each posting up to a revision, whose own weighings and questions are given.

    fresh     results computed for that last state, for a store that cannot be written to
    progress  called with what has to be computed anew, and for which day
    """
    with store.reading() as connection:
        chain = [link for link in links(connection) if link.seq <= upto]
    if not chain:
        return Course()
    readings = Readings()
    ends = _postings(chain)
    names = {link.entry: ref_of(link.kind, link.name) for link in chain}
    before, without = _before_answers(chain, ends, questions, names, readings)
    wanted = _thinned(len(ends))
    places = sorted({*wanted, *before.values()})
    code, had = _code(count), derived.kept_moments(store)
    keys = {place: f"{code} {ends[place].hash}" for place in places}
    told: dict[int, ById] = {len(ends) - 1: by_id(now, {ref: entry for entry, ref in names.items()})}
    lost: dict[int, str] = {}
    stale = [place for place in places if had.get(ends[place].seq, ("",))[0] != keys[place] and place not in told]
    told |= {place: json.loads(had[ends[place].seq][1]) for place in places if place not in (*stale, *told)}
    if stale:
        kept = {**derived.cached_results(store), **fresh}
        stood = states(chain, {ends[place].seq for place in stale})
        for place in reversed(stale):
            day = ends[place].at[:10]
            try:
                told[place] = rebuilt(stood[ends[place].seq], register, count, kept, readings, progress, day)
            except Unreadable as error:
                lost[place] = str(error)
    if store.writable:
        derived.replace_moments(
            store, {ends[place].seq: (keys[place], json.dumps(one)) for place, one in sorted(told.items())}
        )
    made = {place: Moment(ends[place].seq, ends[place].at, _named(one, names)) for place, one in told.items()}
    foretold, unforetold = _foretold(before, made, lost)
    return Course(
        moments=tuple(made[place] for place in sorted(wanted) if place in made),
        lost=tuple(Lost(ends[place].seq, ends[place].at, why) for place, why in sorted(lost.items())),
        postings=len(ends),
        foretold=foretold,
        unforetold={**without, **unforetold},
    )


def untrue(
    store: Store, register: Mapping[str, Calculator], count: int, fresh: Mapping[str, derived.Cached]
) -> tuple[str, ...]:
    """Return the times of kept moments that the record does not give.

    fresh  present results, computed anew; nothing that the store has kept is trusted
    """
    had = derived.kept_moments(store)
    with store.reading() as connection:
        chain = list(links(connection))
    code, readings, kept = _code(count), Readings(), dict(fresh)
    held = {link.seq: link for link in chain if had.get(link.seq, ("",))[0] == f"{code} {link.hash}"}
    stood, wrong = states(chain, held.keys()), []
    for seq, link in reversed(held.items()):
        try:
            told = rebuilt(stood[seq], register, count, kept, readings, lambda _: None, "")
        except Unreadable:
            told = {}
        if told != json.loads(had[seq][1]):
            wrong.append(link.at)
    return tuple(sorted(wrong))


def _postings(chain: Sequence[Link]) -> list[Link]:
    """Return the last revision of every posting: revisions that follow each other with the same time are one."""
    return [link for link, after in zip(chain, [*chain[1:], None], strict=True) if after is None or after.at != link.at]


def _thinned(count: int) -> set[int]:
    """Return which of so many postings to show: every 1st, 2nd, 4th, 8th …, and the last.

    Steps of powers of two, so that what was shown before stays shown, or goes, and nothing old comes anew.
    """
    step = 1
    while (count - 1) // step + 1 > MOST:
        step *= 2
    return {*range(0, count, step), count - 1}


def _before_answers(
    chain: Sequence[Link],
    ends: Sequence[Link],
    questions: Mapping[str, Question],
    names: Mapping[int, str],
    readings: Readings,
) -> tuple[dict[str, int], dict[str, str]]:
    """Return by resolved question the place of the last posting before its answer was recorded, and known; or why not.

    The answer was recorded by the first of the revisions that have said one ever since, and known on the earliest day
    that its date may mean.
    """
    entries = {ref: entry for entry, ref in names.items()}
    before, without = {}, {}
    for ref, question in sorted(questions.items()):
        if question.resolved is None:
            continue
        own = [link for link in chain if link.entry == entries[ref]]
        first = own[-1]
        for link in reversed(own):
            if not _answered(link, readings):
                break
            first = link
        day = earliest(question.resolved.date)
        recorded = next(place for place, end in enumerate(ends) if end.seq >= first.seq)
        found = [place for place in range(recorded) if ends[place].at[:10] < day]
        if found:
            before[ref] = found[-1]
        else:
            without[ref] = f"nothing was posted before {min(day, ends[recorded].at[:10])}, when the answer was known"
    return before, without


def _answered(link: Link, readings: Readings) -> bool:
    if link.text is None:
        return False
    try:
        entry = readings.document(link).entry
    except FaultsFound:
        return False
    return isinstance(entry, Question) and entry.resolved is not None


def _named(told: ById, names: Mapping[int, str]) -> dict[str, dict[str, float]]:
    return {
        names[int(question)]: {
            rival if rival == NONE else names[int(rival)]: confidence for rival, confidence in standings.items()
        }
        for question, standings in told.items()
    }


def _foretold(
    before: Mapping[str, int], made: Mapping[int, Moment], lost: Mapping[int, str]
) -> tuple[dict[str, Moment], dict[str, str]]:
    foretold, unforetold = {}, {}
    for question, place in before.items():
        if place in lost:
            unforetold[question] = f"the ledger as it stood then cannot be rebuilt: {lost[place]}"
        elif question not in made[place].confidences:
            unforetold[question] = f"it was not weighed yet on {made[place].at[:10]}, before the answer was known"
        else:
            foretold[question] = made[place]
    return foretold, unforetold


@cache
def _code(count: int) -> str:
    """Return a digest of the source that a confidence comes from, with the number of draws."""
    digest = hashlib.sha256(f"{code_digest()} {count}".encode())
    for package in WEIGHING:
        folder = resources.files("ledger") / package
        for file in sorted((one for one in folder.iterdir() if one.name.endswith(".py")), key=lambda one: one.name):
            digest.update(file.name.encode() + b"\0" + file.read_bytes())
    return digest.hexdigest()
