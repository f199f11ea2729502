"""Signs that nobody sees and that steer a terminal or a page are refused at posting, wherever they stand."""

from __future__ import annotations

from pathlib import Path

import pytest

from ledger.entries.reading import read_folder
from ledger.entries.signs import check_signs
from tests.conftest import Run

ROOT = Path(__file__).parents[2]
NOTE = "entries/evidence/ping.md"
TITLE, BODY = "The owner remembers a ringing noise when it came apart", "Coils ring when they fly"


@pytest.mark.parametrize(
    ("old", "new", "place", "sign"),
    [
        (f"title: {TITLE}", 'title: "\\e[31mred"', "title", "U+001B"),
        (f"title: {TITLE}", "title: safe \u202eelif", "title", "U+202E"),
        (BODY, "Coils \x00 ring", "text", "U+0000"),
        (BODY, "Coils \x1b[2J ring", "text", "U+001B"),
        (f"title: {TITLE}", "title: Coils \u2066 ring", "title", "U+2066"),
    ],
)
def test_a_sign_that_steers_is_refused_where_it_stands(
    run: Run, case: Path, old: str, new: str, place: str, sign: str
) -> None:
    """Written as it is or by an escape of YAML; nothing is posted, and no report prints the sign itself."""
    path = case / NOTE
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new), "utf-8")
    code, out, err = run("post", "--in", case)
    assert code == 1
    for words in (NOTE, place, f"the sign {sign}", "Take the sign out"):
        assert words in err
    assert not {"\x1b", "\x00", "\u202e", "\u2066"} & set(out + err)


def test_a_cell_of_a_table_given_to_calculate_is_held_to_it(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As a cell of an entry is."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "stack.csv").write_text("part,length\nplate\x1b[31m,2 ± 0.1 mm\n")
    code, out, err = run("calculate", "axial-length", "layout=@stack.csv")
    assert code == 1
    assert "layout.rows.1.part" in err
    assert "\x1b[31m" not in out + err


def test_nothing_in_the_demo_is_held_to_be_unseen() -> None:
    """Accents, signs of measure and of quotation are text like any other."""
    documents, _ = read_folder(ROOT / "entries")
    assert check_signs({one.ref: one for one in documents}, {one.ref for one in documents}) == []
