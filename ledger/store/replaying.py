"""Taking in `history.jsonl`: the whole past into an empty store, or what a store has not seen yet.

Every line is verified against the one before it and against its own words before anything is written. A history that
branches off from the store's is refused: two pasts cannot be joined.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, insert, select

from ledger.entries.models import FOLDERS, NAME
from ledger.entries.reading import HISTORY, read_text
from ledger.errors import Fault, FaultsFound
from ledger.store.chain import START, Link
from ledger.store.recording import Chain, ref_of, rename, stand, stand_erased
from ledger.store.records import last
from ledger.store.tables import ACTIONS, EDITION, ENTRY, REVISION

_TEXT = {field.name for field in fields(Link)} - {"seq", "entry"}
_AT = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ\Z")
_SHA = re.compile(r"[0-9a-f]{64}\Z")
_REMEDY = f"Restore {HISTORY} from a copy; it is written by `witness export` and not by hand."


@dataclass(frozen=True)
class Published:
    """An edition as the history has it."""

    edition: int
    fingerprint: str
    seq: int


@dataclass(frozen=True)
class Line:
    """A line of a history and what it says."""

    number: int
    said: Link | Published


def history_lines(content: bytes, file: str, first: int = 1) -> Iterator[Line]:
    """Read the lines of a history. Raises FaultsFound at the first that is no revision and no edition."""
    for number, raw in enumerate(content.splitlines(), first):
        try:
            said = json.loads(raw)
        except ValueError:
            said = None
        if not isinstance(said, dict):
            raise history_fault(file, number, "line", "no JSON object", "one revision a line", _REMEDY)
        try:
            yield Line(number, _read(said))
        except (TypeError, ValueError) as error:
            given = f"what is no revision ({error})"
            raise history_fault(file, number, "line", given, "one revision a line", _REMEDY) from error


def _read(said: Mapping[str, Any]) -> Link | Published:
    """Return what a line says. Raises TypeError for missing or extra fields, ValueError for values out of bounds."""
    if "edition" in said:
        published = Published(**said)
        if not all(type(whole) is int for whole in (published.edition, published.seq)):
            raise ValueError("an edition has a number and the seq of a revision")
        if not _SHA.match(str(published.fingerprint)):
            raise ValueError("an edition has a fingerprint")
        return published
    link = Link(**said)
    wrong = [name for name in ("seq", "entry") if type(said.get(name)) is not int]
    wrong += sorted(name for name in _TEXT if said.get(name) is not None and type(said[name]) is not str)
    wrong += [name for name, known in (("kind", FOLDERS), ("action", ACTIONS)) if said[name] not in known]
    wrong += [
        name
        for name, form in (("name", NAME), ("at", _AT), ("previous", _SHA), ("hash", _SHA))
        if not form.match(str(said[name]))
    ]
    if (link.salt is None) != (link.text is None) or (link.digest is None) != (link.action == "erased"):
        wrong.append("text")
    if wrong:
        raise ValueError(f"`{wrong[0]}` is out of bounds")
    return link


@dataclass(frozen=True)
class Replayed:
    """How many revisions a replay added, and whether it took words away that the store still had."""

    revisions: int = 0
    erased: bool = False


def catch_up(connection: Connection, entries_dir: Path) -> Replayed:
    """Replay what `history.jsonl` has and the store lacks.

    Raises FaultsFound, naming the line, for a history that does not verify or that branches off from the store's.
    """
    path = entries_dir / HISTORY
    if not path.is_file():
        return Replayed()
    content = path.read_bytes()
    file = f"{entries_dir.resolve().name}/{HISTORY}"
    seq, head = last(connection)
    newest, editions = tail(content, file)
    replayed = Replayed()
    if newest is not None and newest.seq > seq:
        replayed = _Replay(connection, file, seq, head).run(history_lines(content, file))
    elif newest is not None:
        require_same_past(connection, newest, file)
    _add_editions(connection, editions, file)
    return replayed


def tail(content: bytes, file: str) -> tuple[Link | None, list[Line]]:
    """Return the last revision of a history and the editions after it, without reading the rest."""
    editions: list[Line] = []
    raws = content.splitlines()
    for number in range(len(raws), 0, -1):
        (line,) = history_lines(raws[number - 1], file, number)
        if isinstance(line.said, Link):
            return line.said, editions[::-1]
        editions.append(line)
    return None, editions[::-1]


def require_same_past(connection: Connection, newest: Link, file: str) -> None:
    """Raise FaultsFound unless the store's chain goes through that revision."""
    if connection.scalar(select(REVISION.c.hash).where(REVISION.c.seq == newest.seq)) != newest.hash:
        raise history_fault(
            file,
            0,
            "hash",
            f"another revision {newest.seq} than the store's",
            "the past that the store has",
            f"Two pasts cannot be joined: keep {HISTORY} and move the store away, or restore {HISTORY} as it was.",
        )


