"""The reference of commands is what the commands say, and README.md uses none that are not in it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from ledger.cli.app import COMMANDS
from ledger.cli.reference import reference

ROOT = Path(__file__).parents[2]


def test_the_reference_is_what_the_commands_say() -> None:
    """Written anew it is the same text; otherwise run `python -m ledger.cli.reference > ledger/cli/REFERENCE.md`."""
    assert reference() == (ROOT / "ledger/cli/REFERENCE.md").read_text("utf-8")


def unknown(text: str, known: str) -> Iterator[str]:
    """Commands and options in the shell blocks of a text that the reference does not have."""
    sections = {
        found[1]: found[0]
        for found in re.finditer(r"## `witness ([\w-]+)(?: ([\w-]+))?.*?(?=\n## |\Z)", known, re.DOTALL)
    }
    for block in re.findall(r"```sh\n(.*?)```", text, re.DOTALL):
        for line in block.replace("\\\n", " ").splitlines():
            for name, rest in re.findall(r"\bwitness ([a-z][\w-]*)([^#&]*)", line):
                if name not in COMMANDS:
                    yield name
                    continue
                # Options of a group's commands stand in sections of their own.
                whole = known if name == "replies" else sections[name]
                yield from (option for option in re.findall(r"(?<=\s)--[\w-]+", rest) if option not in whole)


def test_the_readme_uses_what_there_is() -> None:
    """Every command in its shell blocks exists, and so does every option."""
    readme, known = (ROOT / "README.md").read_text("utf-8"), reference()
    assert "ledger/cli/REFERENCE.md" in readme
    assert list(unknown(readme, known)) == []


@pytest.mark.parametrize("line", ["witness prove decisions/x", "witness rank --loudly"])
def test_a_command_that_is_none_is_found(line: str) -> None:
    """The check refuses a command or an option of no command."""
    assert len(list(unknown(f"```sh\n{line}\n```", reference()))) == 1
