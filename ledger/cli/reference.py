"""The reference of commands, written from the commands themselves: `python -m ledger.cli.reference > FILE`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import typer.main

from ledger.cli.app import COMMANDS, gathered

HEAD = """# Commands

Written by `python -m ledger.cli.reference`; a test holds it to the commands. All of them have `--help` too.
"""


def reference() -> str:
    """Return the reference as Markdown: every command with its words, arguments and options."""
    return HEAD + "".join(_lines(name) for name in COMMANDS)


def _lines(name: str) -> str:
    # The program's root, as Typer builds it, is a group of the one command that was asked for.
    root: Any = typer.main.get_command(gathered([name]))
    return "".join(_section(f"witness {name}", root.commands[name]))


def _section(called: str, command: Any) -> Iterator[str]:
    options = [one for one in command.params if one.opts[0].startswith("-")]
    arguments = [one for one in command.params if one not in options]
    usage = " ".join([called, *map(_argument, arguments), *(["[OPTIONS]"] if options else [])])
    yield f"\n## `{usage}`\n\n{_words(command.help)}\n"
    rows = [*((f"`{_argument(one)}`", one) for one in arguments), *((f"`{_option(one)}`", one) for one in options)]
    if rows:
        yield "\n| | | otherwise |\n|---|---|---|\n"
        yield from (f"| {shown} | {_words(getattr(one, 'help', ''))} | {_otherwise(one)} |\n" for shown, one in rows)
    for name, inner in sorted(getattr(command, "commands", {}).items()):
        yield from _section(f"{called} {name}", inner)


def _argument(one: Any) -> str:
    name = one.metavar or one.name.upper()
    many = f"{name} …" if one.nargs == -1 and "…" not in name else name
    return many if one.required else f"[{many}]"


def _option(one: Any) -> str:
    value = "" if one.is_flag else f" {one.metavar or one.name.upper()}"
    return " / ".join([*one.opts, *one.secondary_opts]) + value


def _otherwise(one: Any) -> str:
    if one.required:
        return "required"
    shown = one.default
    if shown is None or shown is False or shown == () or callable(shown):
        return ""
    return f"`{shown}`" if shown is not True else "yes"


def _words(text: str | None) -> str:
    return " ".join((text or "").split()).replace("|", "\\|")


if __name__ == "__main__":
    print(reference(), end="")
