"""The recipe for a new calculator in DEVELOPERS.md is true: one file, one line in the register, nothing else."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]


def test_a_calculator_is_one_file_and_one_line(tmp_path: Path) -> None:
    """Written out from DEVELOPERS.md into a copy, it is listed, computes with units and doubt, and checks inputs."""
    shutil.copytree(ROOT / "ledger", tmp_path / "ledger", ignore=shutil.ignore_patterns("__pycache__"))
    recipe = re.search(
        r"<!-- recipe: (\w+)\.py -->\n```python\n(.*?)```", (ROOT / "DEVELOPERS.md").read_text(), re.DOTALL
    )
    assert recipe is not None
    module, code = recipe.groups()
    (tmp_path / "ledger" / "calculators" / f"{module}.py").write_text(code)
    register = tmp_path / "ledger" / "calculators" / "register.py"
    name, start = module.upper(), "CALCULATORS: tuple[Calculator, ...] = ("
    line = f"from ledger.calculators.{module} import {name}"
    register.write_text(register.read_text().replace(start, f"{line}\n{start}{name}, "))

    def witness(*words: str) -> subprocess.CompletedProcess[str]:
        command = [sys.executable, "-c", "from ledger.cli import main; main()", *words]
        environment = {**os.environ, "PYTHONPATH": str(tmp_path)}
        return subprocess.run(command, cwd=tmp_path, env=environment, capture_output=True, text=True, check=False)

    assert "bar-stretch" in json.loads(witness("calculators", "--json").stdout)
    done = witness("calculate", "bar-stretch", "pull=10 ± 1 kN", "length=2 m", "area=1 cm²", "--json")
    assert done.returncode == 0, done.stderr
    stretch = json.loads(done.stdout)["outcomes"][0]["summary"]
    assert abs(stretch["estimate"] - 10_000 * 2000 / (100 * 205_000)) < 0.01
    assert stretch["low"] < stretch["estimate"] < stretch["high"]
    refused = witness("calculate", "bar-stretch", "pull=10 kN", "length=-2 m", "area=1 cm²")
    assert refused.returncode == 1
    assert "length" in refused.stderr
