"""The layers hold: imports point down only, and the formulas stand on the standard library's math alone."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


def lint(folder: Path) -> subprocess.CompletedProcess[str]:
    """Run the layer check on a copy or on the project itself."""
    command = [
        sys.executable,
        "-c",
        "from importlinter.cli import lint_imports; raise SystemExit(lint_imports(no_cache=True))",
    ]
    environment = {"PATH": "/usr/bin:/bin", "PYTHONPATH": str(folder)}
    return subprocess.run(command, cwd=folder, env=environment, capture_output=True, text=True, check=False)


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    """A copy of the package with its layer rules."""
    shutil.copytree(ROOT / "ledger", tmp_path / "ledger", ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    return tmp_path


def test_imports_point_down() -> None:
    """No module imports one of a layer above it, brothers in one layer leave each other alone, nothing goes round."""
    done = lint(ROOT)
    assert done.returncode == 0, done.stdout


@pytest.mark.parametrize(
    ("module", "upward"),
    [
        ("quantities/units.py", "ledger.entries.models"),
        ("weighing/values.py", "ledger.calculators.contract"),
        ("publishing/pages.py", "ledger.press"),
        ("replies/accepting.py", "ledger.publishing.pages"),
        ("replies/intake/serving.py", "ledger.store.engine"),
        ("replies/document.py", "ledger.store.records"),
    ],
)
def test_a_planted_upward_import_is_caught(copy: Path, module: str, upward: str) -> None:
    """The check refuses an import that points up or sideways."""
    target = copy / "ledger" / module
    target.write_text(target.read_text() + f"\nimport {upward}\n")
    done = lint(copy)
    assert done.returncode != 0
    assert upward in done.stdout


@pytest.mark.parametrize(
    ("module", "above", "told"),
    [
        ("casebook/items.py", "ledger.casebook.values", ".items -> .values"),
        ("publishing/words.py", "ledger.publishing.drawings.stack", ".words -> .drawings"),
    ],
)
def test_a_planted_circle_is_caught(copy: Path, module: str, above: str, told: str) -> None:
    """The check refuses an import within a layer of what stands on the importing module, and says which to take out."""
    target = copy / "ledger" / module
    target.write_text(target.read_text() + f"\nimport {above}\n")
    done = lint(copy)
    assert done.returncode != 0
    assert told in done.stdout


def test_mkdocs_is_imported_in_one_file_only() -> None:
    """Whatever becomes of MkDocs, one file would change."""
    importing = {
        str(file.relative_to(ROOT))
        for file in (ROOT / "ledger").rglob("*.py")
        if any(line.lstrip().startswith(("import mkdocs", "from mkdocs")) for line in file.read_text().splitlines())
    }
    assert importing == {"ledger/press.py"}


def mechanics() -> list[str]:
    """Every module of mechanics."""
    return sorted(f"ledger.mechanics.{file.stem}" for file in (ROOT / "ledger" / "mechanics").glob("[a-z]*.py"))


@pytest.mark.parametrize("module", mechanics())
def test_mechanics_needs_the_standard_library_alone(module: str) -> None:
    """Each formula module imports in an isolated interpreter without site packages, and loads nothing slow."""
    code = (
        f"import sys; sys.path.insert(0, {str(ROOT)!r}); import {module}; "
        "slow = {'dataclasses', 'enum', 'typing', 'numpy'} & set(sys.modules); print(sorted(slow))"
    )
    done = subprocess.run([sys.executable, "-I", "-S", "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert done.stdout.strip() == "[]"
