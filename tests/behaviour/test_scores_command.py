"""What `witness scores` says."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from pathlib import Path
from unittest.mock import patch

import pytest

from ledger.casebook.opening import open_casebook
from ledger.cli import main, scoring
from tests.resolved import FORKS, lay_out
from tests.toys import TOYS

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    """Run the command in a folder: exit code, what it printed, what it complained of."""

    def go(root: Path, *words: str) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["witness", "scores", "--in", str(root), *words])
        monkeypatch.setattr(scoring.console, "width", 200)
        with patch.object(scoring, "open_casebook", lambda root: open_casebook(root, register=TOYS, count=100)):
            try:
                main()
                code = 0
            except SystemExit as stop:
                code = stop.code if isinstance(stop.code, int) else 0
        printed = capsys.readouterr()
        return code, printed.out, printed.err

    return go


def test_it_says_who_foretold_what(run: Run, tmp_path: Path) -> None:
    """Forecasters with their scores, the answer, and what each gave it, the infinite one told."""
    lay_out(tmp_path)
    code, said, wrong = run(tmp_path)
    assert (code, wrong) == (0, "")
    assert "It was A drum, known 2031-07-01." in said
    assert "72 %  The ledger, 2031-06-10" in said
    assert "infinite: 1 of 2 gave the answer no chance; 0.74 over the others" in said
    assert "Hidden" not in said
    assert "4 of its readers stated confidences" in said


def test_it_is_plain_json_for_a_script(run: Run, tmp_path: Path) -> None:
    """The same in JSON that any reader takes: an infinite score is a word, never a number JSON does not have."""
    lay_out(tmp_path)
    code, said, _ = run(tmp_path, "--json")
    assert code == 0

    def refuse(constant: str) -> None:
        raise ValueError(constant)

    found = json.loads(said, parse_constant=refuse)
    by = {(one["kind"], one["name"]): one for one in found["forecasters"]}
    assert by["ledger", ""]["brier"] == pytest.approx((1 - 0.5064 / 0.7) ** 2 + (0.1236 / 0.7) ** 2 + 0.01)
    assert by["unnamed", ""]["bits"]["bits"] == "infinite"
    assert found["answered"][0]["answer"] == "hypotheses/drum"
    assert found["readers"][FORKS]["people"] == 4
    assert "Hidden" not in said
    assert "replies/held" not in said


def test_without_an_answer_it_says_what_to_do(run: Run, tmp_path: Path) -> None:
    """Nothing resolved yet: how to resolve a question, and what readers hold of it."""
    lay_out(tmp_path, 5)
    code, said, _ = run(tmp_path)
    assert code == 0
    assert "No question is resolved yet: write `resolved:`" in said
    assert "4 of its readers" in said


def test_without_a_ledger_it_complains(run: Run, tmp_path: Path) -> None:
    """No investigation there: one fault, exit code 1, no traceback."""
    code, _, wrong = run(tmp_path / "nowhere")
    assert code == 1
    assert "no such folder" in wrong
