"""Entry files written and posted together: all of them stand and are posted, or nothing has changed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import asdict
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from threading import Lock

from ledger.bench.choosing import digest_of, recorded, text_of
from ledger.bench.composing import Written
from ledger.bench.telling import Told
from ledger.building.before_posting import check_changed
from ledger.casebook.opening import STORE
from ledger.entries.fields import KINDS, NAME
from ledger.entries.reading import examine
from ledger.entries.references import references
from ledger.errors import Fault, FaultsFound
from ledger.store.engine import open_store
from ledger.store.held import held
from ledger.store.posting import post

_one_at_a_time = Lock()


def save(root: Path, written: Sequence[Written]) -> Told:
    """Write entry files and post them; return what the posting did.

    FaultsFound with all faults, and nothing written, where one is not as it was opened, a name is taken, or the posting
    finds a fault.
    """
    with _one_at_a_time:
        faults = [fault for one in written if (fault := _in_the_way(root, one))]
        if faults:
            raise FaultsFound(faults)
        with held(root / STORE, root / "entries", {one.ref: one.text for one in written}):
            report = post(
                open_store(root / STORE),
                root / "entries",
                datetime.now(UTC),
                partial(check_changed, root),
                _to_post(root, [one.ref for one in written]),
            )
    return asdict(report)


def _to_post(root: Path, refs: Iterable[str]) -> set[str] | None:
    """Return the refs to post: those written, and what they name that has a file and was never posted.

    What else waits in the entry files is left to wait. Into an empty record everything goes: nothing stands alone.
    """
    known = recorded(root)
    if not known:
        return None
    wanted: set[str] = set()
    left = list(refs)
    while left:
        ref = left.pop()
        if ref in wanted:
            continue
        wanted.add(ref)
        text = text_of(root, ref)
        document = examine(text, *ref.split("/"))[0] if text is not None else None
        if document is not None:
            left += [str(one) for _, one in references(document.entry) if one not in known and _is_there(root, one)]
    return wanted


def _is_there(root: Path, ref: str) -> bool:
    return (root / "entries" / f"{ref}.md").is_file()


def _in_the_way(root: Path, one: Written) -> Fault | None:
    """Return what forbids to write a file: it must be new, or what was opened, and lie where it seems to lie."""
    folder, _, name = one.ref.partition("/")
    shown = f"entries/{one.ref}.md"
    if folder not in KINDS or not NAME.match(name):
        remedy = "Write it as `sleeve-width`."
        return Fault(shown, 0, "name", f"`{name}`", "small letters, digits and single hyphens", remedy)
    file = _file(root, one.ref)
    if file.is_symlink() or file.parent.is_symlink() or file.is_dir():
        return Fault(shown, 0, "name", "a link or folder in its place", "an ordinary file", "Take it out of the way.")
    text = text_of(root, one.ref)
    if one.was is None and text is not None:
        remedy = "Choose another name, or open that entry to revise it."
        return Fault(shown, 0, "name", f"`{name}`, which is taken", "a name no entry has", remedy)
    if one.was is not None and (text is None or digest_of(text) != one.was):
        remedy = "Open it again."
        return Fault(shown, 0, "name", "a file that was changed since", "the entry as it was opened", remedy)
    return None


def _file(root: Path, ref: str) -> Path:
    return root / "entries" / f"{ref}.md"
