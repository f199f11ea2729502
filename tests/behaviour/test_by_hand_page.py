"""The page that uses the program as a library: its cells are run in order, and print what stands below them."""

from __future__ import annotations

import io
import re
from contextlib import redirect_stdout
from pathlib import Path

import pytest

PAGE = Path(__file__).parents[2] / "site/pages/by-hand.md"
CELL = re.compile(r"```python\n(?P<code>.*?)```\n\n```text\n(?P<printed>.*?)```", re.DOTALL)


def wrong(text: str) -> list[str]:
    """What each cell prints where that is something else than the page says; the cells share their names."""
    names: dict[str, object] = {}
    found = []
    for cell in CELL.finditer(text):
        heard = io.StringIO()
        with redirect_stdout(heard):
            exec(compile(cell["code"], PAGE.name, "exec"), names)
        if heard.getvalue() != cell["printed"]:
            found.append(heard.getvalue())
    return found


def test_cells_print_what_stands_below_them() -> None:
    """Every cell of the page has what it prints below it, and prints just that."""
    text = PAGE.read_text("utf-8")
    assert text.count("```python") == len(CELL.findall(text)) >= 3
    assert wrong(text) == []


@pytest.mark.parametrize("changed", [('"drum": 0.8', '"drum": 0.6'), ("drum 0.", "drum 1.")])
def test_another_number_is_refused(changed: tuple[str, str]) -> None:
    """A number changed in a cell or below it is found."""
    text = PAGE.read_text("utf-8")
    assert changed[0] in text
    assert wrong(text.replace(*changed, 1))
