"""Entry files held in place while they are posted: they stay if the record has them, and go back if it has not."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path

from ledger.errors import StoreRefused
from ledger.store.engine import open_store
from ledger.store.files import ENDING
from ledger.store.records import current
from ledger.store.whole import write_whole


@contextmanager
def held(store: Path, entries_dir: Path, texts: Mapping[str, str]) -> Iterator[None]:
    """Write entry files, by ref, and post them within: after any error they are as before unless they were posted.

    What stops a program may come after its posting: an interruption, a terminal that is gone, a report that finds no
    room. So the record is asked. A file that goes back behind it would undo the posting at the next one.
    """
    before = {ref: _bytes(_file(entries_dir, ref)) for ref in texts}
    try:
        for ref, text in texts.items():
            write_whole(_file(entries_dir, ref), text.encode())
        yield
    except BaseException:  # also on an interruption, which goes on up
        if not _posted(store, texts):
            with ExitStack() as undo:
                for ref, content in before.items():
                    undo.callback(_put_back, _file(entries_dir, ref), content)
        raise


def _posted(store: Path, texts: Mapping[str, str]) -> bool:
    try:
        records = current(open_store(store, create=False))
    except StoreRefused:
        return False
    return all(ref in records and records[ref].text == text for ref, text in texts.items())


def _file(entries_dir: Path, ref: str) -> Path:
    return entries_dir / f"{ref}{ENDING}"


def _bytes(file: Path) -> bytes | None:
    return file.read_bytes() if file.is_file() else None


def _put_back(file: Path, content: bytes | None) -> None:
    if content is not None:
        write_whole(file, content)
        return
    file.unlink(missing_ok=True)
    with suppress(OSError):  # A folder that holds other files stays.
        file.parent.rmdir()
