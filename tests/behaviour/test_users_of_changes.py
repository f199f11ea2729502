"""What stays as it is is held to what it takes from what changes, before anything is posted."""

from __future__ import annotations

from pathlib import Path

from ledger.casebook.opening import open_casebook
from ledger.store.engine import open_store
from ledger.store.posting import post
from tests.conftest import Run

DEPTH, FITS = "entries/measurements/depth.md", "entries/calculations/coil-fits.md"


def changed(case: Path, file: str, old: str, new: str) -> None:
    """Change some words of an entry's file."""
    path = case / file
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new), "utf-8")


def test_a_measurement_in_a_unit_that_its_users_cannot_take_is_refused(run: Run, case: Path) -> None:
    """Told at the measurement, with who takes it; nothing is posted, and mended it posts."""
    assert run("post", "--in", case)[0] == 0
    changed(case, DEPTH, "14 ± 1.5 mm", "14 ± 1.5 kg")
    code, _, err = run("post", "--in", case)
    assert code == 1
    for words in (f"{DEPTH}:4", "quantity", "`14 ± 1.5 kg`", "a quantity in mm", "calculations/coil-fits takes"):
        assert words in err
    assert "1 fault; nothing was changed." in err
    changed(case, DEPTH, "14 ± 1.5 kg", "1.4 ± 0.15 cm")
    assert run("post", "--in", case)[0] == 0


def test_a_calculation_that_gives_another_number_is_refused(run: Run, case: Path) -> None:
    """One that others stand on cannot become one that gives them nothing."""
    (case / "entries/calculations/washer.md").write_text(
        "---\nkind: calculation\ntitle: What a washer leaves\ncalculator: axial-length\ninputs:\n  layout:\n    rows:\n"
        "      - {part: what is left, length: calculations/coil-fits#length}\n    reason: A washer lies there.\n---\n",
        "utf-8",
    )
    assert run("post", "--in", case)[0] == 0
    changed(case, FITS, "calculator: axial-length", "calculator: torque-headroom")
    code, _, err = run("post", "--in", case)
    assert code == 1
    assert "calculations/washer takes `inputs.layout.rows.1.length` from it" in err


def test_faults_that_were_there_before_stop_no_other_change(run: Run, case: Path) -> None:
    """A calculation that an earlier program let in does not stand in the way of a measurement it takes rightly."""
    changed(case, FITS, "2 ± 0.1 mm", "2 ± 0.1 kg")
    post(open_store(case / "witness.sqlite"), case / "entries", "2031-06-01T09:00:00Z")
    changed(case, DEPTH, "14 ± 1.5 mm", "14.2 ± 1.5 mm")
    assert run("post", "--in", case)[0] == 0


def test_a_fault_that_the_former_words_had_too_stops_no_change_of_others(run: Run, case: Path) -> None:
    """What a rule that came later finds wrong is not what this change did: another number in the same unit posts."""
    changed(case, DEPTH, "14 ± 1.5 mm", "14 ± 1.5 kg")
    post(open_store(case / "witness.sqlite"), case / "entries", "2031-06-01T09:00:00Z")
    changed(case, DEPTH, "14 ± 1.5 kg", "14.2 ± 1.5 kg")
    assert run("post", "--in", case)[0] == 0
    changed(case, DEPTH, "14.2 ± 1.5 kg", "14.2 ± 1.5 s")
    post(open_store(case / "witness.sqlite"), case / "entries", "2031-06-01T10:00:00Z")
    changed(case, DEPTH, "14.2 ± 1.5 s", "14.2 ± 1.5 mm")
    assert run("post", "--in", case)[0] == 0


def test_what_cannot_be_computed_is_said_of_its_rival_and_where_it_is_shown(run: Run, case: Path) -> None:
    """Not that nobody computed it."""
    changed(case, FITS, "2 ± 0.1 mm", "2 ± 0.1 kg")
    post(open_store(case / "witness.sqlite"), case / "entries", "2031-06-01T09:00:00Z")
    messages = [one.message for one in open_casebook(case, count=200).findings]
    assert any("calculations/coil-fits cannot be computed" in message for message in messages)
    assert not any("no calculation speaks to it" in message and "coil-spring" in message for message in messages)
    assert "cannot be computed" in run("show", "calculations/coil-fits", "--in", case)[1]
    code, out, _ = run("check", "--in", case)
    assert code == 1
    assert out.count("wrong calculations/coil-fits") == 1
    assert "the results hold" not in out
    assert "cannot be computed" in run("rank", "--in", case)[1]


def test_publishing_says_what_it_refused(run: Run, case: Path) -> None:
    """Not that it was computed; the reason stands once; its rival's page and its question's do not say untested."""
    changed(case, FITS, "2 ± 0.1 mm", "2 ± 0.1 kg")
    post(open_store(case / "witness.sqlite"), case / "entries", "2031-06-01T09:00:00Z")
    out = run("publish", "--no-post", "--in", case)[1]
    assert "refused calculations/coil-fits" in out
    assert "computed calculations/coil-fits\n" not in out
    assert out.count("2 ± 0.1 kg") == 1
    rival = (case / "build/site/hypotheses/coil-spring.html").read_text("utf-8")
    assert "Feasibility: cannot be computed, for" in rival
    asked = (case / "build/site/questions/return.html").read_text("utf-8")
    assert '<span class="wl-tag">cannot be computed</span>' in asked
    assert "No calculation tests A coil spring" not in asked
