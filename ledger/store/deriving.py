"""The current entries as they follow from the record's own words, and how the derived tables differ from that.

Nothing here trusts a derived row: front matter and text of an entry are read from its latest revision.
"""

from __future__ import annotations

from collections.abc import Iterator, Set
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, delete, insert, select

from ledger.entries.models import FOLDERS
from ledger.entries.reading import Document, read_text
from ledger.errors import FaultsFound
from ledger.store.engine import Store
from ledger.store.past import REBUILD, RESTORE, Past, Problem, damaged, walked
from ledger.store.recording import entry_row, erased_row, ref_of, refer, reference_rows
from ledger.store.tables import ENTRY, FORMER_NAME, REFERENCE

_UNREADABLE = "Mend the entry's file as the fault says, and post it."


@dataclass(frozen=True)
class Derived:
    """The documents of entries by id, and the faults of those whose words cannot be read."""

    documents: dict[int, Document]
    failed: dict[int, FaultsFound]


def derive(past: Past, shown: str = "entries", apart_from: Set[str] = frozenset()) -> Derived:
    """Return the entries as their latest words say. `shown` is what faults call the folder of the entry files."""
    documents, failed = {}, {}
    for entry, link in past.latest.items():
        ref = ref_of(link.kind, link.name)
        if entry in past.erased or link.text is None or ref in apart_from:
            continue
        try:
            documents[entry] = read_text(link.text, FOLDERS[link.kind], link.name, f"{shown}/{ref}.md")
        except FaultsFound as found:
            failed[entry] = found
    return Derived(documents, failed)


def problems_of(connection: Connection, past: Past, derived: Derived) -> list[Problem]:
    """Return how the tables of current entries, their references and their former names differ from the record."""
    return [*entry_problems(connection, past, derived), *_references(connection, past, derived)]


def entry_problems(connection: Connection, past: Past, derived: Derived) -> Iterator[Problem]:
    """Yield how current entries and former names differ from the record, as far as the entries were derived."""
    rows = {row["id"]: dict(row) for row in connection.execute(select(ENTRY)).mappings()}
    for entry, link in past.latest.items():
        ref = ref_of(link.kind, link.name)
        if entry in derived.failed:
            message = f"its words are no entry any more: {derived.failed[entry].faults[0]}"
            yield Problem((ref,), message, _UNREADABLE)
            continue
        there = rows.get(entry, {})
        wanted: dict[str, Any] = {"id": entry, "ref": ref, "kind": link.kind, "name": link.name, "latest": link.seq}
        if entry in past.erased:
            wanted = erased_row(link)
        elif entry in derived.documents:
            wanted = entry_row(entry, derived.documents[entry], link.seq)
        columns = ", ".join(name for name, value in wanted.items() if there.get(name, ...) != value)
        if columns:
            message = f"the current entry is not what its latest revision says ({columns})"
            yield Problem((ref,), message, REBUILD)
    for entry in rows.keys() - past.latest.keys():
        yield Problem((rows[entry]["ref"],), "the entry has no revision", REBUILD)
    former = {row.ref: row.entry for row in connection.execute(select(FORMER_NAME))}
    for ref in sorted(ref for ref in former.keys() | past.former.keys() if former.get(ref) != past.former.get(ref)):
        yield Problem((ref,), "the former name is not what the revisions say", REBUILD)


def _references(connection: Connection, past: Past, derived: Derived) -> Iterator[Problem]:
    ids = {ref_of(link.kind, link.name): entry for entry, link in past.latest.items()}
    names = {entry: ref for ref, entry in ids.items()}
    wanted = {
        tuple(row.values())
        for entry, document in derived.documents.items()
        for row in reference_rows(entry, document, ids)
    }
    there = {tuple(row) for row in connection.execute(select(REFERENCE))}
    for entry in sorted({row[0] for row in wanted ^ there}):
        yield Problem((names.get(entry, str(entry)),), "its references are not those in its words", REBUILD)


def rebuild(store: Store) -> int:
    """Put the current entries, their former names and references into place as the revisions say; count the entries.

    Nothing of the record itself changes, and a store that is sound stays as it is. Raises StoreDamaged, and changes
    nothing, where the chain or the words in it do not verify: then there is nothing to rebuild from.
    """
    ending = "Nothing was rebuilt."
    with store.writing() as connection:
        past = walked(connection)
        derived = derive(past)
        unreadable = [
            Problem((ref_of(past.latest[entry].kind, past.latest[entry].name),), str(found), RESTORE)
            for entry, found in derived.failed.items()
        ]
        if wrong := [*past.all_problems(), *unreadable]:
            raise damaged(wrong, ending)
        if not problems_of(connection, past, derived):
            return len(derived.documents)
        # Rows refer to each other, so they are checked when all of them stand.
        connection.exec_driver_sql("PRAGMA defer_foreign_keys = ON")
        for each in (REFERENCE, FORMER_NAME, ENTRY):
            connection.execute(delete(each))
        rows = [
            erased_row(link) if entry in past.erased else entry_row(entry, derived.documents[entry], link.seq)
            for entry, link in past.latest.items()
        ]
        if rows:
            connection.execute(insert(ENTRY), rows)
        if past.former:
            connection.execute(
                insert(FORMER_NAME), [{"ref": ref, "entry": entry} for ref, entry in sorted(past.former.items())]
            )
        refer(connection, derived.documents)
    return len(derived.documents)
