"""A folder made beside another and put in its place at once, so that a reader finds the old one or the new one."""

from __future__ import annotations

import ctypes
import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from ledger.errors import WitnessError
from ledger.store.whole import tidy

UNFINISHED = ".unfinished-"
_FROM_HERE, _EXCHANGE = -100, 2


@contextmanager
def exchanged(place: Path) -> Iterator[Path]:
    """Give the path of a folder to be made, and put it in the place of another when all went well.

    On any error, and whenever the program is stopped, the old folder stays as it was. What begins with a dot in it is
    carried over, for a site may be kept under version control there.

    Raises WitnessError where the folder around it cannot be written, or what stands there cannot be moved.
    """
    place = place.resolve()
    around_is_new = not place.parent.exists()
    try:
        place.parent.mkdir(parents=True, exist_ok=True)
        _put_back(place)
        tidy(place.parent, _prefix(place))
        scratch = tempfile.TemporaryDirectory(prefix=_prefix(place), dir=place.parent, ignore_cleanup_errors=True)
    except OSError as error:
        raise _refused(place, error) from error
    try:
        with scratch as folder:
            fresh = Path(folder) / place.name
            yield fresh
            try:
                _carry_over(place, fresh)
                _exchange(fresh, place)
            except (OSError, shutil.Error) as error:
                raise _refused(place, error) from error
    finally:
        if around_is_new and not place.exists():
            with suppress(OSError):
                place.parent.rmdir()


def _prefix(place: Path) -> str:
    return f".{place.name}{UNFINISHED}"


def _refused(place: Path, error: Exception) -> WitnessError:
    told = getattr(error, "strerror", None) or str(error)
    return WitnessError(
        f"{place} cannot be put in place: {told}. It is made beside itself and then exchanged: let it be a folder of "
        f"its own in one that can be written, and see to the free space. What stood there stays."
    )


def _carry_over(place: Path, fresh: Path) -> None:
    for one in sorted(place.glob(".*")) if place.is_dir() else ():
        target = fresh / one.name
        if one.is_dir() and not one.is_symlink():
            shutil.copytree(one, target, symlinks=True)
        else:
            shutil.copy2(one, target, follow_symlinks=False)


def _exchange(fresh: Path, place: Path) -> None:
    if not os.path.lexists(place):
        os.rename(fresh, place)
        return
    swap = _swap()
    if swap is None or not swap(os.fsencode(fresh), os.fsencode(place)):
        former = _former(place)
        os.rename(place, former)
        try:
            os.rename(fresh, place)
        except OSError:
            os.rename(former, place)
            raise
        shutil.rmtree(former, ignore_errors=True)


def _former(place: Path) -> Path:
    return place.with_name(f".{place.name}.former")


def _put_back(place: Path) -> None:
    """End what was stopped between two renames, on systems that cannot exchange two folders in one step."""
    former = _former(place)
    if former.exists() and not place.exists():
        os.rename(former, place)
    elif former.exists():
        shutil.rmtree(former, ignore_errors=True)


def _swap() -> Callable[[bytes, bytes], bool] | None:
    """Return how this system exchanges two paths in one step; None where it cannot."""
    try:
        library = ctypes.CDLL(None)
    except (OSError, TypeError):
        return None
    if hasattr(library, "renameat2"):
        return lambda one, other: library.renameat2(_FROM_HERE, one, _FROM_HERE, other, _EXCHANGE) == 0
    if hasattr(library, "renamex_np"):
        return lambda one, other: library.renamex_np(one, other, _EXCHANGE) == 0
    return None
