"""The commands gathered, and what a person sees when something is wrong: never a traceback."""

from __future__ import annotations

import json
import os
import sys
from importlib import metadata
from typing import Annotated

import typer

from ledger.cli import answering, benching, calculating, looking, measuring, press_room, recording, scoring
from ledger.cli.telling import errors, tell
from ledger.errors import FaultsFound, StoreRefused, WitnessError

app = typer.Typer(
    name="witness",
    help="Keep a ledger of evidence and rival hypotheses about a mechanism, weigh them, and publish the case.",
    no_args_is_help=True,
    invoke_without_command=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode="rich",
)
for command in (
    recording.start,
    recording.post,
    recording.show,
    recording.history,
    answering.rank,
    answering.compare,
    looking.next_,
    scoring.scores,
    calculating.calculators,
    calculating.calculate,
    measuring.measure,
    benching.bench,
    press_room.publish,
    press_room.preview,
    recording.withdraw,
    recording.export,
    recording.check,
):
    app.command(command.__name__.rstrip("_"))(command)


@app.callback()
def witness(
    version: Annotated[bool, typer.Option("--version", help="Print the version and stop.", is_eager=True)] = False,
) -> None:
    """Options of the program itself."""
    if version:
        print(metadata.version("witness-ledger"))
        raise typer.Exit


FAULTS, STORE = 1, 3


def run() -> None:
    """Run a command; exit with 1 on faults, 2 on words that cannot be read, 3 on a ledger file that cannot be used."""
    try:
        app()
    except FaultsFound as found:
        if "--json" in sys.argv:
            print(json.dumps({"faults": [vars(fault) for fault in found.faults]}, ensure_ascii=False, indent=2))
        else:
            tell(found)
        sys.exit(FAULTS)
    except WitnessError as error:
        if "--json" in sys.argv:
            print(json.dumps({"error": str(error)}, ensure_ascii=False, indent=2))
        else:
            tell(error)
        sys.exit(STORE if isinstance(error, StoreRefused) else FAULTS)
    except (PermissionError, FileExistsError, NotADirectoryError, IsADirectoryError) as error:
        errors.print(
            f"{error.filename}: {error.strerror}. Check the folder and its permissions.", style="red", markup=False
        )
        sys.exit(FAULTS)
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(0)
