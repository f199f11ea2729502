"""The program as a wheel: installed where the repository is not, it starts an investigation and ranks it."""

from __future__ import annotations

import subprocess
import sys
import sysconfig
from pathlib import Path

ROOT = Path(__file__).parents[2]


def said(*words: str | Path, cwd: Path) -> str:
    """What a command prints."""
    done = subprocess.run([str(word) for word in words], cwd=cwd, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def test_a_wheel_starts_an_investigation_elsewhere(tmp_path: Path) -> None:
    """Built and installed into an environment of its own, it posts, ranks and publishes what it has laid out."""
    said(sys.executable, "-m", "pip", "wheel", "-q", "--no-deps", "-w", tmp_path / "wheels", ROOT, cwd=tmp_path)
    (wheel,) = (tmp_path / "wheels").glob("witness_ledger-*.whl")
    said(sys.executable, "-m", "venv", tmp_path / "empty", cwd=tmp_path)
    python = tmp_path / "empty/bin/python"
    said(python, "-m", "pip", "install", "-q", "--no-deps", "--no-index", wheel, cwd=tmp_path)
    # What the wheel needs is installed beside these tests already; only the program itself is taken from the wheel.
    own = Path(said(python, "-c", "import sysconfig; print(sysconfig.get_path('purelib'))", cwd=tmp_path).strip())
    (own / "beside.pth").write_text(sysconfig.get_path("purelib"), "utf-8")
    witness = tmp_path / "empty/bin/witness"
    where = said(python, "-P", "-c", "import ledger; print(ledger.__file__)", cwd=tmp_path)
    assert Path(where.strip()).is_relative_to(own)
    said(witness, "start", "case", "--title", "What returns it?", "--by", "A. Reader", cwd=tmp_path)
    assert "(leads)" in said(witness, "publish", cwd=tmp_path / "case")
    assert (tmp_path / "case/build/site/index.html").is_file()
