"""The commands gathered, and what a person sees when something is wrong: never a traceback."""

from __future__ import annotations

import builtins
import json
import os
import sys
from collections.abc import Sequence
from importlib import import_module, metadata
from typing import Annotated

import typer

from ledger.cli.telling import errors, tell
from ledger.errors import FaultsFound, StoreRefused, WitnessError

# Where each command stands, in the order in which help lists them.
COMMANDS = {
    "start": "recording",
    "post": "recording",
    "show": "recording",
    "history": "recording",
    "rank": "answering",
    "compare": "answering",
    "trace": "tracing",
    "impact": "tracing",
    "next": "looking",
    "scores": "scoring",
    "calculators": "calculating",
    "calculate": "calculating",
    "measure": "measuring",
    "bench": "benching",
    "publish": "press_room",
    "preview": "press_room",
    "build-sheet": "building",
    "intake": "taking_in",
    "replies": "replying",
    "retake": "retaking",
    "withdraw": "recording",
    "erase": "erasing",
    "export": "recording",
    "out": "handing",
    "check": "recording",
}


def gathered(words: Sequence[str]) -> typer.Typer:
    """Return the program with the command that is asked for, or with all of them: what none needs is not loaded."""
    app = typer.Typer(
        name="witness",
        help="Keep a ledger of evidence and rival hypotheses about a mechanism, weigh them, and publish the case.",
        no_args_is_help=True,
        invoke_without_command=True,
        add_completion=False,
        pretty_exceptions_enable=False,
        rich_markup_mode="rich",
    )
    app.callback()(witness)
    asked = words[:1] if words and words[0] in COMMANDS else COMMANDS
    for name in asked:
        module = import_module(f"ledger.cli.{COMMANDS[name]}")
        command = getattr(module, f"{name}_" if hasattr(builtins, name) else name.replace("-", "_"))
        if isinstance(command, typer.Typer):
            app.add_typer(command, name=name)
        else:
            app.command(name)(command)
    return app


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
        gathered(sys.argv[1:])()
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
