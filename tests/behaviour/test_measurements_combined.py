"""Measurements of one quantity made into one: shared errors stay shared, and a conflict is told."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from tests.ledger_files import put
from tests.measured_ledgers import SLEEVE, lay_out

Run = Callable[..., tuple[int, str, str]]

OTHER = SLEEVE.replace("title: Width of the sleeve", "title: Width of the sleeve, marked again").replace(
    "[512, 204]", "[513, 205]"
)
TOLD = """---
kind: measurement
title: Width of the sleeve, as a drawing has it
quantity: {quantity}
source: view
credibility: 3
method: Read off
---
"""
BOTH = """---
kind: measurement
title: Width of the sleeve, all together
quantity: {quantity}
source: view
credibility: 2
method: Its parts as one
combines: [{parts}]
---
"""


def combined(root: Path, quantity: str, parts: str, told: str = "17.6 ± 1.0 mm") -> Path:
    """Lay out a ledger with two measurements by picks of one photograph, one without, and one of them all."""
    lay_out(root)
    put(
        root / "entries",
        {
            "measurements/again": OTHER,
            "measurements/told": TOLD.format(quantity=told),
            "measurements/together": BOTH.format(quantity=quantity, parts=parts),
        },
    )
    return root


def test_what_one_photograph_shares_is_not_averaged_away(tmp_path: Path, run: Run) -> None:
    """Two measurements by the same scale bar leave most of its doubt: more than 1/√2 of either."""
    root = combined(tmp_path, "17.4 ± 2.0 mm", "sleeve, again")
    run("post", "--in", root)
    said = run("measure", "together", "--in", root)[1]
    half = float(said.split("±")[1].split()[0])
    assert half > 1.45  # independent ones would leave 2.0/√2 = 1.4


def test_a_quantity_that_its_parts_do_not_give_is_told_and_mended(tmp_path: Path, run: Run) -> None:
    """Independent parts narrow the doubt; a combined quantity that says otherwise is wrong until it is written."""
    root = combined(tmp_path, "19.0 ± 0.2 mm", "sleeve, told")
    run("post", "--in", root)
    code, said, _ = run("check", "--in", root)
    assert code == 1
    assert "measurements/together says `19.0 ± 0.2 mm`, but its parts give" in said
    run("measure", "together", "--write", "--in", root)
    run("post", "--in", root)
    assert run("check", "--in", root)[0] == 0


def test_a_conflict_is_told(tmp_path: Path, run: Run) -> None:
    """Parts that cannot all be right are named, with the chance of such a difference."""
    root = combined(tmp_path, "17.4 ± 2.0 mm", "sleeve, told", "25 ± 0.5 mm")
    run("post", "--in", root)
    assert "its parts conflict" in run("measure", "together", "--in", root)[1]
    assert "its parts conflict" in run("check", "--in", root)[1]


def test_what_cannot_be_combined_is_refused_with_its_place(tmp_path: Path, run: Run) -> None:
    """One part, a part twice, and a part in another dimension are faults at `combines`."""
    root = combined(tmp_path, "17.4 ± 2.0 mm", "told, told", "3 ± 1 kg")
    code, _, wrong = run("post", "--in", root)
    assert code == 1
    assert wrong.count("combines") >= 2
