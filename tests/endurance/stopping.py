"""A deed done in a process of its own, and that process killed at a random moment.

The process is forked from this one, where everything is loaded already, so that a round takes as long as the deed
itself and no moment is spent on starting Python. It is killed in two ways, turn by turn: from outside after a random
time, which reaches into SQLite's own writing; and by itself at a random one of its steps, a step being a file that is
opened for writing, renamed, linked or removed, or a statement handed to SQLite. So short moments between two steps are
met as often as long ones; every other time it is one of the last dozen steps.
"""

from __future__ import annotations

import os
import random
import signal
import sqlite3
import sqlite3.dbapi2
import sys
import time
import traceback
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

_STEPS = ("os.rename", "os.remove", "os.rmdir", "os.mkdir", "os.link", "os.symlink", "os.chmod", "os.truncate")
# The steps in which what was prepared is put in place.
LAST = 12
_WRITING = os.O_WRONLY | os.O_RDWR


@dataclass(frozen=True)
class Length:
    """How long an undisturbed deed is: in seconds and in steps."""

    seconds: float
    steps: int


class _Steps:
    """Counts the steps of this process, and kills it before one of them."""

    def __init__(self, last: int | None) -> None:
        self.count, self.last = 0, last

    def watch(self) -> None:
        """Begin; it cannot be ended, as Python has it."""
        sys.addaudithook(self._heard)
        connect = sqlite3.connect

        def watched(*words: Any, **named: Any) -> sqlite3.Connection:
            connection = connect(*words, **named)
            connection.set_trace_callback(self._step)
            return connection

        sqlite3.connect = sqlite3.dbapi2.connect = watched

    def _heard(self, event: str, words: tuple[Any, ...]) -> None:
        if event in _STEPS or (event == "open" and isinstance(words[2], int) and words[2] & _WRITING):
            self._step()

    def _step(self, *_words: object) -> None:
        if self.count == self.last:
            os.kill(os.getpid(), signal.SIGKILL)
        self.count += 1


def _forked(deed: Callable[[], object], last: int | None, tell: int | None) -> int:
    """Start the deed in a process of its own and return its number."""
    process = os.fork()
    if process:
        return process
    code = 70
    try:
        nowhere = os.open(os.devnull, os.O_RDWR)
        os.dup2(nowhere, 0)
        os.dup2(nowhere, 1)
        steps = _Steps(last)
        if last is not None or tell is not None:
            steps.watch()
        deed()
        if tell is not None:
            os.write(tell, str(steps.count).encode())
        code = 0
    except BaseException:
        traceback.print_exc()
    finally:
        os._exit(code)


def measured(deed: Callable[[], object]) -> Length:
    """Do the deed undisturbed and return how long it is."""
    begun = time.perf_counter()
    done(deed)
    seconds = time.perf_counter() - begun
    return Length(seconds, 0)


def counted(deed: Callable[[], object], seconds: float) -> Length:
    """Do the deed undisturbed once more and count its steps."""
    reading, writing = os.pipe()
    process = _forked(deed, None, writing)
    os.close(writing)
    said = os.read(reading, 64)
    os.close(reading)
    _expect_end(process)
    return Length(seconds, int(said))


def done(deed: Callable[[], object]) -> None:
    """Do the deed in a process of its own and wait for its end."""
    _expect_end(_forked(deed, None, None))


def _expect_end(process: int) -> None:
    _, status = os.waitpid(process, 0)
    if os.waitstatus_to_exitcode(status):
        raise AssertionError(f"an undisturbed deed ended with {os.waitstatus_to_exitcode(status)}")


def stopped(deed: Callable[[], object], length: Length, chance: random.Random, by_time: bool) -> bool:
    """Do the deed and kill it; return whether it was killed before it came to its end."""
    if by_time:
        wait = chance.uniform(0.0, 1.05 * length.seconds)
        process = _forked(deed, None, None)
        time.sleep(wait)
        os.kill(process, signal.SIGKILL)
    else:
        among = length.steps if chance.random() < 0.5 else min(LAST, length.steps)
        process = _forked(deed, length.steps - 1 - chance.randrange(among), None)
    _, status = os.waitpid(process, 0)
    code = os.waitstatus_to_exitcode(status)
    if code not in (0, -signal.SIGKILL):
        raise AssertionError(f"the deed ended by itself with {code}")
    return code != 0
