"""The commands gathered, and what a person sees when something is wrong: never a traceback."""

from __future__ import annotations

import builtins
import json
import logging
import os
import sys
from collections.abc import Callable, Sequence
from importlib import import_module, metadata
from typing import Annotated, Any

import typer

from ledger.cli.telling import errors, tell
from ledger.errors import FaultsFound, StoreRefused, WitnessError, of_command

# Where each command stands and what help says of it where it lists them, in that order.
COMMANDS = {
    "start": ("recording", "Lay out a small working investigation that publishes at once."),
    "post": (
        "recording",
        "Read the entry files and post what changed; on any fault post nothing and report them all.",
    ),
    "show": (
        "recording",
        "Show an entry: what it says, what it stands on and what stands on it. Without REF, list all entries.",
    ),
    "history": ("recording", "Show every revision of an entry, oldest first."),
    "rank": ("answering", "Rank the rivals of every question."),
    "compare": ("answering", "Set the rivals of one question side by side, with every note and number."),
    "trace": ("tracing", "Follow an entry down to everything it stands on, with the weight each thing carries now."),
    "impact": (
        "tracing",
        "Say what stands on entries, and their impact: what the whole ledger would say without them.",
    ),
    "next": (
        "looking",
        "Say what to look for next: which observation would tell most, and how likely it changes the leader.",
    ),
    "scores": (
        "scoring",
        "Score forecasts, the ledger's and its readers', by what came true: by forecaster, and question by question.",
    ),
    "calculators": (
        "calculating",
        "List the calculators, or explain one: inputs, outputs, formula, sources, assumptions, cautions.",
    ),
    "calculate": ("calculating", "Run a calculator with inputs given here, for instance `torque='500 ± 20 N·m'`."),
    "measure": (
        "measuring",
        "Measure from an entry's picks: the quantity they give, its interval, and what its uncertainty comes from.",
    ),
    "bench": (
        "benching",
        "Open the measuring bench: mark photographs and recordings in the browser, measure, and post what comes of it.",
    ),
    "publish": ("press_room", "Post what changed, recompute, rank, and build the site."),
    "preview": (
        "press_room",
        "Serve the pages, made anew as entry files change. Posts nothing: a copy of the ledger takes the changes.",
    ),
    "build-sheet": (
        "building",
        "Print the derived dimensions of the model, each with what it comes from, and what is still undecided.",
    ),
    "intake": ("taking_in", "Take readers' replies in, and nothing else: it neither reads nor changes a ledger."),
    "replies": ("replying", "List readers' replies, collect them, and decide on them."),
    "retake": (
        "retaking",
        "Take a decision again: its file gets the day, the reason and the numbers as they are now, and is posted.",
    ),
    "withdraw": (
        "recording",
        "Take an entry back with a reason. Its file says so, its history stays, and what names it is reported.",
    ),
    "erase": (
        "erasing",
        "Erase all words of an entry for good: its name, times and hashes stay, and the chain still verifies.",
    ),
    "export": ("recording", "Write every entry back as its file, and the history as entries/history.jsonl."),
    "backup": (
        "backing_up",
        "Write a verified copy of the ledger file to a new file, also while others write to it.",
    ),
    "restore": (
        "backing_up",
        "Put a backup in the ledger's place, after verifying it. The ledger that stood there is kept aside.",
    ),
    "figure": (
        "figuring",
        "Make one photograph, comparison or drawing into a picture for a talk or a post, with credit and edition.",
    ),
    "out": ("handing", "Hand out the ledger as it was last posted, in forms that other programs read."),
    "check": (
        "recording",
        "Verify the chain, the references and the results; name what would count twice, and decisions gone stale.",
    ),
}


def gathered(words: Sequence[str]) -> typer.Typer:
    """Return the program with the command that is asked for, or a list of all: what is not needed is not loaded."""
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
    name = next((word for word in words if not word.startswith("-")), "")
    if name not in COMMANDS:
        for one, (_, said) in COMMANDS.items():
            app.command(one, help=said)(witness)
        return app
    command = found(name)
    if isinstance(command, typer.Typer):
        app.add_typer(command, name=name)
    else:
        app.command(name)(command)
    return app


def found(name: str) -> Callable[..., Any]:
    """Return a command by its name; only now its module is loaded."""
    command: Callable[..., Any] = getattr(
        import_module(f"ledger.cli.{COMMANDS[name][0]}"),
        f"{name}_" if hasattr(builtins, name) else name.replace("-", "_"),
    )
    return command


def witness(
    version: Annotated[bool, typer.Option("--version", help="Print the version and stop.", is_eager=True)] = False,
) -> None:
    """Options of the program itself."""
    if version:
        print(metadata.version("witness-ledger"))
        raise typer.Exit


FAULTS, STORE = 1, 3


def _require_text(words: Sequence[str]) -> None:
    """Refuse words with bytes that are no text: they could neither be looked up nor be printed."""
    for word in words:
        try:
            word.encode("utf-8")
        except UnicodeEncodeError:
            remedy = "Write it anew; a file with such a name needs another one."
            given = f"`{ascii(word)[1:-1]}`"
            raise FaultsFound([of_command("", given, "words in UTF-8", remedy)]) from None


def run() -> None:
    """Run a command; exit with 1 on faults, 2 on words that cannot be read, 3 on a ledger file that cannot be used."""
    # It would print a traceback where an interruption comes while a file is closed.
    logging.getLogger("sqlalchemy").setLevel(logging.CRITICAL)
    try:
        _require_text(sys.argv[1:])
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
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(0)
    except OSError as error:
        where = f"{error.filename}: " if error.filename is not None else ""
        told = f"{where}{error.strerror or error}. Check the folder, its permissions and the free space."
        errors.print(told, style="red", markup=False)
        sys.exit(FAULTS)
