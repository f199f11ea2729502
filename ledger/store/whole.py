"""Files written whole or not at all, whenever the program is stopped."""

from __future__ import annotations

import os
import shutil
import time
from contextlib import suppress
from pathlib import Path

# What nobody finished for so long was left by a program that was stopped.
LEFT_SECONDS = 86_400.0


def tidy(folder: Path, begins: str) -> None:
    """Take away folders whose names begin so, where stopped programs left them long ago."""
    for left in folder.glob(f"{begins}*"):
        with suppress(OSError):
            if time.time() - left.stat().st_mtime > LEFT_SECONDS:
                shutil.rmtree(left, ignore_errors=True)


def write_whole(path: Path, content: bytes) -> None:
    """Put a file in place under its name only when all of it is on the disc; its folder is made where there is none.

    What was there before stays until then. The unfinished file begins with a dot, as what is never read as an entry.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    unfinished = path.with_name(f".{path.name}.unfinished")
    try:
        with open(unfinished, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        if path.exists():
            shutil.copymode(path, unfinished)
        os.replace(unfinished, path)
    finally:
        unfinished.unlink(missing_ok=True)
