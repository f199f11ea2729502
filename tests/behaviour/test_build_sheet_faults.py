"""What decisions fix is held against what the sheet's sections declare, before anything is posted, all at once."""

from __future__ import annotations

from pathlib import Path

import pytest

from ledger.errors import Fault, FaultsFound
from tests.sheets import PAIR, decision, investigation

LENGTH = """---
kind: calculation
title: Length
calculator: axial-length
inputs:
  layout:
    rows:
      - {part: gear, length: 15 mm}
    reason: so
---
"""


def faults(folder: Path, **files: str) -> list[Fault]:
    """Return the faults of posting these decisions."""
    with pytest.raises(FaultsFound) as found:
        investigation(folder, {f"decisions/{name}": text for name, text in files.items()})
    return list(found.value.faults)


def test_everything_wrong_is_told_at_once_with_its_place(tmp_path: Path) -> None:
    """A name, a unit, a range, an option, a column, a missing cell and a count, each with line and field."""
    fixes = """
  scael: 0.3
  centre-distance: 54 kg
  gear-module: 900 mm
  process: carved from soap
  gear-pairs:
    - {gear: first, driver: 19.5, driven: 53}
    - {gear: second, driver: 23}
    - {gear: third, driver: 27, driven: 45, colour: red}
"""
    found = {(one.line, one.field): one for one in faults(tmp_path, model=decision(fixes))}
    assert {place: one.given for place, one in found.items()} == {
        (9, "fixes.scael"): "`scael`",
        (10, "fixes.centre-distance"): "`54 kg`",
        (11, "fixes.gear-module"): "`900 mm`",
        (12, "fixes.process"): "`carved from soap`",
        (14, "fixes.gear-pairs.1.driver"): "`19.5`",
        (15, "fixes.gear-pairs.2"): "no `driven`",
        (16, "fixes.gear-pairs.3.colour"): "`colour`",
    }
    assert found[9, "fixes.scael"].remedy == "Did you mean `scale`?"
    assert "kg" in found[10, "fixes.centre-distance"].given
    assert "mm" in found[10, "fixes.centre-distance"].remedy
    assert "0.05 to 100 mm" in found[11, "fixes.gear-module"].expected
    assert "cut from metal" in found[12, "fixes.process"].expected
    assert all(one.file.endswith("decisions/model.md") for one in found.values())


def test_one_value_is_no_table_and_a_table_no_value(tmp_path: Path) -> None:
    """Rows where a value belongs, and the other way round."""
    fixes = "\n  scale:\n    - {what: 0.3}\n  gear-pairs: 19\n"
    told = {one.field: (one.given, one.expected) for one in faults(tmp_path, model=decision(fixes))}
    assert told == {"fixes.scale": ("rows", "one value"), "fixes.gear-pairs": ("one value", "rows")}


def test_an_output_that_a_calculation_does_not_give_is_refused(tmp_path: Path) -> None:
    """`calculations/x#output` must name a number that is there, in a unit that fits."""
    fixes = """
  shaft-span: calculations/length#lenght
  gear-helix: calculations/length#length
  gear-module: measurements/nothing
"""
    with pytest.raises(FaultsFound) as found:
        investigation(tmp_path, {"decisions/model": decision(fixes), "calculations/length": LENGTH})
    told = {one.field: one for one in found.value.faults}
    assert told["fixes.shaft-span"].given == "`lenght`"
    assert told["fixes.shaft-span"].remedy == "Did you mean `length`?"
    assert "a quantity in °" in told["fixes.gear-helix"].expected
    assert "`measurements/nothing`" in told["fixes.gear-module.measurement"].given


def test_words_cannot_be_measured(tmp_path: Path) -> None:
    """A choice is stated, not taken from a measurement."""
    (fault,) = faults(tmp_path, model=decision("\n  process: measurements/hub-width\n"))
    assert (fault.field, fault.expected) == ("fixes.process", "a `value`")


