"""The confidence over time, worked out from the record: the ledger as it stood after each posting, weighed.

Nothing of today enters: entries, names, grades and calculations are those of the moment. A result is taken from what is
kept where its key is the same, and computed anew where it is not.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from ledger.casebook.moments import Course, Lost, Moment, earliest
from ledger.casebook.rebuilding import Readings
from ledger.casebook.record import Record
from ledger.entries.models import Question
from ledger.errors import FaultsFound
from ledger.store.chain import Link

MOST = 40


def course(record: Record, questions: Mapping[str, Question], also: Iterable[int] = ()) -> Course:
    """Return the confidences after each posting of the record.

    questions  as they stand, by ref
    also       the places of further postings whose moments are to be kept with these
    """
    if not record.chain:
        return Course()
    ends = record.ends
    before, without = _before_answers(record, questions)
    wanted = _thinned(len(ends))
    told, lost = record.told({*wanted, *before.values(), *also}, alone=True)
    shown = {*wanted, *before.values()}
    made = {place: record.moment(place, one) for place, one in told.items()}
    foretold, unforetold = _foretold(before, made, lost)
    return Course(
        moments=tuple(made[place] for place in sorted(wanted) if place in made),
        lost=tuple(Lost(ends[place].seq, ends[place].at, why) for place, why in sorted(lost.items()) if place in shown),
        postings=len(ends),
        foretold=foretold,
        unforetold={**without, **unforetold},
    )


def _thinned(count: int) -> set[int]:
    """Return which of so many postings to show: every 1st, 2nd, 4th, 8th …, and the last.

    Steps of powers of two, so that what was shown before stays shown, or goes, and nothing old comes anew.
    """
    step = 1
    while (count - 1) // step + 1 > MOST:
        step *= 2
    return {*range(0, count, step), count - 1}


def _before_answers(record: Record, questions: Mapping[str, Question]) -> tuple[dict[str, int], dict[str, str]]:
    """Return by resolved question the place of the last posting before its answer was recorded, and known; or why not.

    The answer was recorded by the first of the revisions that have said one ever since, and known on the earliest day
    that its date may mean.
    """
    ends, entries = record.ends, {ref: entry for entry, ref in record.names.items()}
    before, without = {}, {}
    for ref, question in sorted(questions.items()):
        if question.resolved is None:
            continue
        own = [link for link in record.chain if link.entry == entries[ref]]
        first = own[-1]
        for link in reversed(own):
            if not _answered(link, record.readings):
                break
            first = link
        day = earliest(question.resolved.date)
        recorded = record.place(first.seq)
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
