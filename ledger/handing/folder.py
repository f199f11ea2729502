"""A folder that files are handed out into, all of them or none.

A list beside them says what was written there before, by name and sha256. A file that is not in the list, or that was
changed since, is somebody else's and is never written over.
"""

from __future__ import annotations

import json
import os
import re
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import ExitStack
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from ledger.errors import Fault, FaultsFound, WitnessError

LIST = "handed-out.json"
_SHA = re.compile(r"[0-9a-f]{64}")
_MOVE = "Move it away, or name another folder."


@dataclass(frozen=True)
class Written:
    """What was written, and what was the same already, by name."""

    written: tuple[str, ...]
    unchanged: tuple[str, ...]


def write_out(folder: Path, files: Mapping[str, bytes]) -> Written:
    """Write files into a folder, which is made where there is none; all of them, or on any fault nothing.

    Raises FaultsFound for names that something else has there, WitnessError where the folder cannot be written.
    """
    try:
        known = _known(folder)
        faults = [fault for name, content in files.items() for fault in _faults(folder, name, content, known)]
        if faults:
            raise FaultsFound(faults)
        told = {**known, **{name: _digest(content) for name, content in files.items()}}
        listed = json.dumps(dict(sorted(told.items())), indent=1).encode() + b"\n"
        changed = {name: content for name, content in files.items() if _bytes(folder / name) != content}
        wanted = dict(changed) if _bytes(folder / LIST) == listed else {**changed, LIST: listed}
        if wanted:
            _write(folder, wanted)
    except OSError as error:
        raise WitnessError(
            f"{folder} cannot be written: {error.strerror}. See to its permissions and the free space; nothing was "
            "written."
        ) from error
    return Written(tuple(changed), tuple(name for name in files if name not in changed))


def _known(folder: Path) -> dict[str, str]:
    """Return what was handed out into the folder before."""
    if folder.exists() and not folder.is_dir():
        raise FaultsFound([Fault(str(folder), 0, "", "a file", "a folder", "Name a folder, there or not.")])
    path = folder / LIST
    if not os.path.lexists(path):
        return {}
    content = path.read_bytes() if path.is_file() and not path.is_symlink() else b""
    try:
        said = json.loads(content)
    except (ValueError, RecursionError):
        said = None
    if not isinstance(said, dict) or not all(isinstance(one, str) and _SHA.fullmatch(one) for one in said.values()):
        expected = "the list of what was handed out, as it was written"
        raise FaultsFound([Fault(str(path), 0, "file", "something else", expected, _MOVE)])
    return said


def _faults(folder: Path, name: str, content: bytes, known: Mapping[str, str]) -> Iterator[Fault]:
    path = folder / name
    if not os.path.lexists(path):
        return
    if path.is_symlink() or not path.is_file():
        yield Fault(str(path), 0, "file", "no ordinary file", "no file, or one handed out before", _MOVE)
        return
    there = path.read_bytes()
    if there == content or known.get(name) == _digest(there):
        return
    given = "a file that was changed since it was handed out" if name in known else "a file of somebody else's"
    yield Fault(str(path), 0, "file", given, "no file, or one as it was handed out before", _MOVE)


def _write(folder: Path, files: Mapping[str, bytes]) -> None:
    """Put all files into place; where one cannot be, put back what was there."""
    with ExitStack() as made:
        for parent in reversed([one for one in (folder, *folder.parents) if not one.exists()]):
            parent.mkdir()
            made.callback(parent.rmdir)
        with tempfile.TemporaryDirectory(prefix=".handing-out-", dir=folder) as scratch, ExitStack() as undo:
            for name, content in files.items():
                _whole(Path(scratch) / name, content)
            for name in files:
                undo.callback(_put_back, folder / name, _bytes(folder / name), Path(scratch) / name)
                os.replace(Path(scratch) / name, folder / name)
            undo.pop_all()
        made.pop_all()


def _put_back(path: Path, before: bytes | None, scratch: Path) -> None:
    if before is None:
        path.unlink(missing_ok=True)
    else:
        _whole(scratch, before)
        os.replace(scratch, path)


def _whole(path: Path, content: bytes) -> None:
    with open(path, "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def _bytes(path: Path) -> bytes | None:
    return path.read_bytes() if os.path.lexists(path) else None


def _digest(content: bytes) -> str:
    return sha256(content).hexdigest()
