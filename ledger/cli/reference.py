"""The reference of commands and of entries, written from the code itself: `python -m ledger.cli.reference > FILE`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Literal, get_args, get_origin

import typer.main
from pydantic import BaseModel
from pydantic.fields import FieldInfo

from ledger.cli.app import COMMANDS, gathered
from ledger.entries.models import FOLDERS, MODELS
from ledger.entries.wording import example_of

HEAD = """# Commands

Written by `python -m ledger.cli.reference`; a test holds it to the commands. All of them have `--help` too.
"""


ENTRIES = """
# Entries

What the front matter of each kind says: fields it must have, the words a field may hold or a line such as it takes,
and with a dot what is said inside of a field that has fields of its own (`must`: wherever that field stands).
"""

NOTES = {
    "box": "left, top, right, bottom in pixels, that is two corners",
    "polygon": "three or more points in pixels",
    "line": "its two ends in pixels",
    "point": "across and down in pixels",
    "span": "from and to in seconds of a recording",
    "size": "width and height of the whole picture in pixels",
    "lens": "`none`, `unknown`, or the terms of a lens",
    "bearing": "chances, ranges or words of ICD 203; of what is not seen `{would-show: 0.3}`",
    "at-least": "a quantity, `measurements/name` or `calculations/name#output`",
    "at-most": "a quantity, `measurements/name` or `calculations/name#output`",
}


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
    head = f"\n## `entries/{FOLDERS[kind]}/NAME.md`\n\n{_words(model.__doc__)}\n\n"
    rows = "".join(_rows(kind, model))
    return f"{head}| field | | such as |\n|---|---|---|\n| `kind` | must | `kind: {kind}` |\n{rows}"


def _rows(owner: str, model: type[BaseModel], within: str = "") -> Iterator[str]:
    for name, field in model.model_fields.items():
        key = field.alias or name
        if key == "kind":
            continue
        needed = "must" if field.is_required() else ""
        yield f"| `{within}{key}` | {needed} | {_holds(owner, key, field)} |\n"
        for part in dict.fromkeys(parts_of(field.annotation)):
            yield from _rows(key, part, f"{key}.") if not within else ()


def _holds(owner: str, key: str, field: FieldInfo) -> str:
    annotation = field.annotation
    if get_origin(annotation) is Literal:
        return "one of " + ", ".join(f"`{word}`" for word in get_args(annotation))
    note = NOTES.get(key, "")
    return f"`{_words(example_of(owner, key))}`" + (f": {note}" if note else "")


def parts_of(annotation: Any) -> Iterator[type[BaseModel]]:
    """Yield the models that a field's type is made of."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for inner in get_args(annotation):
        yield from parts_of(inner)


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
