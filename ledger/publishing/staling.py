"""Why a decision has lost ground, in words: what was, and what is now."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from ledger.casebook.consent import published
from ledger.casebook.values import Casebook
from ledger.publishing import words
from ledger.publishing.addresses import HOME, Link, Ways
from ledger.publishing.figures import minus, outcome_of, plain_label
from ledger.publishing.reasons import Said
from ledger.quantities import percents
from ledger.tracing.reasons import Change, Reason
from ledger.tracing.staleness import Stale, stale

FIELDS = 6  # of a revised entry, that are named


@dataclass(frozen=True)
class Flag:
    """A decision that must be taken again: the day it was taken, and each reason phrase by phrase."""

    link: Link
    taken: str
    reasons: tuple[tuple[Said, ...], ...]
    untold: tuple[str, ...]

    @property
    def plain(self) -> tuple[str, ...]:
        """Return the reasons as text."""
        return tuple(text(one) for one in self.reasons)


def flag(casebook: Casebook, one: Stale, ways: Ways) -> Flag:
    """Return a stale decision in words."""
    taken = str(getattr(casebook.entries[one.ref].entry, "taken", ""))
    return Flag(ways.to(one.ref), taken, tuple(tuple(told(reason, ways)) for reason in one.reasons), one.untold)


def looks(casebook: Casebook, fixing: bool = False) -> tuple[str, ...]:
    """Return what to look at of decisions: a line for each reason to take one again.

    fixing  of those alone that settle something of a model
    """
    ways, found = Ways(casebook, HOME), []
    for one in stale(casebook).values():
        if fixing and not fixes(casebook, one):
            continue
        flagged = flag(casebook, one, ways)
        found += [f"{one.ref} stands to be taken again: {reason}" for reason in flagged.plain]
        found += [f"{one.ref}: {untold}." for untold in one.untold]
    return tuple(found)


def fixes(casebook: Casebook, one: Stale) -> bool:
    """Return whether a stale decision settles something of a model."""
    return bool(getattr(casebook.entries[one.ref].entry, "fixes", None))


def text(phrases: Iterable[Said]) -> str:
    """Return phrases as text."""
    return "".join(phrase.link.words + phrase.after for phrase in phrases)


def told(reason: Reason, ways: Ways, then: bool = False) -> Iterator[Said]:
    """Yield a reason phrase by phrase; `then`: it is told of what would be, not of what is."""
    about, casebook = _named(reason.about, ways), ways.casebook
    item = casebook.entries.get(reason.about) or casebook.withdrawn.get(reason.about)
    if item is not None and not published(item):
        yield Said(about, " has changed.")
        return
    yield from {
        "withdrawn": _withdrawn,
        "source": _source,
        "revised": _revised,
        "number": _number,
        "leader": _leader,
        "unweighed": _unweighed,
        "answer": _answer,
        "confidence": _confidence,
        "refused": _refused,
        "criterion": _criterion,
        "decision": _decision,
    }[reason.kind](reason, about, ways, then)


def _withdrawn(reason: Reason, about: Link, ways: Ways, then: bool) -> Iterator[Said]:
    if then:
        yield Said(about, " would be gone itself.")
    elif reason.through:
        yield Said(about, ", on which ")
        yield Said(_named(reason.through, ways), f" stands, was withdrawn: {_ended(reason.words)}")
    else:
        yield Said(about, f" was withdrawn: {_ended(reason.words)}")


def _source(reason: Reason, about: Link, ways: Ways, then: bool) -> Iterator[Said]:
    yield Said(about, " no longer counts, for its source would be gone." if then else " lost its source.")


def _revised(reason: Reason, about: Link, ways: Ways, then: bool) -> Iterator[Said]:
    said = [_change(change) for change in reason.changes[:FIELDS]]
    more = len(reason.changes) - FIELDS
    said += [words.count(more, "other field")] if more > 0 else []
    yield Said(about, f" was revised: {'; '.join(said)}.")


def _change(change: Change) -> str:
    name = change.field.replace("-", " ").replace(".", ", ")
    if change.before and change.now:
        return f"{name} {minus(change.before)} → {minus(change.now)}"
    if change.now:
        return f"{name}, now {minus(change.now)}"
    return f"{name}, so far {minus(change.before)}" if change.before else name


def _number(reason: Reason, about: Link, ways: Ways, then: bool) -> Iterator[Said]:
    label = _label(reason.about, reason.words, ways)
    before, now = (minus(str(one)) for one in (reason.before, reason.now))
    yield Said(about, f"{f', {label}' if label else ''}: {before} as quoted → {now} now.")


def _label(ref: str, output: str, ways: Ways) -> str:
    named = outcome_of(ways.casebook, ref, output)
    return plain_label(named.label) if named is not None else ""


def _leader(reason: Reason, about: Link, ways: Ways, then: bool) -> Iterator[Said]:
    yield Said(about, ": ")
    if reason.before is None:
        yield Said(Link("nobody", None), " led then, " if not then else " leads now, ")
    else:
        yield Said(_named(str(reason.before), ways), " led then, " if not then else " leads now, ")
    if reason.now is None:
        yield Said(Link("nobody does now.", None) if not then else Link("nobody would.", None))
    else:
        yield Said(_named(str(reason.now), ways), " leads now." if not then else " would.")


def _named(ref: str, ways: Ways) -> Link:
    return ways.to(ref, f"“{ways.to(ref).words}”")


def _unweighed(reason: Reason, about: Link, ways: Ways, then: bool) -> Iterator[Said]:
    said = "could not be weighed any more" if then else "cannot be weighed any more"
    yield Said(about, f" {said}{f': {_ended(reason.words)}' if reason.words else '.'}")


def _answer(reason: Reason, about: Link, ways: Ways, then: bool) -> Iterator[Said]:
    yield Said(about, " came out otherwise: it was ")
    yield Said(_named(str(reason.now), ways), ".")


def _confidence(reason: Reason, about: Link, ways: Ways, then: bool) -> Iterator[Said]:
    now, least = percents.chance(float(reason.now or 0.0)), percents.chance(reason.least or 0.0)
    before = percents.chance(float(reason.before)) if reason.before is not None else now
    moved = now if before == now else f"{before} → {now}"
    yield Said(about, f": confidence {moved}, below the {least} it must have.")


def _refused(reason: Reason, about: Link, ways: Ways, then: bool) -> Iterator[Said]:
    said = "could not be computed any more" if then else "cannot be computed"
    yield Said(about, f" {said}{f': {_ended(reason.words)}' if reason.words else '.'}")


def _criterion(reason: Reason, about: Link, ways: Ways, then: bool) -> Iterator[Said]:
    before, now = (percents.draws(float(one or 0.0)) for one in (reason.before, reason.now))
    name, _, limit = reason.words.partition(" ")
    if reason.through:
        yield Said(about, ", which tests ")
        about = _named(reason.through, ways)
    yield Said(about, f": {_label(reason.about, name, ways) or name}, {minus(limit)}, was kept {before}, is {now} now.")


def _decision(reason: Reason, about: Link, ways: Ways, then: bool) -> Iterator[Said]:
    yield Said(about, " would lose its ground itself." if then else " stands to be taken again itself.")


def _ended(said: str) -> str:
    return said if said.endswith((".", "!", "?")) else f"{said}."
