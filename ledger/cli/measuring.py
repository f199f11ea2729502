"""The command that measures from an entry's picks: measure."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Annotated, Any

import typer
from rich.markup import escape
from rich.table import Table

from ledger.cli.place import HERE, AsJson, Folder, Place, find
from ledger.cli.telling import Terminal
from ledger.errors import Fault, FaultsFound, NotInLedger, PhotoRefused, nearest, of_command
from ledger.quantities import percents
from ledger.quantities.notation import Z95
from ledger.store.whole import write_whole

if TYPE_CHECKING:
    from ledger.entries.document import Document
    from ledger.entries.models import Measurement, Source
    from ledger.photo.declaring import Found, Method

console = Terminal(highlight=False, soft_wrap=True)
FOLDER = "measurements"
UNLIKE = 1


def measure(
    ref: Annotated[str, typer.Argument(help="A measurement with picks: `measurements/hub-width`, or `hub-width`.")],
    write: Annotated[bool, typer.Option("--write", help="Write the quantity into the entry's file.")] = False,
    folder: Folder = HERE,
    as_json: AsJson = False,
) -> None:
    """Measure from an entry's picks: the quantity they give, its interval, and what its uncertainty comes from.

    Exits with 1 where the entry says something else.
    """
    from ledger.casebook.measuring import measured_anew
    from ledger.entries.filling import with_field
    from ledger.entries.models import Measurement
    from ledger.photo.methods import REGISTER
    from ledger.photo.telling import agrees, quantity_text

    place = find(folder)
    name = ref.removeprefix(f"{FOLDER}/")
    text = _text(place, name)
    document, told = _read(text, name)
    entry = document.entry
    assert isinstance(entry, Measurement)
    if entry.picked is None and not entry.combines:
        remedy = "Mark them with `witness bench`, or write `picked:` as the entry of another measurement does."
        raise FaultsFound([document.fault("picked", "a measurement without `picked`", "picks to measure by", remedy)])
    beside = _source(place, entry.source)
    source = _as_source(beside)
    if entry.combines:
        found = _combined(place, f"{FOLDER}/{name}", entry)
    else:
        _refuse(document, beside, place)
        found = measured_anew(entry, source, place.root)
    given = quantity_text(found)
    same = told and agrees(found, entry.quantity)
    if write and not same:
        new = with_field(text, FOLDER, name, "quantity", given)
        write_whole(place.entries / FOLDER / f"{name}.md", new.encode())
    if as_json:
        print(json.dumps(_plain(f"{FOLDER}/{name}", entry, found, told, same), ensure_ascii=False, indent=2))
        if told and not same and not write:
            raise typer.Exit(UNLIKE)
        return
    if entry.picked is None:
        console.print(f"[bold]{escape(entry.title)}[/]: {escape(given)}")
        for note in found.notes:
            console.print(note, markup=False)
    else:
        _print(REGISTER[entry.picked.by], entry, found, given)
        _hint(place, entry, source, REGISTER[entry.picked.by])
    if same:
        console.print(f"The entry agrees: {entry.quantity.text}.", markup=False)
    elif write:
        console.print(f"Written into entries/{FOLDER}/{name}.md; `witness post` posts it.", markup=False)
    else:
        said = f"The entry says {entry.quantity.text}" if told else "The entry has no quantity yet"
        console.print(f"{said}. `witness measure {name} --write` writes what the picks give.", markup=False)
    if told and not same and not write:
        raise typer.Exit(UNLIKE)


def _combined(place: Place, ref: str, entry: Measurement) -> Found:
    """Return the parts of a measurement as one; the parts are taken from the ledger as it was posted."""
    from ledger.casebook.combined import as_found, combined_anew
    from ledger.casebook.items import Item
    from ledger.casebook.opening import open_casebook

    entries = open_casebook(place.root).entries
    itself = Item(ref, "measurement", ref.partition("/")[2], entry, "", 0)
    return as_found(combined_anew(ref, {**entries, ref: itself}, place.root))


def _text(place: Place, name: str) -> str:
    file = place.entries / FOLDER / f"{name}.md"
    known = sorted(one.stem for one in (place.entries / FOLDER).glob("*.md"))
    kind, slash, _ = name.partition("/")
    if slash:
        remedy = "Notes, sources and all other kinds have no picks to measure from."
        raise FaultsFound([of_command("REF", f"`{name}`, one of {kind}/", "a measurement by its name", remedy)])
    if name not in known:
        near = nearest(name, known)
        said = f"Nearest: {', '.join(near)}." if near else "`witness export` writes the files of all entries."
        raise NotInLedger(f"There is no file entries/{FOLDER}/{name}.md. {said}")
    try:
        return file.read_bytes().decode()
    except UnicodeDecodeError as error:
        fault = Fault(
            f"entries/{FOLDER}/{name}.md", 0, "file", "bytes that are no text", "text in UTF-8", "Save it so."
        )
        raise FaultsFound([fault]) from error


def _read(text: str, name: str) -> tuple[Document, bool]:
    """Return the document and whether it states a quantity; one that does not is read as if it did."""
    from ledger.entries.filling import with_field
    from ledger.entries.reading import examine, read_text

    document, faults = examine(text, FOLDER, name)
    if [fault.field for fault in faults] == ["quantity"] and document and "quantity" not in document.front:
        return read_text(with_field(text, FOLDER, name, "quantity", 1), FOLDER, name), False
    return read_text(text, FOLDER, name), True


def _source(place: Place, ref: str) -> Document | None:
    """Return the source as its file says it, or else as the record does."""
    from ledger.entries.reading import examine
    from ledger.store.engine import open_store
    from ledger.store.records import current

    file = place.entries / f"{ref}.md"
    folder, _, name = ref.partition("/")
    if file.is_file():
        return examine(file.read_bytes().decode("utf-8", "replace"), folder, name)[0]
    if not place.store.is_file():
        return None
    record = current(open_store(place.store, create=False)).get(ref)
    return examine(record.text, folder, name)[0] if record is not None else None


def _as_source(document: Document | None) -> Source | None:
    from ledger.entries.models import Source

    return document.entry if document is not None and isinstance(document.entry, Source) else None


def _refuse(document: Document, source: Document | None, place: Place) -> None:
    """Raise what is wrong with the picks, all at once; the quantity is about to be told."""
    from ledger.casebook.picking import check_picked
    from ledger.photo.methods import REGISTER

    documents = {one.ref: one for one in (document, source) if one is not None}
    faults = check_picked(REGISTER, documents, {document.ref}, place.root)
    if left := [fault for fault in faults if fault.field != "quantity"]:
        raise FaultsFound(left)


def _plain(ref: str, entry: Measurement, found: Found, told: bool, same: bool) -> dict[str, Any]:
    from ledger.photo.telling import quantity_text

    return {
        "ref": ref,
        "by": "combining" if entry.picked is None else entry.picked.by,
        "quantity": quantity_text(found),
        "stated": entry.quantity.text if told else None,
        "agrees": same,
        "unit": found.unit,
        "estimate": found.estimate,
        "uncertainty": found.uncertainty,
        "low": found.low,
        "high": found.high,
        "parts": dict(found.parts),
        "chances": {str(number): chance for number, chance in found.chances.items()},
        "notes": list(found.notes),
    }


def _print(method: Method, entry: Measurement, found: Found, given: str) -> None:
    from ledger.photo.telling import lopsided

    console.print(f"[bold]{escape(entry.title)}[/]: {escape(given)}")
    unit = f" {found.unit}" if found.unit else ""
    if found.chances:
        table = Table("number", "chance")
        for number, chance in found.chances.items():
            table.add_row(str(number), percents.chance(chance))
        console.print(table)
    else:
        console.print(f"{method.title}; 95 % from {found.low:.4g} to {found.high:.4g}{unit}.", markup=False)
    meanings = dict(method.outputs)
    causes = {cause: part for cause, part in found.parts.items() if part > 1e-9 * max(abs(found.estimate), 1e-9)}
    if causes:
        table = Table("part of the uncertainty", "from", f"95 % half-width{unit and f', in {found.unit}'}")
        for cause, part in sorted(causes.items(), key=lambda one: -one[1]):
            table.add_row(escape(cause), escape(meanings.get(cause, "")), f"{Z95 * part:.2g}")
        console.print(table)
    if lopsided(found):
        console.print("The interval is lopsided: ± covers its wider side.", markup=False)
    for note in found.notes:
        console.print(note, markup=False)


def _hint(place: Place, entry: Measurement, source: Source | None, method: Method) -> None:
    """Say what the picture tells of its camera, where the entry does not."""
    from ledger.casebook.measuring import file_of, picture_of

    assert entry.picked is not None
    name = file_of(entry.picked, source)
    if name is None or method.known("focal") is None or {"focal", "distance"} & entry.picked.known.keys():
        return
    try:
        picture = picture_of(place.root, name)
    except PhotoRefused:
        return
    if picture is not None and picture.focal is not None:
        console.print(
            f"{name} says that its focal length is {picture.focal:g} mm (35 mm-equivalent): "
            f"`focal: {picture.focal:g} ± {0.05 * picture.focal:.1f} mm` under `known` would take that in.",
            markup=False,
        )
