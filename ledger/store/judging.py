"""Holding changed files against the record and the rules: what they do to it, or every fault at once.

The record is not trusted unseen: the whole chain is verified, and each entry is read from the words of its latest
revision and held against the row that stands for it.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Set
from contextlib import suppress
from dataclasses import dataclass, field

from sqlalchemy import Connection

from ledger.entries.checking import check_ledger
from ledger.entries.models import FOLDERS
from ledger.entries.reading import Document, read_text
from ledger.errors import Fault, FaultsFound
from ledger.store.deriving import Derived, derive, entry_problems
from ledger.store.past import Past, damaged, walked
from ledger.store.planning import Known, Move, copied, plan
from ledger.store.recording import ref_of

Rules = Callable[[Mapping[str, Document], Set[str]], Iterable[Fault]]
Read = tuple[Document | None, list[Fault]]


@dataclass(frozen=True)
class Around:
    """What the changed files stand among.

    present  refs of all files
    known    by ref, what the record knows
    shown    what faults call the folder of the entry files
    stray    faults of what lies there and is no entry file
    only     refs that alone are posted, or None for all
    """

    present: Set[str]
    known: Mapping[str, Known]
    shown: str
    stray: tuple[Fault, ...] = ()
    only: Collection[str] | None = None


@dataclass(frozen=True)
class Judged:
    """What the changed files do, what a person should look at, and all documents as they will stand."""

    moves: tuple[Move, ...] = ()
    warnings: tuple[Fault, ...] = ()
    documents: Mapping[str, Document] = field(default_factory=dict)


def judge(connection: Connection, files: Mapping[str, Read], around: Around, rules: Rules) -> Judged:
    """Return what the files do. Raises FaultsFound with all that is wrong, StoreDamaged for a record not to trust."""
    past = walked(connection)
    derived = derive(past, around.shown, files.keys())
    _verify(connection, past, derived)
    faults, unread = list(around.stray), set[str]()
    for entry, found in derived.failed.items():
        unread.add(ref_of(past.latest[entry].kind, past.latest[entry].name))
        faults += found.faults if around.only is None else ()
    former = _by_former_name(past, around.known)
    recorded = {document.ref: document for document in derived.documents.values()}
    documents: dict[str, Document] = {}
    for ref, (document, wrong) in files.items():
        faults += wrong
        if document is None:
            unread.add(ref)
        else:
            documents[ref] = document
    copies, looks = copied(documents, recorded.values(), around.present, around.known)
    documents = {ref: document for ref, document in documents.items() if ref not in copies}
    unread |= copies.keys()
    moves, misnamed = plan(documents, around.present, around.known, former)
    leaving = {move.before.ref for move in moves if move.before}
    everything = {**{ref: each for ref, each in recorded.items() if ref not in leaving | unread}, **documents}
    names = {old: known.ref for old, known in former.items()}
    checked = check_ledger(everything, documents.keys(), unread, names, _before(moves, past))
    told = {(fault.file, fault.field) for fault in misnamed}
    about = [fault for fault in checked.faults if (fault.file, fault.field) not in told]
    if around.only is not None and about:
        about = _of_these(about, past, around, names)
    faults += [*copies.values(), *misnamed, *about, *rules(everything, documents.keys())]
    if faults:
        raise FaultsFound(faults)
    return Judged(tuple(moves), (*checked.warnings, *looks), everything)


def _verify(connection: Connection, past: Past, derived: Derived) -> None:
    wrong = past.all_problems() or list(entry_problems(connection, past, Derived(derived.documents, {})))
    if wrong:
        raise damaged(wrong, "Nothing was posted. `witness check` tells everything that is wrong.")


def _before(moves: Iterable[Move], past: Past) -> dict[str, Document]:
    """Return what changed decisions said so far, by present ref; words that cannot be read any more are left out."""
    found = {}
    for move in moves:
        link = past.latest.get(move.before.entry) if move.before else None
        if link is None or link.kind != "decision" or link.text is None:
            continue
        with suppress(FaultsFound):
            found[move.document.ref] = read_text(link.text, FOLDERS[link.kind], link.name)
    return found


def _by_former_name(past: Past, known: Mapping[str, Known]) -> dict[str, Known]:
    by_entry = {each.entry: each for each in known.values()}
    return {ref: by_entry[entry] for ref, entry in past.former.items()}


def _of_these(faults: list[Fault], past: Past, around: Around, names: Mapping[str, str]) -> list[Fault]:
    """Leave out what was wrong elsewhere before: it is not for these entries to wait for it."""
    own = {f"{around.shown}/{ref}.md" for ref in around.only or ()}
    recorded = {document.ref: document for document in derive(past, around.shown).documents.values()}
    before = check_ledger(recorded, around.only or (), (), names).faults
    same = {(fault.file, fault.field, fault.given) for fault in before}
    return [fault for fault in faults if fault.file in own or (fault.file, fault.field, fault.given) not in same]
