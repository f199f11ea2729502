"""The command that takes a decision again: retake."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from ledger.casebook.moments import earliest, latest
from ledger.casebook.opening import open_casebook
from ledger.casebook.values import Casebook
from ledger.cli.place import HERE, Folder, find, now, own_text
from ledger.cli.posting import post_and_report
from ledger.cli.recording import no_entry
from ledger.cli.telling import Terminal
from ledger.entries.document import Document
from ledger.entries.fields import DATE
from ledger.entries.models import Decision
from ledger.errors import FaultsFound, NotInLedger, of_command
from ledger.publishing.addresses import HOME, Ways
from ledger.publishing.staling import flag
from ledger.store.held import held
from ledger.tracing.quoting import present
from ledger.tracing.staleness import stale

console = Terminal(highlight=False, soft_wrap=True)


def retake(
    ref: Annotated[
        str, typer.Argument(help="A decision, as folder/name: `decisions/scale-and-module`.", metavar="REF")
    ],
    reason: Annotated[str, typer.Option(help="Why it is taken again; kept with it as `retaken`.")],
    date: Annotated[str, typer.Option(help="The day, if not today.", metavar="DATE")] = "",
    folder: Folder = HERE,
) -> None:
    """Take a decision again: its file gets the day, the reason and the numbers as they are now, and is posted.

    Change first what else is to change in its file, the choice or the grounds.
    """
    from ledger.entries.reading import read_text
    from ledger.entries.retaking import retaken_text
    from ledger.store.engine import open_store
    from ledger.store.records import current

    place = find(folder)
    records = current(open_store(place.store, create=False))
    if ref in records and records[ref].kind != "decision":
        raise FaultsFound([of_command("REF", f"`{ref}`, of kind {records[ref].kind}", "a decision", "Name one.")])
    if ref not in records:
        raise NotInLedger(no_entry(ref, [one for one, record in records.items() if record.kind == "decision"]))
    before = own_text(place, ref)
    text = records[ref].text if before is None else before
    document = read_text(text, "decisions", records[ref].name)
    casebook = open_casebook(place.root)
    day, said = _day(document, date, reason), _said(casebook, document)
    _tell_before(casebook, ref)
    _tell_numbers(document, said)
    with held(place.store, place.entries, {ref: retaken_text(document, day, reason, said)}):
        post_and_report(place, only={ref})
    _tell_after(place.root, ref)


def _day(document: Document, date: str, reason: str) -> str:
    """Return the day; FaultsFound for one that is no date or before the decision, and for no reason."""
    assert isinstance(document.entry, Decision)
    day, faults = date.strip() or now()[:10], []
    if not reason.strip():
        faults.append(of_command("--reason", "nothing", "why it is taken again", "Say what has changed since."))
    if not DATE.match(day):
        expected = "a date like 2031, 2031-05 or 2031-05-17"
        faults.append(of_command("--date", f"`{day}`", expected, "Write year, month, day with hyphens."))
    elif latest(day) < earliest(document.entry.taken):
        given = f"`{day}`, before it was taken on {document.entry.taken}"
        later = "Leave it out for today." if date.strip() else "Name such a day, or mend `taken` in its file."
        faults.append(of_command("--date", given, "that day or a later one", later))
    if faults:
        raise FaultsFound(faults)
    return day


def _said(casebook: Casebook, document: Document) -> list[str]:
    """Return what every quote says now; FaultsFound for those that are no numbers any more."""
    assert isinstance(document.entry, Decision)
    said, faults = [], []
    for number, quote in enumerate(document.entry.quotes, 1):
        one = present(casebook, quote)
        if one is None:
            field = f"quotes.{number}.of"
            remedy = "Take the quote out of the file, or mend what it names."
            given = f"`{quote.of.text}`, which gives no number now"
            faults.append(document.fault(field, given, "a number to quote", remedy))
        else:
            said.append(one.text)
    if faults:
        raise FaultsFound(faults)
    return said


def _tell_numbers(document: Document, said: list[str]) -> None:
    assert isinstance(document.entry, Decision)
    for quote, text in zip(document.entry.quotes, said, strict=True):
        changed = "" if text == quote.said.text else f" → {text}"
        console.print(f"quotes     {quote.of.text}: {quote.said.text}{changed}", markup=False)


def _tell_before(casebook: Casebook, ref: str) -> None:
    one = stale(casebook).get(ref)
    if one is None or not one.reasons:
        console.print("So far nothing called for it: its grounds are what they were when it was taken.")
    else:
        for reason in flag(casebook, one, Ways(casebook, HOME)).plain:
            console.print(f"since then {reason}", markup=False)


def _tell_after(root: Path, ref: str) -> None:
    casebook = open_casebook(root)
    one = stale(casebook).get(ref)
    for reason in flag(casebook, one, Ways(casebook, HOME)).plain if one is not None else ():
        console.print("[yellow]still[/]      ", end="")
        console.print(reason, markup=False)
