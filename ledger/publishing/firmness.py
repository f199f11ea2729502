"""How firm an answer is, in words: what losing a thing would change, and what one would have to believe instead."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import isinf

from ledger.casebook.firm import Firmness
from ledger.casebook.losing import Loss
from ledger.publishing import words
from ledger.publishing.addresses import Link, Ways
from ledger.publishing.reasons import Paragraph, Said, unlinked
from ledger.quantities import percents
from ledger.weighing.believing import Belief, Change, Wrong
from ledger.weighing.fragility import GradeEffect
from ledger.weighing.values import NONE, Weighing

MOST = 8
TABLES = {
    "as stated": "as stated",
    "low ends": "every grade at the low end of its range",
    "high ends": "every grade at the high end",
    "a step lower": "every grade a step lower",
    "all alike": "all grades alike, as F and 6",
    "at their word": "everything taken at its word",
}


@dataclass(frozen=True)
class Lost:
    """One thing that may be lost: the leader's confidence without it, and who would lead then if another would."""

    link: Link
    kind: str
    confidence: str
    instead: Link | None
    through: bool
    refused: str


@dataclass(frozen=True)
class Misjudged:
    """How wrong one bearing would have to be: as stated, and the value at which another rival leads."""

    note: Link
    bears: str
    rival: Link
    stated: str
    value: str
    size: str
    leader: Link


@dataclass(frozen=True)
class Table:
    """Where the question stands with other chances for the grades."""

    name: str
    leader: Link | None
    confidence: str


@dataclass(frozen=True)
class Firm:
    """What a question's page says of how firm its answer is.

    smallest  the smallest set of notes whose loss changes the leader, phrase by phrase
    """

    smallest: tuple[Said, ...]
    losses: tuple[Lost, ...]
    more: tuple[Lost, ...]
    beliefs: tuple[Paragraph, ...]
    wrong: tuple[Misjudged, ...]
    grades: tuple[Table, ...]


def firm(firmness: Firmness, weighing: Weighing, ways: Ways) -> Firm:
    """Return how firm the answer to a question is."""
    question = weighing.question
    lost = [_lost(loss, ways) for loss in firmness.losses if loss.question == question]
    return Firm(
        smallest=tuple(_smallest(firmness, weighing, ways)),
        losses=tuple(lost[:MOST]),
        more=tuple(lost[MOST:]),
        beliefs=tuple(_believing(one, ways) for one in firmness.beliefs.get(question, ())),
        wrong=tuple(_misjudged(firmness.wrong.get(question, ()), ways)),
        grades=tuple(_table(effect, question, ways) for effect in firmness.grades if question in effect.positions),
    )


def _smallest(firmness: Firmness, weighing: Weighing, ways: Ways) -> Iterable[Said]:
    found = firmness.sets.get(weighing.question)
    if found is None or found.before is None:
        return
    if not found.notes:
        sure = (
            "No set of notes changes the leader by its loss."
            if found.exact
            else "No set of notes was found whose loss changes the leader."
        )
        yield unlinked(sure)
        return
    if len(found.notes) == 1:
        yield unlinked("One note carries the lead: without ")
    else:
        most = "" if found.exact else "at most "
        yield unlinked(f"The lead rests on {most}{len(found.notes)} notes: without ")
    for place, ref in enumerate(found.notes):
        left = len(found.notes) - place - 1
        yield Said(ways.to(ref, f"“{ways.to(ref).words}”"), " and " if left == 1 else ", ")
    if found.after is None:
        yield unlinked("no rival would lead.")
    else:
        yield Said(ways.to(found.after), " would lead." + (" No fewer would do." if found.exact else ""))


def _lost(loss: Loss, ways: Ways) -> Lost:
    share = loss.confidences.get(loss.before) if loss.before is not None else None
    instead = ways.to(loss.after) if loss.changed and loss.after is not None else None
    return Lost(
        ways.to(loss.ref),
        loss.kind,
        "" if share is None else percents.chance(share),
        instead,
        loss.through,
        loss.refused,
    )


