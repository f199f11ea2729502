"""What a person sees when something is wrong."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from enum import StrEnum
from pathlib import Path
from typing import TypeVar

import typer
from rich.console import Console
from rich.markup import escape

from ledger.errors import FaultsFound, WitnessError, of_command

Choice = TypeVar("Choice", bound=StrEnum)


class Terminal(Console):
    """Where a command prints. A reader that is gone, as `head` is after its lines, hears no more; the work goes on."""

    def on_broken_pipe(self) -> None:
        """Print what is left into nothing."""
        os.dup2(os.open(os.devnull, os.O_WRONLY), self.file.fileno())


errors = Terminal(stderr=True, soft_wrap=True, highlight=False)


def one_of(choices: type[Choice]) -> Callable[[str], Choice]:
    """Return what reads an option that is one of a few words; typer.BadParameter for any other."""

    def read(given: str) -> Choice:
        if given not in [*choices]:
            raise typer.BadParameter(f"given `{given}`; expected one of {', '.join(choices)}. Write one of them.")
        return choices(given)

    return read


def whole(least: int, most: int) -> Callable[[str], int]:
    """Return what reads an option that is a whole number from least to most; typer.BadParameter for any other."""

    def read(given: str) -> int:
        text = str(given)
        if not (text.isascii() and text.isdecimal() and len(text) < 19 and least <= int(text) <= most):
            expected = f"a whole number from {least} to {most}"
            raise typer.BadParameter(f"given `{text}`; expected {expected}. Write it in digits alone.")
        return int(text)

    return read


def agreed(question: str) -> None:
    """Ask, and go on only at a yes; FaultsFound where there is nobody to ask."""
    if sys.stdin is None:
        raise FaultsFound([of_command("--yes", "nothing, and no terminal to ask at", "a yes", "Write `--yes`.")])
    typer.confirm(question, abort=True)


def named(given: str) -> Path:
    """Read a folder; typer.BadParameter for no name at all, which would pass for the one a person is in."""
    if not str(given).strip():
        raise typer.BadParameter("given nothing; expected a folder. Name a new one; `.` is the one you are in.")
    return Path(given)


@contextmanager
def computing(console: Console, quiet: bool = False) -> Iterator[Callable[[str], None]]:
    """Yield what is told of each thing computed: a terminal shows the last one, and how many is said in the end."""
    count = 0
    with console.status("computing") as status:

        def one(what: str) -> None:
            nonlocal count
            count += 1
            status.update(escape(f"computed {count}: {what}"))

        yield one
    if count and not quiet:
        console.print(f"{count} result{'s' if count > 1 else ''} computed anew.")


def tell(error: WitnessError, after: str = "nothing was changed") -> None:
    """Print an error; faults one by one with their place, what was given, what was expected and how to mend it."""
    if not isinstance(error, FaultsFound):
        errors.print(str(error), style="red", markup=False)
        return
    for fault in error.faults:
        place = f"{fault.file}:{fault.line}" if fault.line else fault.file
        errors.print(f"{place}  {fault.field}".rstrip(), style="bold", markup=False)
        for label, words in (("given", fault.given), ("expected", fault.expected), ("mend", fault.remedy)):
            errors.print(f"    {label:<9} {words}", markup=False)
    count = len(error.faults)
    errors.print(f"{count} fault{'s' if count > 1 else ''}; {after}.", style="red", markup=False)
