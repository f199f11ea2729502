"""The page of editions, and the feed of them: what each brought, and which confidences it moved."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from html import escape

from ledger.casebook.editions import Change, Published
from ledger.casebook.values import Casebook
from ledger.entries.models import FOLDERS
from ledger.publishing import words
from ledger.publishing.addresses import EDITIONS, HOME, Link, Ways, address
from ledger.publishing.hearing import Heard, heard
from ledger.publishing.rendering import page
from ledger.quantities import percents
from ledger.weighing.values import NONE

FEED = "editions.xml"
HOWS = ("new", "revised", "renamed", "withdrawn", "restored")


@dataclass(frozen=True)
class Moved:
    """How a question's answer went from one edition to the next, in words; `turned` where another rival leads."""

    question: Link
    before: str
    after: str
    turned: bool


@dataclass(frozen=True)
class News:
    """One edition as the page tells it: groups of changed entries under what became of them, and what readers did."""

    number: int
    day: str
    fingerprint: str
    moved: tuple[Moved, ...]
    groups: tuple[tuple[str, tuple[Link, ...]], ...]
    first: bool
    count: int
    heard: Heard | None = None


def editions_page(casebook: Casebook, site: str) -> str:
    """Return the page, the latest edition first; a site with an address has a feed too."""
    ways = Ways(casebook, EDITIONS)
    told = tuple(reversed(tuple(_all(casebook, ways))))
    return page("editions", editions=told, feed=FEED if site else "", again=again(casebook))


def again(casebook: Casebook) -> str:
    """Return what is to be said of a state that has the content of an edition before the latest; empty for others."""
    known, number = casebook.editions(), casebook.edition.number
    if not known or number in (0, known[-1].number):
        return ""
    return f"What stands now is edition {number} again: what later editions brought was taken back."


def feed(casebook: Casebook, site: str) -> bytes:
    """Return the editions as an Atom feed (RFC 4287); `site` is the address of the site, with its last stroke.

    Times are those of the record: an edition is dated by the last revision in it.
    """
    title = next(iter(casebook.of_kind("investigation"))).title
    news = list(zip(casebook.editions(), _all(casebook, Ways(casebook, EDITIONS)), strict=True))
    latest = news[-1][0].at if news else "1970-01-01T00:00:00Z"
    authors = "".join(f"<author><name>{escape(name)}</name></author>" for name in casebook.investigation.by)
    entries = "".join(
        f"<entry><title>Edition {one.number}</title><id>{escape(site)}#edition-{one.number}</id>"
        f'<updated>{one.at}</updated><link href="{escape(site + address(HOME, EDITIONS, f"edition-{one.number}"))}"/>'
        f"<summary>{escape(_summary(told))}</summary></entry>"
        for one, told in reversed(news)
    )
    return (
        '<?xml version="1.0" encoding="utf-8"?>\n'
        f'<feed xmlns="http://www.w3.org/2005/Atom"><title>{escape(title)}</title><id>{escape(site)}</id>'
        f'<updated>{latest}</updated><link href="{escape(site)}"/><link rel="self" href="{escape(site + FEED)}"/>'
        f"{authors}{entries}</feed>\n"
    ).encode()


def latest_moves(casebook: Casebook, ways: Ways) -> tuple[Moved, ...]:
    """Return how answers went with the latest edition: those that moved, and those of new questions."""
    known = casebook.editions()
    return tuple(_moves(known[-2], known[-1], ways)) if len(known) > 1 else ()


def _all(casebook: Casebook, ways: Ways) -> Iterator[News]:
    before: Published | None = None
    for one in casebook.editions():
        yield News(
            number=one.number,
            day=one.at[:10],
            fingerprint=one.fingerprint,
            moved=tuple(_moves(before, one, ways)) if before is not None else (),
            groups=tuple(_groups(one.changes, ways)) if before is not None else (),
            first=before is None,
            count=len(one.changes),
            heard=heard(casebook, ways, before, one),
        )
        before = one


def _groups(changes: tuple[Change, ...], ways: Ways) -> Iterator[tuple[str, tuple[Link, ...]]]:
    for how in HOWS:
        for kind in FOLDERS:
            found = tuple(ways.to(one.ref) for one in changes if one.how == how and one.kind == kind)
            if found:
                yield f"{words.KINDS[kind][1]}, {how}", found


def _moves(before: Published, after: Published, ways: Ways) -> Iterator[Moved]:
    for question in sorted(after.confidences):
        had, has = before.confidences.get(question), after.confidences[question]
        top = max(has, key=lambda rival: (has[rival], rival))
        if had is None:
            yield Moved(ways.to(question), "", _said(top, has[top], ways), False)
            continue
        was = max(had, key=lambda rival: (had[rival], rival))
        stood, stands = _said(was, had[was], ways), _said(top, has[top], ways)
        if stood != stands:
            yield Moved(ways.to(question), stood, stands, was != top)


def _said(rival: str, share: float, ways: Ways) -> str:
    name = "none of these" if rival == NONE else ways.to(rival).words
    return f"{name}, {percents.chance(share)}"


def _summary(news: News) -> str:
    if news.first:
        return f"The first edition: {news.count} entries."
    moved = [
        f"{one.question.words} {one.after}" + (f" (before: {one.before})." if one.before else " (new).")
        for one in news.moved
    ]
    counts = [f"{len(links)} {group.lower()}" for group, links in news.groups]
    return " ".join([*moved, f"Entries: {'; '.join(counts) or 'none changed'}."])
