"""The command that hands the ledger out in forms that others read: out."""

from __future__ import annotations

import json
from dataclasses import asdict, replace
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from ledger.casebook.items import Edition
from ledger.casebook.opening import open_casebook
from ledger.cli.place import HERE, AsJson, Folder, Place, find
from ledger.cli.telling import Terminal, computing, errors, one_of
from ledger.errors import Fault, FaultsFound, StoreDamaged

console = Terminal(highlight=False, soft_wrap=True)


class Form(StrEnum):
    """The forms a ledger is handed out in."""

    ALL = "all"
    JSON = "json"
    CSV = "csv"
    PROV = "prov"
    BIBTEX = "bibtex"
    CSL = "csl"


def out(
    target: Annotated[Path, typer.Argument(help="The folder to write into, there or not.", metavar="DIR")],
    form: Annotated[
        Form, typer.Option(help="Which form; without it, all of them.", metavar="FORM", parser=one_of(Form))
    ] = Form.ALL,
    folder: Folder = HERE,
    as_json: AsJson = False,
) -> None:
    """Hand out the ledger as it was last posted, in forms that other programs read.

    json: the whole ledger, with its JSON Schema. csv: tables. prov: where everything comes from, as W3C PROV-JSON.
    bibtex, csl: the sources. Replies without their writer's consent, erased words and pictures are in none of them.
    Nothing is written over that was not handed out before.
    """
    from ledger.handing.folder import write_out
    from ledger.handing.forms import FORMS, handed_out
    from ledger.store import derived
    from ledger.store.engine import open_store
    from ledger.store.records import links
    from ledger.store.verifying import verify

    place = find(folder)
    _require_apart(target, place)
    store = open_store(place.store, create=False)
    if not (verified := verify(store)).sound:
        raise StoreDamaged("\n".join(["Nothing was written.", *map(str, verified.problems)]))
    with computing(errors, quiet=as_json) as progress:
        casebook = open_casebook(place.root, progress=progress)
    casebook = replace(casebook, edition=Edition(derived.numbered(store), casebook.edition.fingerprint))
    with store.reading() as connection:
        history = tuple(links(connection))
    forms = tuple(FORMS) if form is Form.ALL else (form.value,)
    done = write_out(target, handed_out(casebook, history, forms))
    if as_json:
        print(json.dumps(asdict(done), indent=2))
        return
    for name in done.written:
        console.print(f"written    {name}", markup=False)
    console.print(f"{len(done.written)} written in {target}, {len(done.unchanged)} were the same.", markup=False)


def _require_apart(target: Path, place: Place) -> None:
    """Refuse the investigation's own folder, its entry files, where whatever lies is an entry, and its pages."""
    there, whole = target.resolve(), place.root.resolve()
    places = {
        "among the entry files": place.entries.resolve(),
        "among the site's own pages": place.config.parent.resolve(),
        "in the published site": whole / "build" / "site",
    }
    within = next((name for name, one in places.items() if there.is_relative_to(one)), "")
    given = "the investigation's own folder" if there == whole else within and f"a folder {within}"
    if given:
        remedy = "Name one beside it, such as `build/handed-out`."
        raise FaultsFound([Fault(str(target), 0, "", given, "a folder of its own", remedy)])
