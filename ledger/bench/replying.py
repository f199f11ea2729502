"""Received replies on the bench: listed, shown, decided on as by the commands; readers' pools beside the ledger."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from threading import Lock
from typing import Annotated, Any, Literal

from pydantic import Field

from ledger.bench.asking import Asked, Text
from ledger.casebook.foretelling import ledgers, readers_pool
from ledger.casebook.items import Item
from ledger.casebook.opening import STORE, open_casebook
from ledger.entries.models import NONE_OF_THESE
from ledger.publishing.bodies import render
from ledger.replies.accepting import accept
from ledger.replies.composing import PURPOSES, Purpose, Wanted
from ledger.replies.deciding import decide
from ledger.replies.received import OPEN, Reply, received
from ledger.replies.surroundings import Surroundings, surroundings
from ledger.replies.titling import plain
from ledger.replies.wording import visible
from ledger.store.recording import utc

Id = Annotated[str, Field(min_length=1, max_length=36)]
_one_at_a_time = Lock()


class Decision(Asked):
    """A reply to decline with a reason, or whose reader is asked back with a question."""

    id: Id
    state: Literal["declined", "asked"]
    reason: Text


class Acceptance(Asked):
    """A reply to accept; what is left out is as the reply says."""

    id: Id
    purpose: Purpose | None = None
    about: Text = ""
    title: Text = ""
    source: Text = ""


@dataclass(frozen=True)
class _Files:
    """The entries that files give, for links to lead to."""

    entries: Mapping[str, Item]
    withdrawn: Mapping[str, Item] = field(default_factory=dict)


def listed(root: Path) -> dict[str, Any]:
    """Return every received reply in a line, those that wait first, else the latest first."""
    with received(root) as store:
        rows = store.listed()
    ordered = sorted(rows, key=lambda row: (row.state not in OPEN, -row.seq))
    return {"replies": [_line(asdict(row)) for row in ordered], "waiting": sum(row.state in OPEN for row in rows)}


def _line(row: dict[str, Any]) -> dict[str, Any]:
    for name in ("name", "start"):
        row[name] = None if row[name] is None else visible(" ".join(row[name].split()))
    return row


def shown(root: Path, reply: str) -> dict[str, Any]:
    """Return one reply whole, with what it would be accepted as, and titles of what it names.

    `html` is its text as the site will show it, made by what makes the site's pages; links are from the site's root.
    """
    with received(root) as store:
        one = store.find(reply)
    told: dict[str, Any] = {name: value for name, value in asdict(one).items() if name != "document"}
    if one.document is None:
        return {**told, "document": None}
    said = one.document.model_dump()
    # Signs that steer stand as their numbers in every line; the text keeps its own lines.
    said["text"] = "\n".join(visible(line) for line in one.document.text.splitlines())
    for name in ("name", "contact"):
        said[name] = None if said[name] is None else visible(said[name])
    around = surroundings(root)
    named = (one.document.about, *one.document.confidences, *one.document.inputs)
    titles = {ref: around.documents[ref].entry.title for ref in named if ref in around.documents}
    html = str(render(_files(around), one.document.text, "").html)
    return {**told, "document": said, "html": html, "titles": titles, "purpose": PURPOSES[one.document.stance]}


def _files(around: Surroundings) -> _Files:
    return _Files(
        {one.ref: Item(one.ref, one.kind, one.name, one.entry, one.body, 1) for one in around.documents.values()}
    )


def decided(root: Path, given: Decision) -> dict[str, Any]:
    """Decline a reply, or note that its reader is asked back and say where to write."""
    with _one_at_a_time, received(root) as store:
        one = decide(store, given.id, given.state, given.reason, utc(datetime.now(UTC)))
    return {"id": one.id, "told": _told(one, given.state)}


def _told(one: Reply, state: str) -> str:
    if state == "declined":
        return "Declined. It can still be accepted."
    contact = one.document.contact if one.document else None
    where = f"Write to {visible(contact)}." if contact else "The reader left no address: ask on the site."
    return f"Noted as asked. {where}"


def accepted(root: Path, given: Acceptance) -> dict[str, Any]:
    """Make entry files of a reply; nothing is posted yet."""
    title = plain(given.title) or None
    wanted = Wanted(given.purpose, given.about.strip() or None, title, given.source.strip() or None)
    with _one_at_a_time, received(root) as store:
        done = accept(root, store, given.id, wanted, utc(datetime.now(UTC)))
    return asdict(done)


def pools(root: Path) -> dict[str, Any]:
    """Return by question the ledger's confidences, and readers' taken together; only questions that readers judged.

    Readers' are never mixed into the ledger's: they stand beside them.
    """
    casebook = open_casebook(root, root / STORE)
    found = []
    for item in casebook.of_kind("question"):
        pool, own = readers_pool(casebook, item.ref), ledgers(casebook, item.ref)
        if pool is None:
            continue
        ledger, logarithmic = (own.confidences if own else {}), (pool.logarithmic or {})
        rows = [
            {
                "rival": casebook.entries[rival].title if rival in casebook.entries else _none(rival),
                "ledger": ledger.get(rival),
                "linear": pool.linear.get(rival),
                "logarithmic": logarithmic.get(rival),
            }
            for rival in dict.fromkeys([*ledger, *pool.linear, NONE_OF_THESE])
        ]
        found.append({"question": item.title, "people": pool.people, "rows": rows})
    return {"pools": found}


def _none(rival: str) -> str:
    return "None of these" if rival == NONE_OF_THESE else rival
