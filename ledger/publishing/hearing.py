"""What an edition has from readers: replies accepted into it, entries that came of them, confidences that moved."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from ledger.casebook.consent import published
from ledger.casebook.editions import Change, Published
from ledger.casebook.items import Item
from ledger.casebook.values import Casebook
from ledger.entries.models import Evidence, Reply, Source
from ledger.publishing import fields, words
from ledger.publishing.addresses import Link, Ways
from ledger.publishing.replying.section import questions_of
from ledger.quantities import percents

NOTICED = 0.005  # of a confidence: what rounds to no whole point is no news
FROM_A_READER = "reply "  # how the locator of a source begins that accepting a reply made


@dataclass(frozen=True)
class Came:
    """An entry that came of a reply, and what became of it in this edition: `evidence note, new`."""

    link: Link
    told: str


@dataclass(frozen=True)
class Voice:
    """One reply: who and with what stance, what about, and what came of it in this edition.

    about  None for a reply that is not published, of which nothing is told but what came of it
    """

    link: Link
    who: str
    stance: str
    about: Link | None
    came: tuple[Came, ...]


@dataclass(frozen=True)
class Shift:
    """The confidences of a question that moved since the edition before, in words: `Drum 34 % → 38 %`."""

    question: Link
    moved: tuple[str, ...]


@dataclass(frozen=True)
class Heard:
    """What readers brought to an edition.

    told    how many replies were accepted into it, and how many entries came of these and older ones
    voices  replies accepted into it, and older ones of which something came in it
    shifts  of the questions that these are about; None where there is no edition before, or nothing to compare
    """

    told: str
    voices: tuple[Voice, ...]
    shifts: tuple[Shift, ...] | None


def heard(casebook: Casebook, ways: Ways, before: Published | None, one: Published) -> Heard | None:
    """Return what an edition has from readers; None where it has nothing. What was erased since is not told of."""
    new = {change.ref for change in one.changes if change.kind == "reply" and change.how == "new"}
    of: dict[str, list[Change]] = {ref: [] for ref in new}
    for change in one.changes:
        for ref in change.heard:
            of.setdefault(ref, []).append(change)
    known = {ref: item for ref in sorted(of) if (item := _item(casebook, ref)) is not None}
    if not known:
        return None
    sources = {change.ref for change in one.changes if change.kind == "source" and change.how == "new"}
    voices = tuple(_voice(item, tuple(_came(casebook, of[ref], sources, ways)), ways) for ref, item in known.items())
    entries = {change.ref for ref in known for change in of[ref]}
    # What a reply is about that is not published is not told either.
    about = {item.entry.about for item in known.values() if isinstance(item.entry, Reply) and published(item)}
    came = len({came.link for voice in voices for came in voice.came})
    fresh = len(new & known.keys())
    told = [words.count(fresh, "new reply", "new replies")] * bool(fresh)
    told += [words.count(came, "entry", "entries") + " that came of replies"] * bool(came)
    return Heard(
        ", ".join(told),
        voices,
        shifts=None if before is None else tuple(_shifts(casebook, entries | about, before, one, ways)),
    )


def _item(casebook: Casebook, ref: str) -> Item | None:
    return casebook.entries.get(ref) or casebook.withdrawn.get(ref)


def _voice(item: Item, came: tuple[Came, ...], ways: Ways) -> Voice:
    entry = item.entry
    assert isinstance(entry, Reply)
    if not published(item):
        return Voice(ways.to(item.ref), "", "", None, came)
    about = ways.to(entry.about)
    return Voice(ways.to(item.ref, "reply"), entry.name or "A reader", fields.STANCES[entry.stance], about, came)


def _came(casebook: Casebook, changes: list[Change], sources: set[str], ways: Ways) -> Iterator[Came]:
    """Yield what came of a reply, a note with the source that the reader became for it."""
    for change in changes:
        yield Came(ways.to(change.ref), f"{words.KINDS[change.kind][0].lower()}, {change.how}")
        item = _item(casebook, change.ref)
        if item is None or not isinstance(item.entry, Evidence) or item.entry.source not in sources:
            continue
        source = _item(casebook, item.entry.source)
        if source is not None and isinstance(source.entry, Source):
            locator = source.entry.locator or ""
            if locator.startswith(FROM_A_READER):
                yield Came(ways.to(source.ref), "source, new")


def _shifts(casebook: Casebook, refs: set[str], before: Published, one: Published, ways: Ways) -> Iterator[Shift]:
    items = (item for ref in sorted(refs) if (item := _item(casebook, ref)) is not None)
    for question in sorted({question for item in items for question in questions_of(casebook, item)}):
        had, has = before.confidences.get(question), one.confidences.get(question)
        if had is None or has is None:
            continue
        ordered = sorted(had.keys() | has.keys(), key=lambda rival: (-has.get(rival, 0.0), rival))
        moved = tuple(said for rival in ordered if (said := _moved(rival, had, has, ways)))
        if moved:
            yield Shift(ways.to(question), moved)


def _moved(rival: str, had: Mapping[str, float], has: Mapping[str, float], ways: Ways) -> str:
    """Return how a confidence went, or nothing where it stayed or would be said in the same words."""
    was, now = (percents.chance(shares[rival]) if rival in shares else "none" for shares in (had, has))
    stayed = was == now or abs(had.get(rival, 0.0) - has.get(rival, 0.0)) < NOTICED
    return "" if stayed else f"{ways.to(rival).words} {was} → {now}"
