"""The whole ledger as its rules see it: documents by reference, what names what, and the faults found so far."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TypeVar

from ledger.entries.document import Document
from ledger.entries.models import Entry, Hypothesis, Ref
from ledger.entries.references import references
from ledger.errors import Fault

Kind = TypeVar("Kind", bound=Entry)


@dataclass(frozen=True)
class Checked:
    """What the whole-ledger rules found. Faults forbid posting; warnings are for a person to look at."""

    faults: tuple[Fault, ...]
    warnings: tuple[Fault, ...]


class View:
    """Documents by reference, and the rivals of each question; collects faults and warnings.

    unread  refs of files of which nothing can be told; documents with faults of their own are there in part
    former  present refs by former ones, from the record
    before  changed documents as the record has them, by present ref
    """

    def __init__(
        self,
        documents: Mapping[str, Document],
        changed: Iterable[str],
        unread: Iterable[str],
        former: Mapping[str, str],
        before: Mapping[str, Document] | None = None,
    ) -> None:
        self.documents = dict(sorted(documents.items()))
        self.changed = frozenset(changed)
        self.unread = frozenset(unread) - self.documents.keys()
        self.former = former
        self.before = before or {}
        self.unread_folders = {ref.partition("/")[0] for ref in self.unread}
        self.references: dict[str, list[tuple[str, Ref]]] = {
            ref: references(document.entry, document.lines) for ref, document in self.documents.items()
        }
        self.rivals: dict[str, list[str]] = defaultdict(list)
        self.fallen: dict[str, list[str]] = defaultdict(list)
        for ref, document in self.documents.items():
            if isinstance(document.entry, Hypothesis):
                (self.rivals if document.standing else self.fallen)[document.entry.question].append(ref)
        self.partial = [document for document in self.documents.values() if document.spoiled]
        self.faults: list[Fault] = []
        self.warnings: list[Fault] = []

    def standing(self, model: type[Kind]) -> list[tuple[Document, Kind]]:
        """Return the standing documents of a kind, in order of reference, with their entries."""
        return [
            (document, document.entry)
            for document in self.documents.values()
            if isinstance(document.entry, model) and document.standing
        ]

    def entry(self, ref: str, model: type[Kind]) -> Kind | None:
        """Return the entry of that reference if it is there and of the kind."""
        document = self.documents.get(ref)
        return document.entry if document is not None and isinstance(document.entry, model) else None

    def unsure(self, folder: str, *fields: str) -> bool:
        """Return whether any file of a folder was not read, or only without one of these fields."""
        return folder in self.unread_folders or any(
            document.lost(*fields) for document in self.partial if document.ref.startswith(folder + "/")
        )

    def fault(self, document: Document, field: str, given: str, expected: str, remedy: str) -> None:
        """Add a fault."""
        self.faults.append(document.fault(field, given, expected, remedy))

    def warn(self, document: Document, field: str, given: str, expected: str, remedy: str) -> None:
        """Add a warning."""
        self.warnings.append(document.fault(field, given, expected, remedy))


def bare(ref: str) -> str:
    """Return the name of a reference without its folder."""
    return ref.partition("/")[2]
