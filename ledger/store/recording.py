"""Adding to the record: revisions with their words, and the current state that follows from them.

Posting, replaying and erasing all write through here, so there is one place where the chain grows.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Connection, bindparam, delete, insert, select
from sqlalchemy.dialects.sqlite import insert as upsert

from ledger.entries.models import FOLDERS
from ledger.entries.reading import Document
from ledger.entries.references import references
from ledger.store.chain import Link, digest, link_hash, new_salt
from ledger.store.records import last
from ledger.store.tables import ENTRY, ERASURE, FORMER_NAME, REFERENCE, REVISION, WORDS

_CURRENT = ("ref", "name", "title", "withdrawn", "latest", "front", "body")


def utc(at: datetime | str) -> str:
    """Return a time as it stands in the record: UTC, to the second, `2031-05-17T09:30:00Z`.

    Raises ValueError for a time without a zone.
    """
    moment = datetime.fromisoformat(at) if isinstance(at, str) else at
    if moment.tzinfo is None:
        raise ValueError(f"a time needs its zone: {at}")
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


class Chain:
    """The growing end of the chain within one writing transaction; `write` puts what was added into the tables."""

    def __init__(self, connection: Connection) -> None:
        self.connection = connection
        self.seq, self.hash = last(connection)
        self.added: list[Link] = []

    def append(self, link: Link) -> None:
        """Add a link that is already whole; the caller has checked it."""
        self.added.append(link)
        self.seq, self.hash = link.seq, link.hash

    def add(
        self,
        action: str,
        kind: str,
        name: str,
        at: str,
        text: str | None,
        entry: int | None = None,
        reason: str | None = None,
    ) -> int:
        """Add a revision of an entry, or of a new one; return the entry's id. `reason`: of an erasure, why."""
        seq = self.seq + 1
        salt = None if text is None else new_salt()
        fields: dict[str, Any] = {
            "seq": seq,
            "entry": seq if entry is None else entry,
            "kind": kind,
            "name": name,
            "action": action,
            "at": at,
            "digest": None if text is None or salt is None else digest(salt, text.encode()),
            "previous": self.hash,
        }
        self.append(Link(**fields, hash=link_hash(fields), salt=salt, text=text, reason=reason))
        return int(fields["entry"])

    def write(self) -> None:
        """Insert the added revisions and their words."""
        if not self.added:
            return
        self.connection.execute(
            insert(REVISION), [{name: vars(link)[name] for name in _REVISION} for link in self.added]
        )
        words = [
            {"seq": link.seq, "salt": link.salt, "text": link.text} for link in self.added if link.text is not None
        ]
        if words:
            self.connection.execute(insert(WORDS), words)
        reasons = [{"seq": link.seq, "reason": link.reason} for link in self.added if link.reason is not None]
        if reasons:
            self.connection.execute(insert(ERASURE), reasons)


_REVISION = tuple(REVISION.c.keys())


def entry_row(entry: int, document: Document, latest: int) -> dict[str, Any]:
    """Return the row of an entry as its document says, after the revision `latest`."""
    return {
        "id": entry,
        "ref": document.ref,
        "kind": document.kind,
        "name": document.name,
        "title": document.entry.title,
        "withdrawn": document.entry.withdrawn,
        "latest": latest,
        "front": json.dumps(document.front, ensure_ascii=False, separators=(",", ":")),
        "body": document.body,
    }


def erased_row(link: Link) -> dict[str, Any]:
    """Return the row of an entry after its erasure: id, kind and name, and nothing that was said."""
    named = {"id": link.entry, "ref": ref_of(link.kind, link.name), "kind": link.kind, "name": link.name}
    return {**named, "title": None, "withdrawn": None, "latest": link.seq, "front": None, "body": None}


def stand(connection: Connection, documents: Mapping[int, Document], latest: Mapping[int, int]) -> None:
    """Let entries stand as their documents say. Both mappings are by entry id; `latest` has the last revision's seq."""
    _put(connection, [entry_row(entry, document, latest[entry]) for entry, document in documents.items()])
    refer(connection, documents)


def stand_erased(connection: Connection, erased: Iterable[Link]) -> None:
    """Leave of entries only what their erasures say, and take their words and references away."""
    for link in erased:
        _put(connection, [erased_row(link)])
        connection.execute(
            delete(REFERENCE).where((REFERENCE.c.entry == link.entry) | (REFERENCE.c.target == link.entry))
        )
        revisions = select(REVISION.c.seq).where(REVISION.c.entry == link.entry)
        connection.execute(delete(WORDS).where(WORDS.c.seq.in_(revisions)))


def _put(connection: Connection, rows: list[dict[str, Any]]) -> None:
    if rows:
        statement = upsert(ENTRY)
        changes = {column: statement.excluded[column] for column in _CURRENT}
        connection.execute(statement.on_conflict_do_update(index_elements=["id"], set_=changes), rows)


def rename(connection: Connection, entry: int, former: str, now: str) -> None:
    """Remember a former name. A name that is taken back is a former name no more."""
    connection.execute(delete(FORMER_NAME).where(FORMER_NAME.c.ref == now, FORMER_NAME.c.entry == entry))
    connection.execute(
        upsert(FORMER_NAME).on_conflict_do_nothing(index_elements=["ref"]), {"ref": former, "entry": entry}
    )


def refer(connection: Connection, documents: Mapping[int, Document]) -> None:
    """Put the references of these entries in place of those they had."""
    if not documents:
        return
    connection.execute(
        delete(REFERENCE).where(REFERENCE.c.entry == bindparam("from_entry")),
        [{"from_entry": entry} for entry in documents],
    )
    ids = {row.ref: row.id for row in connection.execute(select(ENTRY.c.ref, ENTRY.c.id))}
    rows = [row for entry, document in documents.items() for row in reference_rows(entry, document, ids)]
    if rows:
        connection.execute(insert(REFERENCE), rows)


def reference_rows(entry: int, document: Document, ids: Mapping[str, int]) -> list[dict[str, Any]]:
    """Return the rows of what a document refers to."""
    pairs = sorted({(field, ids[ref]) for field, ref in references(document.entry) if ref in ids})
    return [{"entry": entry, "field": field, "target": target} for field, target in pairs]


def ref_of(kind: str, name: str) -> str:
    """Return `folder/name`."""
    return f"{FOLDERS[kind]}/{name}"
