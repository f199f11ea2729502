"""The ledger that a reply is accepted into: its entry files, and every name that is taken."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import select

from ledger.entries.checking import check_ledger
from ledger.entries.document import Document
from ledger.entries.fields import NONE_OF_THESE
from ledger.entries.models import Calculation, Entry, Evidence, Hypothesis, Lookout, Question
from ledger.entries.reading import examine, read_folder, unread
from ledger.errors import Fault
from ledger.store.engine import open_store
from ledger.store.tables import ENTRY, FORMER_NAME

STORE = "witness.sqlite"
ENTRIES, DRAFTS = "entries", "drafts"


@dataclass(frozen=True)
class Surroundings:
    """An investigation as it stands in its files.

    documents  entries by ref, read from their files
    unread     refs of files that have faults
    former     present refs by those that entries had before
    taken      by folder, the names that no new entry may have
    recorded   refs of the entries that the record has
    """

    root: Path
    documents: Mapping[str, Document]
    unread: frozenset[str]
    former: Mapping[str, str]
    taken: Mapping[str, frozenset[str]]
    recorded: frozenset[str] = frozenset()

    def present(self, ref: str) -> str | None:
        """Return the ref by which a standing entry goes that has this one, or had it; None where none does."""
        now = ref if ref in self.documents else self.former.get(ref, "")
        document = self.documents.get(now)
        return now if document is not None and document.standing else None

    def entry(self, ref: str) -> Entry | None:
        """Return what a file says."""
        document = self.documents.get(ref)
        return None if document is None else document.entry

    def question_of(self, ref: str) -> str | None:
        """Return the question that an entry belongs to, where it belongs to just one."""
        entry = self.entry(ref)
        if isinstance(entry, Question):
            return ref
        if isinstance(entry, Hypothesis | Lookout):
            return entry.question
        if isinstance(entry, Calculation):
            return self._common(entry.hypotheses)
        if isinstance(entry, Evidence):
            return self._common(entry.bearing)
        return None

    def rivals(self, question: str) -> list[str]:
        """Return the standing rivals of a question, in order of name."""
        return [
            ref
            for ref, document in sorted(self.documents.items())
            if isinstance(document.entry, Hypothesis) and document.standing and document.entry.question == question
        ]

    def wrong_with(self, texts: Mapping[str, str]) -> list[Fault]:
        """Return what posting would refuse in new entries, given by ref as the texts of their files."""
        added: dict[str, Document] = {}
        faults: list[Fault] = []
        for ref, text in texts.items():
            folder, _, name = ref.partition("/")
            document, wrong = examine(text, folder, name)
            faults += wrong
            if document is not None:
                added[ref] = document
        checked = check_ledger({**self.documents, **added}, added.keys(), self.unread, self.former)
        own = {f"{ENTRIES}/{ref}.md" for ref in texts}
        return [*faults, *(fault for fault in checked.faults if fault.file in own)]

    def _common(self, rivals: Mapping[str, object] | list[str]) -> str | None:
        named = (self.entry(ref) for ref in rivals if ref != NONE_OF_THESE)
        questions = {entry.question for entry in named if isinstance(entry, Hypothesis)}
        return questions.pop() if len(questions) == 1 else None


def surroundings(root: Path) -> Surroundings:
    """Read an investigation's entry files, and what its record knows of names."""
    documents, faults = read_folder(root / ENTRIES)
    taken: dict[str, set[str]] = defaultdict(set)
    former: dict[str, str] = {}
    recorded: set[str] = set()
    known = {document.ref for document in documents} | unread(faults)
    if (root / STORE).exists():
        with open_store(root / STORE, create=False).reading() as connection:
            ids = {row.id: row.ref for row in connection.execute(select(ENTRY.c.id, ENTRY.c.ref))}
            former = {row.ref: ids[row.entry] for row in connection.execute(select(FORMER_NAME))}
        recorded = set(ids.values())
        known |= {*recorded, *former}
    for place in (ENTRIES, DRAFTS):
        known |= {f"{file.parent.name}/{file.stem}" for file in (root / place).glob("*/*.md")}
    for ref in known:
        folder, _, name = ref.partition("/")
        taken[folder].add(name)
    return Surroundings(
        root,
        {document.ref: document for document in documents},
        frozenset(unread(faults)),
        former,
        {folder: frozenset(names) for folder, names in taken.items()},
        frozenset(recorded),
    )
