"""What the modules of quantities load, and what they leave alone until it is needed."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
LIGHT = {
    "import ledger.quantities.chance": {"pint", "numpy"},
    "import ledger.quantities.notation": {"pint", "numpy"},
    "from ledger.quantities.notation import parse; parse('62 ± 3 N·m')": {"pint", "numpy"},
    "import ledger.quantities.summary, ledger.quantities.draws": {"pint"},
}


def loaded(code: str) -> set[str]:
    """The names of the modules a fresh interpreter has loaded after some code."""
    program = f"import sys; sys.path.insert(0, {str(ROOT)!r}); {code}; print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    return set(done.stdout.split())


@pytest.mark.parametrize("code", LIGHT)
def test_light_modules_stay_light(code: str) -> None:
    """Chances and the reading of notation load neither pint nor numpy; draws and summaries load no pint."""
    assert not LIGHT[code] & loaded(code)


def test_a_heavy_module_would_be_noticed() -> None:
    """A conversion does load pint, and a draw numpy: the check above can fail."""
    code = "from ledger.quantities.notation import parse; import ledger.quantities.draws; parse('1 in').to('mm')"
    assert {"pint", "numpy"} <= loaded(code)
