"""Writing the record out: every entry as its file, and the whole past as `history.jsonl`.

What is written can be posted again without any change, and the history replayed into an empty store gives the same
chain. A file that was changed and not posted is never written over, nor is a history with revisions the store lacks:
both are faults, found before anything is written.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection, select

from ledger.entries.reading import HISTORY
from ledger.entries.refusing import link as link_fault
from ledger.errors import Fault, FaultsFound
from ledger.store.chain import Link, digest
from ledger.store.engine import Store
from ledger.store.files import ENDING
from ledger.store.histories import Published, history_fault, tail
from ledger.store.past import damaged, walked
from ledger.store.recording import ref_of
from ledger.store.replaying import require_same_past
from ledger.store.tables import EDITION
from ledger.store.whole import write_whole

_NOT_ALWAYS = ("salt", "text", "reason")


@dataclass(frozen=True)
class Exported:
    """What an export did: refs of files written, left alone, removed under a former name; how many revisions."""

    written: tuple[str, ...]
    unchanged: tuple[str, ...]
    removed: tuple[str, ...]
    revisions: int


def export(store: Store, entries_dir: Path) -> Exported:
    """Write every entry back as the file it was posted from, at its present name, and the history beside them.

    Raises FaultsFound, and writes nothing, where that would lose words that were never posted; StoreDamaged where the
    record does not verify, for files and history beside it may be what it has to be made anew from.
    """
    shown = entries_dir.resolve().name
    with store.reading() as connection:
        past = walked(connection)
        if wrong := past.all_problems():
            raise damaged(wrong, "Nothing was written. `witness check` tells everything that is wrong.")
        editions = [(row.number, row.fingerprint, row.seq) for row in connection.execute(select(EDITION))]
        faults = list(_history_faults(connection, entries_dir / HISTORY, f"{shown}/{HISTORY}"))
    refs = {entry: ref_of(link.kind, link.name) for entry, link in past.latest.items()}
    texts = {entry: None if link.text is None else link.text.encode() for entry, link in past.latest.items()}
    posted: dict[int, list[Link]] = defaultdict(list)
    for link in past.said:
        posted[link.entry].append(link)

    folders = sorted({ref.partition("/")[0] for ref in refs.values()})
    faults += [link_fault(f"{shown}/{folder}") for folder in folders if (entries_dir / folder).is_symlink()]
    write, unchanged, remove = {}, [], []
    for entry, ref in refs.items():
        path, text = entries_dir / f"{ref}{ENDING}", texts[entry]
        there = _bytes(path)
        if there == text:
            unchanged += [ref] if text is not None else []
        elif text is None:
            faults.append(
                _fault(
                    shown,
                    ref,
                    "words that were erased on request",
                    "no file",
                    "Delete the file, or rename it and post it.",
                )
            )
        elif there is None or _was_posted(there, posted[entry]):
            write[ref] = text
        else:
            faults.append(
                _fault(
                    shown,
                    ref,
                    "changes that were not posted",
                    "the file as it was posted",
                    "Post it first, or delete it.",
                )
            )
    for ref, entry in past.former.items():
        there = _bytes(entries_dir / f"{ref}{ENDING}")
        if there is not None and _was_posted(there, posted[entry]):
            remove.append(ref)
        elif there is not None:
            remedy = f"The entry is now `{refs[entry]}`: move the changes there and delete this file, or name it anew."
            faults.append(_fault(shown, ref, "changes that were not posted", "no file under a former name", remedy))
    if faults:
        raise FaultsFound(faults)

    for ref, content in write.items():
        write_whole(entries_dir / f"{ref}{ENDING}", content)
    for ref in remove:
        (entries_dir / f"{ref}{ENDING}").unlink()
    history = b"".join(_history(past.said, editions))
    if _bytes(entries_dir / HISTORY) != history:
        write_whole(entries_dir / HISTORY, history)
    return Exported(tuple(sorted(write)), tuple(sorted(unchanged)), tuple(sorted(remove)), len(past.said))


def _history(past: Iterable[Link], editions: Iterable[tuple[int, str, int]]) -> Iterator[bytes]:
    """Return one JSON line a revision, without what it does not have of salt, text and reason; then one an edition."""
    for link in past:
        yield _line({name: value for name, value in vars(link).items() if value is not None or name not in _NOT_ALWAYS})
    for number, fingerprint, seq in editions:
        yield _line({"edition": number, "fingerprint": fingerprint, "seq": seq})


def _line(said: object) -> bytes:
    return json.dumps(said, ensure_ascii=False, separators=(",", ":")).encode() + b"\n"


def _history_faults(connection: Connection, path: Path, file: str) -> Iterator[Fault]:
    """Refuse to write over a history that goes elsewhere or further than the store."""
    content = _bytes(path)
    if not content:
        return
    try:
        newest, editions = tail(content, file)
        if newest is not None:
            require_same_past(connection, newest, file)
        known = {(row.number, row.fingerprint) for row in connection.execute(select(EDITION))}
        for line in editions:
            assert isinstance(line.said, Published)
            if (line.said.edition, line.said.fingerprint) not in known:
                remedy = "Post first, so that the store takes it in."
                raise history_fault(
                    file, line.number, "edition", "an edition the store lacks", "an edition it has", remedy
                )
    except FaultsFound as found:
        yield from found.faults


def _was_posted(content: bytes, revisions: Iterable[Link]) -> bool:
    return any(link.salt is not None and digest(link.salt, content) == link.digest for link in revisions)


def _bytes(path: Path) -> bytes | None:
    try:
        return path.read_bytes()
    except FileNotFoundError:
        return None


def _fault(shown: str, ref: str, given: str, expected: str, remedy: str) -> Fault:
    return Fault(f"{shown}/{ref}{ENDING}", 0, "file", given, expected, remedy)
