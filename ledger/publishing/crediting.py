"""The page of all sources: who made each, when, what its rights are, and whether it is shown."""

from __future__ import annotations

from dataclasses import dataclass

from ledger.casebook.items import Item
from ledger.casebook.values import Casebook
from ledger.entries.models import FOLDERS, Evidence, Measurement, Source
from ledger.publishing import listing, words
from ledger.publishing.addresses import Link, Ways, section_of
from ledger.publishing.media.own_files import shown_here
from ledger.publishing.rendering import page


@dataclass(frozen=True)
class Credited:
    """One source: its link, who made it and when, its rights, whether it is shown, its grade, and what came of it.

    origin  the source that it retells, if it does
    """

    link: Link
    credit: str
    rights: str
    shown: str
    grade: str
    told: str
    origin: Link | None


def sources_page(casebook: Casebook) -> str:
    """Return the page of sources, in order of their titles."""
    ways = Ways(casebook, section_of(FOLDERS["source"]))
    _, plural, purpose = words.KINDS["source"]
    rows = sorted((_credited(casebook, item, ways) for item in casebook.of_kind("source")), key=_by_title)
    gone = listing.withdrawn(casebook, "source", ways)
    return page("sources", title=plural, purpose=purpose, rows=rows, withdrawn=gone)


def _by_title(one: Credited) -> tuple[str, str]:
    return one.link.words.casefold(), one.link.href or ""


def _credited(casebook: Casebook, item: Item, ways: Ways) -> Credited:
    source = item.entry
    assert isinstance(source, Source)
    users = [
        other.entry
        for ref in casebook.used_by.get(item.ref, ())
        if (other := casebook.entries.get(ref)) is not None and isinstance(other.entry, Evidence | Measurement)
    ]
    notes = sum(isinstance(one, Evidence) and one.source == item.ref for one in users)
    measured = sum(isinstance(one, Measurement) and one.source == item.ref for one in users)
    return Credited(
        link=ways.to(item.ref),
        credit=words.made_by(source),
        rights=source.rights,
        shown=_shown(source),
        grade=words.reliability(source.reliability),
        told=", ".join(words.count(many, one) for many, one in ((notes, "note"), (measured, "measurement")) if many),
        origin=ways.to(source.origin) if source.origin is not None else None,
    )


def _shown(source: Source) -> str:
    """Return whether a source's own picture, sound or text may be shown here."""
    if not source.publishable:
        return "no: not cleared for publication"
    return "yes" if shown_here(source) else "nothing of it is kept here"
