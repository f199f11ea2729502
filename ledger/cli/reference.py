"""The reference of commands and of entries, written from the code itself: `python -m ledger.cli.reference > FILE`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, get_args

import typer.main
from pydantic import BaseModel
from pydantic.fields import FieldInfo

from ledger.cli.app import COMMANDS, gathered
from ledger.entries.models import FOLDERS, MODELS

HEAD = """# Commands

Written by `python -m ledger.cli.reference`; a test holds it to the commands. All of them have `--help` too.
"""


ENTRIES = """
# Entries

What the front matter of each kind must say and may say, and what is said inside of a field that has fields of its own.
An entry with a field left out, or with a value of another form, is told what is expected there.
"""


def reference() -> str:
    """Return the reference as Markdown: commands with arguments and options, kinds of entries with their fields."""
    return HEAD + "".join(_lines(name) for name in COMMANDS) + ENTRIES + "".join(map(_kind, MODELS))


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


def _kind(kind: str) -> str:
    model = MODELS[kind]
    fields = {field.alias or name: field for name, field in model.model_fields.items() if name != "kind"}
    must = ", ".join(_field(name, field) for name, field in fields.items() if field.is_required())
    may = ", ".join(_field(name, field) for name, field in fields.items() if not field.is_required())
    told = f"`kind: {kind}`, {must}"
    return (
        f"\n## `entries/{FOLDERS[kind]}/NAME.md`\n\n{_words(model.__doc__)}\n\n- must say: {told}\n- may say: {may}\n"
    )


def _field(name: str, field: FieldInfo) -> str:
    inner = sorted({key for part in _parts(field.annotation) for key in _keys(part)})
    return f"`{name}`" + (f" ({', '.join(f'`{key}`' for key in inner)})" if inner else "")


def _parts(annotation: Any) -> Iterator[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for inner in get_args(annotation):
        yield from _parts(inner)


def _keys(part: type[BaseModel]) -> Iterator[str]:
    yield from (field.alias or name for name, field in part.model_fields.items())


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