def _believing(belief: Belief, ways: Ways) -> Paragraph:
    return Paragraph(ways.to(belief.rival), tuple(_to_believe(belief, ways)))


def _to_believe(belief: Belief, ways: Ways) -> Iterable[Said]:
    yield unlinked("“None of these”: " if belief.rival == NONE else f"{ways.to(belief.rival).words}: ")
    if not belief.may_lead:
        yield unlinked("it was judged in too few notes to lead, whatever they say.")
    elif belief.changes:
        yield unlinked("it would lead if ")
        yield from _change(belief.changes[0], ways)
        others = len(belief.changes) - 1
        yield unlinked(
            f". {words.count(others, 'other single change')} would do too."
            if others
            else ". Nothing else alone would do."
        )
    elif belief.aside:
        yield unlinked("no single change makes it lead. One would have to set aside ")
        last = len(belief.aside) - 1
        for place, one in enumerate(belief.aside):
            name = (
                f"the feasibility of “{ways.to(one.ref).words}”"
                if one.kind == "feasibility"
                else f"“{ways.to(one.ref).words}”"
            )
            if one.kind == "origin":
                name = f"all that {name} says on this question"
            yield Said(ways.to(one.ref, name), "." if place == last else " and " if place == last - 1 else ", ")
    elif belief.only_its_prior:
        yield unlinked(
            "no single change of a chance stated here makes it lead, and no setting aside of this question’s notes, "
            "sources or calculations does."
        )
    else:
        yield unlinked(
            "nothing was found that makes it lead: no single change, and no set of up to "
            f"{words.count(belief.looked, 'thing')} set aside."
        )


def _change(change: Change, ways: Ways) -> Iterable[Said]:
    name = ways.to(change.ref, f"“{ways.to(change.ref).words}”")
    stated, value = percents.chance(change.stated), words.beyond(change.value, change.stated)
    yield unlinked(
        {
            "bearing": "the bearing of ",
            "credibility": "the chance that ",
            "soundness": "the chance that ",
            "feasibility": "the chance that the criteria of ",
            "doubt": "the chance that the model behind ",
        }[change.kind]
    )
    if change.kind == "bearing" and change.rival is not None:
        yield Said(name, " on ")
        yield Said(ways.to(change.rival, f"“{ways.to(change.rival).words}”"), f" were {value} and not {stated}")
    else:
        does = {
            "credibility": " tracks the truth",
            "soundness": " is sound",
            "feasibility": " are kept",
            "doubt": " does not apply",
        }[change.kind]
        yield Said(name, f"{does} were {value} and not {stated}")
    far = "" if isinf(change.size) else f", {change.size:.1f} decibans away"
    within = "; that lies within the range its author stated" if change.within else ""
    yield unlinked(f"{far}{within}")


def _misjudged(wrong: Iterable[Wrong], ways: Ways) -> Iterable[Misjudged]:
    told = [one for one in wrong if one.value is not None and one.leader is not None and one.stated is not None]
    for one in sorted(told, key=lambda one: (one.size or 0.0, one.note, one.rival)):
        assert one.value is not None
        assert one.stated is not None
        assert one.leader is not None
        size = "" if one.size is None or isinf(one.size) else f"{one.size:.1f}"
        yield Misjudged(
            ways.to(one.note),
            one.place,
            ways.to(one.rival),
            percents.chance(one.stated),
            words.beyond(one.value, one.stated),
            size,
            ways.to(one.leader),
        )


def _table(effect: GradeEffect, question: str, ways: Ways) -> Table:
    position = effect.positions[question]
    if position.leader is None:
        return Table(TABLES[effect.table], None, "")
    return Table(TABLES[effect.table], ways.to(position.leader), percents.chance(position.confidences[position.leader]))
