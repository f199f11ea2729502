"""No module of the package or of the tests is longer than a person reads at one go."""

from __future__ import annotations

from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
MOST = 400


def too_long(folder: Path) -> dict[str, int]:
    """Return the lines of every module below a folder that has more than it may have, by its path."""
    lines = {file: len(file.read_bytes().splitlines()) for file in sorted(folder.rglob("*.py"))}
    return {file.relative_to(folder).as_posix(): count for file, count in lines.items() if count > MOST}


@pytest.mark.parametrize("folder", ["ledger", "tests"])
def test_no_module_is_over_400_lines(folder: str) -> None:
    """What grows beyond that is divided along an idea."""
    assert too_long(ROOT / folder) == {}


@pytest.mark.parametrize(("lines", "found"), [(400, {}), (401, {"deep/down/module.py": 401})])
def test_a_line_too_many_is_caught(tmp_path: Path, lines: int, found: dict[str, int]) -> None:
    """The check passes a module of 400 lines and refuses one of 401, in any folder below."""
    module = tmp_path / "deep/down/module.py"
    module.parent.mkdir(parents=True)
    module.write_text("x = 1\n" * lines)
    assert too_long(tmp_path) == found
