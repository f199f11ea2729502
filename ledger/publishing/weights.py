"""What each note does to each rival, and the account of the leader over the runner-up, as pages show them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import inf

from ledger.casebook.values import Casebook
from ledger.entries.models import Calculation, Entry, Evidence, Measurement, Source
from ledger.publishing import words
from ledger.publishing.addresses import Link, Ways
from ledger.publishing.reasons import TOGETHER, link_named
from ledger.quantities import percents
from ledger.weighing.values import AccountLine, Weighing


@dataclass(frozen=True)
class Weight:
    """What a note does to one rival: signed decibans in words, and whether that is `for`, `against` or `even`."""

    text: str
    leaning: str


@dataclass(frozen=True)
class Note:
    """The row of one note, or of one source: where it comes from, and its weights in the order of the rivals.

    origin   the source at the end of a chain of retellings, where that is another one; `sound` is its chance
    weights  None for a rival that it was not weighed for
    ref      of the note, the measurement or the source; empty where it is neither
    """

    link: Link
    kind: str
    source: Link | None
    origin: Link | None
    grade: str
    sound: str
    credibility: str
    weights: tuple[Weight | None, ...]
    ref: str = ""


@dataclass(frozen=True)
class Part:
    """One line of the account. `length` is the part of the longest line, for the bar."""

    words: str
    link: Link | None
    weight: Weight
    length: float


UNBOUNDED = Weight("without bound", "even")


def weight(decibans: float) -> Weight:
    """Return a number of decibans as it is shown."""
    return Weight(words.decibans(decibans), words.leaning(decibans))


def weight_of(weighing: Weighing, ref: str, rival: str) -> Weight | None:
    """Return what a thing does to a rival as it is shown, or None where it was not weighed for it."""
    if rival in weighing.infinite.get(ref, ()):
        return UNBOUNDED
    row = weighing.weights.get(ref, {})
    return weight(row[rival]) if rival in row else None


def size_of(weighing: Weighing, ref: str, rival: str) -> float:
    """Return how far a thing moves a rival either way [decibans]: infinite for what shuts it out, 0 if not weighed."""
    return inf if rival in weighing.infinite.get(ref, ()) else abs(weighing.weights.get(ref, {}).get(rival, 0.0))


def notes(casebook: Casebook, weighing: Weighing, ways: Ways) -> tuple[Note, ...]:
    """Return every note that was weighed, the one with the greatest weight for any rival first."""
    told = (ref for ref in _by_weight(weighing) if not _is_source(ref) and ref != weighing.question)
    return tuple(_note(casebook, weighing, ref, ways) for ref in told)


def beyond(weighing: Weighing, ways: Ways) -> tuple[Note, ...]:
    """Return what moves the rivals beside notes and calculations: the priors, the links and what comes through them."""
    own = weighing.weights.get(weighing.question)
    rows = [_beside(Link("The priors, against level ones", None), weighing, own)] if own else []
    order = sorted(weighing.through, key=lambda ref: (" " not in ref, -max(map(abs, weighing.through[ref].values()))))
    for ref in order:
        link = link_named(ref, ways) if " " in ref else _through(ref, ways)
        if link is not None:
            rows.append(_beside(link, weighing, weighing.through[ref], ref))
    return tuple(rows)


def _through(ref: str, ways: Ways) -> Link | None:
    """Return what comes through links in words; sources are left out, for their notes are there."""
    if _is_source(ref):
        return None
    tested = ref.removeprefix(TOGETHER)
    if tested != ref:
        return ways.to(tested, f"Feasibility: {ways.to(tested).words}")
    words_ = ways.to(ref).words
    return ways.to(ref, f"The priors of “{words_}”" if ref.startswith("questions/") else words_)


def _beside(link: Link, weighing: Weighing, row: Mapping[str, float], ref: str = "") -> Note:
    infinite = weighing.infinite.get(ref, ())
    shown = tuple(UNBOUNDED if one.rival in infinite else weight(row[one.rival]) for one in weighing.standings)
    return Note(link, "", None, None, "", "", "", shown)


def sources(casebook: Casebook, weighing: Weighing, ways: Ways) -> tuple[Note, ...]:
    """Return every source whose notes were weighed, with what taking out all of them together would take away."""
    return tuple(_note(casebook, weighing, ref, ways) for ref in _by_weight(weighing) if _is_source(ref))


def _is_source(ref: str) -> bool:
    return ref.startswith("sources/")


def _by_weight(weighing: Weighing) -> list[str]:
    def greatest(ref: str) -> float:
        return inf if weighing.infinite.get(ref) else max(map(abs, weighing.weights[ref].values()), default=0.0)

    return sorted(weighing.weights, key=lambda ref: (-greatest(ref), ref))


def _note(casebook: Casebook, weighing: Weighing, ref: str, ways: Ways) -> Note:
    together = ref.removeprefix(TOGETHER) if ref.startswith(TOGETHER) else None
    entry = casebook.entries[ref].entry if ref in casebook.entries else None
    observed = entry if isinstance(entry, Evidence | Measurement) else None
    source = casebook.entries.get(observed.source if observed else ref)
    origin = _origin(casebook, observed.source) if observed else ref
    sound = weighing.soundness.get(origin)
    return Note(
        link=ways.to(together, f"Feasibility: {ways.to(together).words}") if together else ways.to(ref),
        kind=_kind(entry, together is not None),
        source=ways.to(observed.source) if observed else None,
        origin=ways.to(origin) if observed and origin != observed.source else None,
        grade=words.reliability(source.entry.reliability) if source and isinstance(source.entry, Source) else "",
        sound="" if sound is None else percents.chance(sound),
        credibility=words.credibility(observed.credibility) if observed else "",
        weights=tuple(weight_of(weighing, ref, one.rival) for one in weighing.standings),
        ref=ref,
    )


def _kind(entry: Entry | None, together: bool) -> str:
    if isinstance(entry, Measurement):
        return "measured"
    return "calculated" if together or isinstance(entry, Calculation) else ""


def _origin(casebook: Casebook, source: str) -> str:
    """Return the source at the end of a chain of retellings."""
    seen = {source}
    while source in casebook.entries:
        entry = casebook.entries[source].entry
        if (
            not isinstance(entry, Source)
            or entry.origin is None
            or entry.origin not in casebook.entries
            or entry.origin in seen
        ):
            return source
        source = entry.origin
        seen.add(source)
    return source


def uncounted(casebook: Casebook, weighing: Weighing, ways: Ways) -> tuple[tuple[Link, str], ...]:
    """Return the notes and calculations that bear on the question and are not counted, with the reason."""
    rivals = {one.rival for one in weighing.standings}
    rows = []
    for item in casebook.entries.values():
        entry = item.entry
        if not isinstance(entry, Evidence | Calculation) or entry.uncounted is None:
            continue
        if rivals & set(entry.bearing if isinstance(entry, Evidence) else entry.hypotheses):
            rows.append((ways.to(item.ref), entry.uncounted))
    return tuple(rows)


def lines(weighing: Weighing, ways: Ways) -> tuple[Part, ...]:
    """Return the lines of the account, rounded so that they add up as shown."""
    account = weighing.account
    shown = words.adding_up([line.decibans for line in account.lines], account.total)
    longest = max((abs(line.decibans) for line in account.lines), default=0.0) or 1.0
    return tuple(
        Part(
            words.PARTS.get(line.part, line.part),
            _ground(weighing, line, ways),
            Weight(text, _leaning(text)),
            line.decibans / longest,
        )
        for line, text in zip(account.lines, shown, strict=True)
    )


def _leaning(text: str) -> str:
    return {"+": "for", words.MINUS: "against"}.get(text[:1], "even")


def _ground(weighing: Weighing, line: AccountLine, ways: Ways) -> Link | None:
    return ways.to(line.ref) if line.ref and line.ref != weighing.question else None
