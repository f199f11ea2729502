"""What picks give is kept beside the record, never outlives what it was made from, and is held against the picks."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import numpy as np
import pytest

from ledger.casebook import measuring
from ledger.casebook.opening import STORE, open_casebook
from ledger.casebook.verifying import problems
from ledger.errors import PhotoRefused
from ledger.store.engine import open_store
from ledger.store.posting import post
from tests.casebook_calculators import REGISTER
from tests.ledger_files import put
from tests.measured_ledgers import SLEEVE, lay_out

SHEET = "measurements/sleeve"


@pytest.fixture
def root(tmp_path: Path) -> Path:
    """A posted investigation with a measurement from picks."""
    return posted(lay_out(tmp_path / "case"))


def posted(root: Path) -> Path:
    """Post what stands in a folder."""
    post(open_store(root / STORE), root / "entries", "2031-06-01T00:00:00Z")
    return root


def forbid(monkeypatch: pytest.MonkeyPatch) -> None:
    """Have every measuring fail from here on."""

    def refuse(one: object) -> None:
        raise AssertionError("measured again")

    monkeypatch.setattr(measuring, "_found", refuse)


def test_the_same_picks_are_measured_once(root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A casebook opened later has what an earlier one measured, to the last digit and the last draw."""
    first = open_casebook(root, count=500).measured(SHEET)
    forbid(monkeypatch)
    again = open_casebook(root, count=500).measured(SHEET)
    assert again == first
    assert np.array_equal(again.draws, first.draws)


def test_other_picks_are_measured_anew(root: Path) -> None:
    """A pick that was moved gives another length at the next opening."""
    first = open_casebook(root, count=500).measured(SHEET)
    put(root / "entries", {SHEET: SLEEVE.replace("[1010, 655]", "[1000, 640]")})
    assert open_casebook(posted(root), count=500).measured(SHEET).estimate != first.estimate


def test_other_code_measures_anew(root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What another formula gave is not taken for what this one gives."""
    open_casebook(root, count=500).measured(SHEET)
    monkeypatch.setattr(measuring, "code_digest", lambda packages: "another formula")
    forbid(monkeypatch)
    with pytest.raises(AssertionError, match="measured again"):
        open_casebook(root, count=500).measured(SHEET)


def test_only_measurements_are_measured(root: Path) -> None:
    """A source has no picks, and is told so."""
    casebook = open_casebook(root, count=500)
    with pytest.raises(PhotoRefused, match="expected a measurement"):
        casebook.measured(next(ref for ref in casebook.entries if ref.startswith("sources/")))


def test_what_was_changed_in_the_store_is_found(root: Path) -> None:
    """A kept length that its picks do not give is wrong, and check says which."""
    open_casebook(root, count=500).measured(SHEET)
    assert not [one for one in problems(root, register=REGISTER, count=500) if "picks" in one.message]
    with sqlite3.connect(root / STORE) as store:
        store.execute(
            "UPDATE result SET summary = json_set(summary, '$.estimate', 99.0) WHERE ref = ?", (f"picks of {SHEET}",)
        )
    assert [one for one in problems(root, register=REGISTER, count=500) if f"keeps of {SHEET}" in one.message]
