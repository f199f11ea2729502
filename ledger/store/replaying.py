"""Taking in `history.jsonl`: the whole past into an empty store, or what a store has not seen yet.

Every line is verified against the one before it and against its own words before anything is written. A history that
branches off from the store's is refused: two pasts cannot be joined.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection, insert, select

from ledger.entries.models import FOLDERS
from ledger.entries.reading import HISTORY, read_text
from ledger.errors import FaultsFound
from ledger.store.chain import START, Link
from ledger.store.histories import REMEDY, Line, Published, history_fault, history_lines, tail
from ledger.store.recording import Chain, ref_of, rename, stand, stand_erased
from ledger.store.records import last
from ledger.store.tables import EDITION, ENTRY, REVISION


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
        replayed = _Replay(connection, file, seq, head).run(history_lines(content.splitlines(), file))
    elif newest is not None:
        require_same_past(connection, newest, file)
    _add_editions(connection, editions, file)
    return replayed


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
        seq, previous, ended = 0, START, False
        for line in lines:
            if not isinstance(line.said, Link):
                ended = True
            elif ended:
                raise self._refuse(line.number, "line", "a revision after an edition", "the editions last")
            else:
                seq += 1
                if wrong := line.said.faults(seq, previous):
                    raise history_fault(
                        self.file, line.number, "hash", wrong[0], "the chain as it was exported", REMEDY
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
        return history_fault(self.file, number, field, given, expected, REMEDY)


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
