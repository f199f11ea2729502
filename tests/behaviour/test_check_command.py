"""What `check` finds: results changed behind its back, notes and measurements that count twice."""

from __future__ import annotations

import sqlite3
from pathlib import Path

from tests.conftest import Run


def test_check_finds_a_result_changed_behind_its_back(run: Run, case: Path) -> None:
    """Results that do not follow from their inputs are wrong, and check says so with exit code 1."""
    run("rank", "--in", case)
    assert run("check", "--in", case)[0] == 0
    with sqlite3.connect(case / "witness.sqlite") as connection:
        connection.execute("UPDATE result SET summary = replace(summary, '0.9', '0.1') WHERE ref LIKE 'calculations/%'")
    connection.close()
    code, out, _ = run("check", "--in", case)
    assert code == 1
    assert "calculations/coil-fits" in out


def test_check_names_a_note_that_is_written_down_again(run: Run, case: Path) -> None:
    """The same words about one source with the same bearing count once more each time, and are named; others not."""
    note = case / "entries" / "evidence" / "rub-mark.md"
    again, other = note.with_stem("rub-mark-again"), note.with_stem("rub-mark-besides")
    again.write_text(note.read_text().replace("title: ", "title: Once more, ", 1))
    other.write_text(f"{note.read_text().rstrip()} It is fresh.\n")
    assert run("post", "--in", case)[0] == 0
    code, out, _ = run("check", "--in", case)
    assert code == 1
    assert "evidence/rub-mark, evidence/rub-mark-again say the same of sources/" in " ".join(out.split())
    assert "besides" not in out


def test_check_names_a_measurement_that_would_count_twice(run: Run, case: Path) -> None:
    """A note that restates a measurement and a calculation that stands on it are named until one does not count."""
    note = case / "entries" / "evidence" / "rub-mark.md"
    note.write_text(note.read_text().replace("credibility: 2", "credibility: 2\nmeasurements: [depth]"))
    calculation = case / "entries" / "calculations" / "coil-fits.md"
    calculation.write_text(
        calculation.read_text().replace("criteria:\n", "observed: {output: length, measurement: depth}\ncriteria:\n")
    )
    leaf = case / "entries" / "hypotheses" / "leaf-spring.md"
    leaf.write_text(leaf.read_text().replace("prior: 0.4", "prior: 0.4\npredicts: {depth: 1..30 mm}"))
    assert run("post", "--in", case)[0] == 0
    code, out, _ = run("check", "--in", case)
    assert code == 1
    assert "measurements/depth would count twice" in out
    note.write_text(
        note.read_text().replace("credibility: 2", "credibility: 2\nuncounted: the calculation says it better")
    )
    assert run("post", "--in", case)[0] == 0
    assert run("check", "--in", case)[0] == 0