def test_two_decisions_that_fix_one_thing_differently_conflict(tmp_path: Path) -> None:
    """Named with both; the one that was taken later is told."""
    (fault,) = faults(
        tmp_path,
        model=decision(PAIR),
        other=decision("\n  centre-distance: 55 mm\n", taken="2031-07-01"),
    )
    assert fault.file.endswith("decisions/other.md")
    assert (fault.line, fault.field) == (9, "fixes.centre-distance")
    assert fault.given == "`centre-distance`, which decisions/model fixes too"


def test_the_same_thing_said_twice_is_no_conflict(tmp_path: Path) -> None:
    """54 mm and 5.4 cm are one distance."""
    files = {"decisions/model": decision(PAIR), "decisions/other": decision("\n  centre-distance: 5.4 cm\n")}
    investigation(tmp_path, files)


def test_rows_of_two_decisions_are_put_together_unless_they_begin_alike(tmp_path: Path) -> None:
    """A reverse may come later; a second `first` may not."""
    later = decision("\n  gear-pairs:\n    - {gear: reverse, driver: 20, driven: 52}\n", taken="2031-07-01")
    investigation(tmp_path / "good", {"decisions/model": decision(PAIR), "decisions/later": later})
    again = later.replace("reverse", "first")
    (fault,) = faults(tmp_path / "bad", model=decision(PAIR), later=again)
    assert (fault.field, fault.given) == ("fixes.gear-pairs", "`gear-pairs`, first, which decisions/model fixes too")


def test_a_conflict_is_told_of_whichever_changed(tmp_path: Path) -> None:
    """The older decision, changed later into a conflict, is the one to mend."""
    files = {"decisions/model": decision(PAIR), "decisions/other": decision("\n  scale: 0.3\n", taken="2031-07-01")}
    investigation(tmp_path, files)
    with pytest.raises(FaultsFound) as found:
        investigation(tmp_path, {**files, "decisions/model": decision(PAIR.replace("0.3", "0.4"))})
    (fault,) = found.value.faults
    assert fault.file.endswith("decisions/model.md")
    assert fault.given == "`scale`, which decisions/other fixes too"


def test_a_withdrawn_decision_fixes_nothing(tmp_path: Path) -> None:
    """What it said is free for another."""
    gone = decision("\n  scale: 0.4\n").replace("taken:", "withdrawn: thought better of\ntaken:")
    investigation(tmp_path, {"decisions/model": decision(PAIR), "decisions/gone": gone})


def test_grounds_of_a_number_are_grounds_of_the_decision(tmp_path: Path) -> None:
    """A ground beside a number must stand among the decision's own."""
    fixes = "\n  scale: {value: 0.3, grounds: [measurements/hub-width, evidence/sleeve-groove]}\n"
    (fault,) = faults(tmp_path, model=decision(fixes))
    assert (fault.line, fault.field, fault.given) == (9, "fixes.scale.grounds.2", "`evidence/sleeve-groove`")
    investigation(
        tmp_path / "good", {"decisions/model": decision(fixes, "measurements/hub-width evidence/sleeve-groove")}
    )


def test_other_faults_of_the_decision_are_told_with_them(tmp_path: Path) -> None:
    """A wrong date does not hide a wrong unit."""
    told = {one.field for one in faults(tmp_path, model=decision("\n  scale: 3 mm\n", taken="soon"))}
    assert told == {"taken", "fixes.scale"}


def test_the_command_posts_nothing_of_a_faulty_decision(tmp_path: Path, run) -> None:
    """`witness post` asks the same rules."""
    folder = investigation(tmp_path, {})
    (folder / "entries" / "decisions").mkdir()
    (folder / "entries" / "decisions" / "model.md").write_text(decision("\n  scale: 3 mm\n"))
    code, _, errors = run("post", "--in", folder)
    assert code == 1
    assert "decisions/model.md:9  fixes.scale" in errors
    assert "`3 mm`" in errors
