"""Posting as commands do it: what changed goes into the record, and what became of each entry is said."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from contextlib import suppress
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from ledger.cli.place import Place, now
from ledger.cli.telling import Terminal
from ledger.errors import PhotoRefused

if TYPE_CHECKING:
    from ledger.store.posting import Report

console = Terminal(highlight=False, soft_wrap=True)
LISTED = 8


def post_and_report(
    place: Place, store_path: Path | None = None, quiet: bool = False, only: Collection[str] | None = None
) -> Report:
    """Post what changed in the entry files; return and, unless quiet, print what became of each."""
    from ledger.building.before_posting import check_changed
    from ledger.store.engine import open_store
    from ledger.store.posting import post as post_entries

    rules = partial(check_changed, place.root)
    report = post_entries(open_store(store_path or place.store), place.entries, now(), rules, only)
    if not quiet:
        _print_report(report)
        refs = (*report.new, *report.revised)
        for told in (*_unlike_their_picks(place, refs), *_unread_originals(place, refs)):
            console.print(f"look at {told}", markup=False)
    return report


def _unlike_their_picks(place: Place, refs: Iterable[str]) -> Iterator[str]:
    """Yield what is to be said of measurements just posted whose quantity is not what their picks give.

    Recordings take seconds to listen to, and are left to `witness check`.
    """
    names = [ref for ref in refs if ref.startswith("measurements/")]
    if not names:
        return
    from ledger.casebook.measuring import unlike_its_picks
    from ledger.entries.models import Measurement, Source
    from ledger.photo.methods import REGISTER as METHODS
    from ledger.store.engine import open_store
    from ledger.store.records import current

    known = current(open_store(place.store))
    for ref in names:
        entry = Measurement.model_validate(known[ref].front)
        if entry.picked is None or METHODS[entry.picked.by].medium != "photograph":
            continue
        there = known.get(entry.source)
        source = Source.model_validate(there.front) if there is not None else None
        with suppress(PhotoRefused):
            if told := unlike_its_picks(ref, entry, source, place.root):
                yield told


def _unread_originals(place: Place, refs: Iterable[str]) -> Iterator[str]:
    """Yield which files of sources just posted are not there, or cannot be read as what they are."""
    names = [ref for ref in refs if ref.startswith("sources/")]
    if not names:
        return
    from ledger.casebook.originals import unread
    from ledger.entries.models import Source
    from ledger.store.engine import open_store
    from ledger.store.records import current

    known = current(open_store(place.store))
    for ref in sorted(known.keys() & set(names)):
        if told := unread(ref, Source.model_validate(known[ref].front), place.root):
            yield told


def _print_report(report: Report) -> None:
    if report.replayed:
        console.print(f"{report.replayed} revisions replayed from entries/history.jsonl", markup=False)
    for old, new in report.renamed:
        console.print(f"renamed    {old} is now {new}", markup=False)
    for name in ("new", "revised", "withdrawn", "restored"):
        refs = getattr(report, name)
        for ref in refs[:LISTED]:
            console.print(f"{name:<10} {ref}", markup=False)
        if len(refs) > LISTED:
            console.print(f"{'':<10} and {len(refs) - LISTED} more", markup=False)
    for warning in report.warnings:
        console.print(f"look at    {warning}", markup=False)
    if report.absent:
        said = ", ".join(report.absent[:LISTED])
        console.print(f"no file    {said}: kept in the ledger; `witness withdraw` takes an entry back", markup=False)
    changed = len(report.new) + len(report.revised) + len(report.withdrawn) + len(report.restored) + len(report.renamed)
    console.print(f"{changed} posted, {len(report.unchanged)} unchanged.")
