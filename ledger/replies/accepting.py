"""Accepting a reply: the decision kept and its files written, whole or not at all, and nothing written over.

The decision comes first. A run that is cut off between it and the files leaves an accepted reply without files, which
is then accepted again under the same names.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from contextlib import ExitStack, suppress
from dataclasses import dataclass, replace
from pathlib import Path

from ledger.entries.models import Source
from ledger.errors import Fault, FaultsFound
from ledger.replies.composing import Wanted, compose
from ledger.replies.document import ReplyDocument
from ledger.replies.received import Received, Reply
from ledger.replies.surroundings import ENTRIES, Surroundings, surroundings

NEW = "new"


@dataclass(frozen=True)
class Accepted:
    """What accepting a reply wrote, as paths below the investigation's folder, and what a person should know."""

    id: str
    written: tuple[str, ...]
    notes: tuple[str, ...]


def accept(root: Path, store: Received, start: str, wanted: Wanted, at: str) -> Accepted:
    """Accept the received reply whose id begins so.

    Raises NotInLedger, and FaultsFound where it was accepted or forgotten before or posting would be refused.
    """
    reply = store.find(start)
    around = surroundings(root)
    before = _begun(root, reply, around)
    assert reply.document is not None
    wanted, notes = _with_source(wanted, reply.document, store, around)
    composed = compose(reply.document, reply.day, around, wanted, before)
    left = {path: text for path, text in composed.files.items() if not _is_there(root, path, around)}
    faults = [fault for path in left if (fault := _in_the_way(root, path))]
    if faults:
        raise FaultsFound(faults)
    with store.writing():
        store.decide(reply.id, "accepted", at, entries=sorted({*before, *composed.files}))
    try:
        write_new(root, left)
    except BaseException:  # also on an interruption, which goes on up
        # A decision must not outlive files that could not be written, nor files their decision: they would come twice.
        if not all((root / path).exists() for path in left):
            with store.writing():
                store.undo(reply.id)
        raise
    if reply.day > at[:10]:
        notes = (*notes, f"Its day, {reply.day}, is still to come: mend `date`.")
    return Accepted(reply.id, tuple(sorted(left)), (*notes, *composed.notes))


def _begun(root: Path, reply: Reply, around: Surroundings) -> tuple[str, ...]:
    """Return the paths of an accepting that did not come to its end; none where there was none."""
    shown = f"reply {reply.id}"
    if reply.document is None:
        given = f"a reply that was forgotten on {(reply.decided or '')[:10]}"
        raise FaultsFound([Fault(shown, 0, "", given, "one whose words are there", "Its words cannot be had again.")])
    if reply.state != "accepted":
        return ()
    if all(_is_there(root, path, around) for path in reply.entries):
        given = f"a reply that was accepted on {(reply.decided or '')[:10]}"
        remedy = f"Edit {', '.join(reply.entries)}."
        raise FaultsFound([Fault(shown, 0, "", given, "one that was not accepted yet", remedy)])
    return reply.entries


def _is_there(root: Path, path: str, around: Surroundings) -> bool:
    """Return whether a file is there, or is an entry of the record without its file."""
    place, folder, name = path.removesuffix(".md").split("/")
    return (root / path).exists() or (place == ENTRIES and f"{folder}/{name}" in around.recorded)


def _with_source(
    wanted: Wanted, document: ReplyDocument, store: Received, around: Surroundings
) -> tuple[Wanted, tuple[str, ...]]:
    """Return what is wanted, with the source that the same reader has already: one person is one witness."""
    if wanted.source == NEW:
        return replace(wanted, source=None), ()
    if wanted.source is not None or document.credited is None:
        return wanted, ()
    mine = " ".join(document.credited.casefold().split())
    for paths in store.accepted().values():
        for path in paths:
            ref = path.removesuffix(".md").partition("/")[2]
            present = around.present(ref) if ref.startswith("sources/") else None
            entry = around.entry(present) if present else None
            if isinstance(entry, Source) and " ".join(entry.author.casefold().split()) == mine:
                note = (
                    f"{document.credited} has a source already: {present}. Another person of that name: `--source new`."
                )
                return replace(wanted, source=present), (note,)
    return wanted, ()


def _in_the_way(root: Path, path: str) -> Fault | None:
    """Return what forbids to write a new file: it must lie where it seems to lie."""
    file = root / path
    for above in (file, *file.parents[: len(Path(path).parts) - 1]):
        if above.is_symlink() or (above != file and above.exists() and not above.is_dir()):
            return Fault(
                path, 0, "file", "a link or a file in its place", "a folder of its own", "Take it out of the way."
            )
    return None


def write_new(root: Path, files: Mapping[str, str]) -> None:
    """Write new files, all of them or none. Raises FileExistsError where one is there, and leaves it as it is."""
    with ExitStack() as folders, ExitStack() as after, ExitStack() as undo:
        ready: list[tuple[Path, Path]] = []
        for path, text in files.items():
            file = root / path
            _make_folders(root, file.parent, folders)
            beside = file.with_name(f".{file.name}.part")
            after.callback(_tidy, beside)
            beside.write_bytes(text.encode())
            ready.append((beside, file))
        for beside, file in ready:
            undo.callback(_take_away, file, beside)
            os.link(beside, file)
        undo.pop_all()
        folders.pop_all()


def _tidy(beside: Path) -> None:
    """Take an unfinished file away. What cannot be is left: it begins with a dot, and is never read as an entry."""
    with suppress(OSError):
        beside.unlink()


def _take_away(file: Path, beside: Path) -> None:
    """Take a new file away, if it was made from this one; another's of that name stays."""
    with suppress(FileNotFoundError):
        if file.samefile(beside):
            file.unlink()


def _make_folders(root: Path, folder: Path, undo: ExitStack) -> None:
    missing = [one for one in (folder, *folder.parents) if one != root and root in one.parents and not one.exists()]
    for one in reversed(missing):
        one.mkdir()
        undo.callback(_remove, one)


def _remove(folder: Path) -> None:
    with suppress(OSError):  # One that holds other files stays.
        folder.rmdir()
