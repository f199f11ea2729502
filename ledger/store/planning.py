"""What a changed file does to the record: makes a new entry, revises one, or carries one on under another name.

An entry is known by its folder and file name. A file under a name nobody had is a new entry, unless its `formerly`
names an entry whose file is gone: then it is that entry, renamed. Names are never taken over by other entries.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from ledger.entries.reading import Document
from ledger.errors import Fault
from ledger.store.recording import ref_of


@dataclass(frozen=True)
class Known:
    """What the record knows of an entry. Salt and digest are of its latest words; erased entries have none."""

    entry: int
    ref: str
    withdrawn: bool
    salt: str | None
    digest: str | None

    @property
    def erased(self) -> bool:
        """Return whether the words were erased on request."""
        return self.digest is None


@dataclass(frozen=True)
class Move:
    """What one file does: its actions in order, on a known entry (`before`) or on none."""

    document: Document
    before: Known | None
    actions: tuple[str, ...]


def plan(
    changed: Mapping[str, Document], present: Iterable[str], known: Mapping[str, Known], former: Mapping[str, Known]
) -> tuple[list[Move], list[Fault]]:
    """Return what the changed files do, and every fault in their names.

    changed  by ref, the documents that differ from the record
    present  refs of all files there are
    known    by current name, the entries of the record
    former   by former name, the entries that had it
    """
    moves, faults = [], []
    here = set(present)
    claims: dict[str, str] = {}
    for ref, document in changed.items():
        fault = _name_fault(document, here, known, former) or _claim_fault(document, claims)
        if fault:
            faults.append(fault)
            continue
        before = known.get(ref)
        renamed = False
        if before is None and document.entry.formerly is not None:
            before = known.get(ref_of(document.kind, document.entry.formerly))
            renamed = before is not None
        moves.append(Move(document, before, _actions(document, before, renamed)))
    return moves, faults


def copied(
    changed: Mapping[str, Document], recorded: Iterable[Document], present: Iterable[str], known: Mapping[str, Known]
) -> tuple[dict[str, Fault], list[Fault]]:
    """Return the faults of new files that say what an entry says whose file is gone, by ref; and warnings.

    Such a file is most likely that entry, renamed, and would count everything in it twice. Where it was posted
    already, both are entries of their own, and a warning is all that is left to say.
    """
    here = set(present)
    claimed = {ref_of(each.kind, each.entry.formerly) for each in changed.values() if each.entry.formerly}
    others = [document for document in recorded if document.standing]
    gone = {_words(each): each.ref for each in others if each.ref not in here and each.ref not in claimed}
    faults: dict[str, Fault] = {}
    warnings: list[Fault] = []
    if not gone:
        return faults, warnings
    bodies = {body for _, body in gone}
    for ref, document in changed.items():
        old = gone.get(_words(document)) if not document.spoiled and document.body in bodies else None
        if old is not None and ref not in known:
            faults[ref] = document.fault(
                "formerly",
                f"the same words as `{old}`, whose file is gone",
                "a rename or an entry of its own",
                f"Add the line `formerly: {old.partition('/')[2]}` if it was renamed. If not, `witness withdraw {old}` "
                "first, or put its file back.",
            )
    for document in others:
        old = gone.get(_words(document)) if document.body in bodies and document.ref in here else None
        if old is not None and document.ref not in changed:
            given = f"the same words as `{old}`, whose file is gone"
            remedy = f"If they are one, `witness withdraw {old}`: both count."
            warnings.append(document.fault("title", given, "words of its own", remedy))
    return faults, warnings


def _words(document: Document) -> tuple[str, str]:
    """Return what makes two entries say the same: front matter but for the former name, and text."""
    front = {key: value for key, value in document.front.items() if key != "formerly"}
    return json.dumps(front, sort_keys=True), document.body


def _actions(document: Document, before: Known | None, renamed: bool) -> tuple[str, ...]:
    """A rename and a withdrawal in one go are two revisions, so that the history shows both."""
    withdrawn = document.entry.withdrawn is not None
    turn = ("withdrawn" if withdrawn else "restored",) if withdrawn != (before is not None and before.withdrawn) else ()
    if before is None:
        return ("new", *turn)
    if renamed:
        return ("renamed", *turn)
    return turn or ("revised",)


def _name_fault(
    document: Document, here: set[str], known: Mapping[str, Known], former: Mapping[str, Known]
) -> Fault | None:
    ref, formerly = document.ref, document.entry.formerly
    old = None if formerly is None else ref_of(document.kind, formerly)
    own = known.get(ref)
    if own is not None and own.erased:
        return document.fault(
            "",
            ref,
            "a name whose words were not erased",
            "Its words were erased on request: delete the file, or rename it.",
        )
    if own is not None:
        before = None if old is None else known.get(old)
        if before is not None and before.entry != own.entry and not before.erased:
            both = "" if before.withdrawn else f" If both say the same, `witness withdraw {old}` first."
            return document.fault(
                "formerly",
                str(formerly),
                f"a former name of `{ref}`",
                f"`{old}` is an entry of its own in the ledger{', withdrawn' if before.withdrawn else ''}: "
                f"take `formerly` out.{both}",
            )
        return None
    moved = former.get(ref)
    if moved is not None and moved.ref != old:
        return document.fault(
            "",
            ref,
            "a name no other entry had",
            f"`{ref}` was renamed to `{moved.ref}`: delete this file, or name it anew.",
        )
    if old is None:
        return None
    if old in known and known[old].erased:
        return document.fault(
            "formerly",
            str(formerly),
            "an entry with words",
            f"`{old}` was erased on request: drop `formerly`.",
        )
    if old in known and old in here:
        return document.fault(
            "formerly",
            str(formerly),
            "a name whose file is gone",
            f"Delete {old}.md if `{ref}` takes its place, or drop `formerly`.",
        )
    if old not in known and old in former:
        return document.fault(
            "formerly",
            str(formerly),
            "the present name of the entry",
            f"`{old}` was already renamed to `{former[old].ref}`: write that name, or drop `formerly`.",
        )
    return None


def _claim_fault(document: Document, claims: dict[str, str]) -> Fault | None:
    if document.entry.formerly is None:
        return None
    old = ref_of(document.kind, document.entry.formerly)
    first = claims.setdefault(old, document.ref)
    if first == document.ref:
        return None
    return document.fault(
        "formerly",
        document.entry.formerly,
        "a former name that one file claims",
        f"`{first}` claims it too: drop one of them.",
    )