class _Replay:
    """One replay: lines in, links verified and collected, then written and stood up."""

    def __init__(self, connection: Connection, file: str, seq: int, head: str) -> None:
        self.connection, self.file, self.start, self.head = connection, file, seq, head
        self.chain = Chain(connection)
        self.refs = {row.id: row.ref for row in connection.execute(select(ENTRY.c.id, ENTRY.c.ref))} if seq else {}
        self.taken = {ref: entry for entry, ref in self.refs.items()}
        self.latest: dict[int, Line] = {}
        self.erased: dict[int, Link] = {}
        self.wordless: dict[int, int] = {}
        self.renames: list[tuple[int, str, str]] = []

    def run(self, lines: Iterable[Line]) -> Replayed:
        """Verify every line, and write what the store lacks."""
        seq, previous = 0, START
        for line in lines:
            if isinstance(line.said, Link):
                seq += 1
                if wrong := line.said.faults(seq, previous):
                    raise history_fault(
                        self.file, line.number, "hash", wrong[0], "the chain as it was exported", _REMEDY
                    )
                previous = line.said.hash
                if seq == self.start and previous != self.head:
                    require_same_past(self.connection, line.said, self.file)
                if seq > self.start:
                    self._take(line, line.said)
        for entry, number in self.wordless.items():
            if entry not in self.erased:
                raise self._refuse(number, "text", "no words, and no erasure after it", "the words of the revision")
        self.chain.write()
        self._stand()
        return Replayed(len(self.chain.added), bool(self.start and self.erased))

    def _take(self, line: Line, link: Link) -> None:
        """Accept a link if its story holds: entries begin once, keep their kind, and never take each other's names."""
        ref, before = ref_of(link.kind, link.name), self.refs.get(link.entry)
        if (link.action == "new") != (link.entry == link.seq) or (link.action == "new") != (before is None):
            raise self._refuse(
                line.number, "action", f"{link.action} of entry {link.entry}", "an entry that begins once"
            )
        if before is not None and (ref != before) != (link.action == "renamed"):
            raise self._refuse(
                line.number, "name", f"{before} becoming {ref} by `{link.action}`", "names that change by renaming"
            )
        if self.taken.get(ref, link.entry) != link.entry or (before and before.partition("/")[0] != FOLDERS[link.kind]):
            raise self._refuse(line.number, "name", ref, "a name no other entry had, in the folder of its kind")
        if link.entry in self.erased:
            raise self._refuse(line.number, "action", f"{link.action} after erasure", "nothing after an erasure")
        if before is not None and ref != before:
            self.renames.append((link.entry, before, ref))
        if link.action == "erased":
            self.erased[link.entry] = link
        elif link.text is None:
            self.wordless.setdefault(link.entry, line.number)
        self.refs[link.entry], self.taken[ref], self.latest[link.entry] = ref, link.entry, line
        self.chain.append(link)

    def _stand(self) -> None:
        documents, latest = {}, {}
        for entry, line in self.latest.items():
            if entry in self.erased or not isinstance(line.said, Link) or line.said.text is None:
                continue
            folder = FOLDERS[line.said.kind]
            try:
                documents[entry] = read_text(line.said.text, folder, line.said.name)
            except FaultsFound as found:
                remedy = "Export again with the program that posted it, or mend the entry there first."
                raise history_fault(
                    self.file, line.number, "text", f"words that are no entry ({found.faults[0]})", "an entry", remedy
                ) from found
            latest[entry] = line.said.seq
        stand_erased(self.connection, self.erased.values())
        stand(self.connection, documents, latest)
        for rename_of in self.renames:
            rename(self.connection, *rename_of)

    def _refuse(self, number: int, field: str, given: str, expected: str) -> FaultsFound:
        return history_fault(self.file, number, field, given, expected, _REMEDY)


def _add_editions(connection: Connection, editions: list[Line], file: str) -> None:
    """Take in the editions the store lacks; a number that means other content here is refused."""
    known = {row.number: row for row in connection.execute(select(EDITION))}
    seq, _ = last(connection)
    for line in editions:
        said = line.said
        assert isinstance(said, Published)
        have = known.get(said.edition)
        if have is not None and have.fingerprint == said.fingerprint:
            continue
        elsewhere = any(row.fingerprint == said.fingerprint for row in known.values())
        if have is not None or elsewhere or said.edition != len(known) + 1 or not 1 <= said.seq <= seq:
            raise history_fault(
                file,
                line.number,
                "edition",
                f"edition {said.edition} of other content",
                "the editions that the store has",
                f"Publish from one store: keep {HISTORY} and move the store away, or restore {HISTORY}.",
            )
        row = {"number": said.edition, "fingerprint": said.fingerprint, "seq": said.seq}
        connection.execute(insert(EDITION), row)
        known = {each.number: each for each in connection.execute(select(EDITION))}


def history_fault(file: str, line: int, field: str, given: str, expected: str, remedy: str) -> FaultsFound:
    """Return the refusal of a history."""
    return FaultsFound([Fault(file, line, field, given, expected, remedy)])
