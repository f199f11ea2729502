"""The recipe for a new section of the build sheet in DEVELOPERS.md is true: one file, and everything follows."""

from __future__ import annotations

import re
import types
from pathlib import Path

import pytest

from ledger.building.contract import Section
from ledger.building.deciding.fixes import check_fixes
from ledger.building.sections.register import SECTIONS
from ledger.building.sheet import build_sheet
from ledger.building.telling.words import comes_from
from ledger.calculators.register import REGISTER
from ledger.casebook.opening import open_casebook
from ledger.entries.reading import Document, read_text
from ledger.quantities.summary import Summary
from ledger.store.engine import open_store
from ledger.store.posting import post
from tests.ledger_files import SMALL, put
from tests.sheets import AT, DRAWS, cell, decision, grid

ROOT = Path(__file__).parents[2]


@pytest.fixture
def sections() -> tuple[Section, ...]:
    """The sections with the one of the recipe among them, where its line would put it."""
    found = re.search(
        r"<!-- section recipe: (\w+)\.py -->\n```python\n(.*?)```",
        (ROOT / "DEVELOPERS.md").read_text("utf-8"),
        re.DOTALL,
    )
    assert found is not None
    module = types.ModuleType(found[1])
    exec(compile(found[2], f"{found[1]}.py", "exec"), module.__dict__)
    return (*SECTIONS[:-3], getattr(module, found[1].upper()), *SECTIONS[-3:])


def test_a_section_is_one_file_and_one_line(tmp_path: Path, sections: tuple[Section, ...]) -> None:
    """Its numbers have doubt and a chain; its feature, part and caution are on the sheet."""
    put(tmp_path / "entries", {**SMALL, "decisions/model": decision("\n  crank-arm: 60 mm\n")})
    store = open_store(tmp_path / "witness.sqlite")
    post(store, tmp_path / "entries", AT, lambda *given: check_fixes(REGISTER, *given, sections))
    sheet = build_sheet(open_casebook(tmp_path, count=DRAWS), sections)
    assert [one.section.name for one in sheet.chapters] == ["model", "crank", "least-features", "parts"]
    torque = cell(sheet, "crank", "the crank", "torque")
    assert isinstance(torque, Summary)
    assert (torque.low, torque.high) == (pytest.approx(1.2, abs=0.1), pytest.approx(3.6, abs=0.1))
    named = {column.name: [one.name for one in settled] for columns, settled in comes_from(sheet, grid(sheet, "crank"))
             for column in columns}  # fmt: skip
    assert named == {"arm": ["crank-arm"], "torque": ["crank-arm"]}
    assert cell(sheet, "least-features", "crank: pin", "verdict") == "can be made"
    assert cell(sheet, "parts", "crank", "made_by") == "cut from metal"
    assert any("swings back" in line for line in sheet.cautions)


def test_its_parameters_are_checked(sections: tuple[Section, ...]) -> None:
    """Before anything is posted, like all others."""
    text = decision("\n  crank-arm: 60 kg\n  crank-pul: 3 N\n")
    documents: dict[str, Document] = {"decisions/model": read_text(text, "decisions", "model")}
    told = {one.field: one.remedy for one in check_fixes({}, documents, {"decisions/model"}, sections)}
    assert set(told) == {"fixes.crank-arm", "fixes.crank-pul"}
    assert told["fixes.crank-pul"] == "Did you mean `crank-pull`?"
