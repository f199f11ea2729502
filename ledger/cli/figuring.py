"""The command that makes a figure for a talk or a post: figure."""

from __future__ import annotations

import os
import re
import tempfile
from dataclasses import replace
from pathlib import Path
from typing import Annotated

import typer

from ledger.casebook.items import Edition
from ledger.casebook.opening import open_casebook
from ledger.cli.place import HERE, Folder, Place, find
from ledger.cli.telling import Terminal, computing
from ledger.errors import Fault, FaultsFound, WitnessError, of_command

console = Terminal(highlight=False, soft_wrap=True)
LEAST, MOST = 320, 7680
FORMS = (".png", ".svg")
_SIZE = re.compile(r"(\d{1,6})\s*[x×]\s*(\d{1,6})", re.IGNORECASE)


def figure(
    ref: Annotated[
        str,
        typer.Argument(
            help="What to show: `evidence/NAME`, `measurements/NAME` or `sources/NAME` with marks on a picture, "
            "`questions/NAME` (`#course` for its confidences over time), `calculations/NAME` (`#OUTPUT` for one of its "
            "drawings), `decisions/NAME` for what it stands on.",
            metavar="REF",
        ),
    ],
    out: Annotated[
        Path | None,
        typer.Option("--out", help="The file, .png or .svg; without it a PNG named after REF.", metavar="FILE"),
    ] = None,
    size: Annotated[str, typer.Option(help="Breadth and height in pixels.")] = "1920x1080",
    dark: Annotated[bool, typer.Option("--dark", help="Light on dark.")] = False,
    over: Annotated[bool, typer.Option("--replace", help="Write over a file that is there.")] = False,
    folder: Folder = HERE,
) -> None:
    """Make one photograph, comparison or drawing into a picture for a talk or a post, with credit and edition.

    A picture whose rights do not allow publication is left blank: its marks and its credit are shown. No file carries
    metadata.
    """
    from ledger.publishing.figuring.sheet import sheet
    from ledger.publishing.figuring.subjects import subject
    from ledger.store import derived
    from ledger.store.engine import open_store

    place = find(folder)
    target = out if out is not None else Path(f"{re.sub('[/#]', '-', ref)}.png")
    pixels, faults = _read(size, target, over, place)
    if faults:
        raise FaultsFound(faults)
    with computing(console) as progress:
        casebook = open_casebook(place.root, progress=progress)
    number = derived.numbered(open_store(place.store, create=False))
    casebook = replace(casebook, edition=Edition(number, casebook.edition.fingerprint))
    drawn = sheet(casebook, subject(casebook, ref, place.root), pixels, dark)
    _write(target, _content(target, drawn))
    console.print(f"{target} written, {pixels[0]} by {pixels[1]} pixels.", markup=False)


def _content(target: Path, svg: str) -> bytes:
    if target.suffix.lower() == ".svg":
        return svg.encode()
    from ledger.publishing.figuring.raster import png

    return png(svg)


def _read(size: str, target: Path, over: bool, place: Place) -> tuple[tuple[int, int], list[Fault]]:
    """Return the size asked for, and everything wrong with size and file."""
    faults = []
    found = _SIZE.fullmatch(size.strip())
    pixels = (int(found[1]), int(found[2])) if found else (0, 0)
    if not all(LEAST <= one <= MOST for one in pixels):
        expected = f"breadth x height, each {LEAST} to {MOST} pixels"
        faults.append(of_command("--size", f"`{size}`", expected, "For a slide: 1920x1080."))
    if target.suffix.lower() not in FORMS:
        faults.append(of_command("--out", f"`{target.name}`", "a name ending in .png or .svg", "Add the ending."))
    if target.resolve().is_relative_to(place.entries.resolve()):
        remedy = "Name a file beside that folder."
        faults.append(Fault(str(target), 0, "--out", "a file among the entry files", "a place of its own", remedy))
    elif os.path.lexists(target) and not (over and target.is_file() and not target.is_symlink()):
        remedy = "Name another file, or add `--replace`." if target.is_file() else "Name another file."
        faults.append(Fault(str(target), 0, "--out", "something that is there already", "a new file", remedy))
    if not target.parent.is_dir():
        faults.append(Fault(str(target), 0, "--out", "a folder that is not there", "a folder", "Make it first."))
    return pixels, faults


def _write(target: Path, content: bytes) -> None:
    """Put the whole file into place, or nothing."""
    try:
        with tempfile.NamedTemporaryFile(dir=target.parent, prefix=".figure-", delete=False) as file:
            scratch = Path(file.name)
            file.write(content)
        try:
            scratch.chmod(0o644)
            os.replace(scratch, target)
        finally:
            scratch.unlink(missing_ok=True)
    except OSError as error:
        raise WitnessError(
            f"{target} cannot be written: {error.strerror}. See to its permissions and the free space; nothing was "
            "written."
        ) from error
