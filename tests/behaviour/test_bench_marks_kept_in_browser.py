"""What is marked on the bench is never lost without a word: by photograph, by kind, by entry, in a real browser."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from ledger.entries.models import Evidence, Measurement
from ledger.entries.reading import read_file
from tests.benches import BAR, PART, Seen, posted_case
from tests.ledger_files import taken
from tests.measured_ledgers import PICTURE

MARKED = """---
kind: measurement
title: Length of the part
quantity: 62 ± 4 mm
source: drawn-view
credibility: 2
method: Beside the bar
marks:
  - {label: the part, box: [560, 280, 640, 820]}
  - {label: where it is said, page: 4}
  - {label: upper end, point: [600, 300]}
picked:
  by: scale-bar
  points: {bar: [[300, 250], [492, 250]], part: [[600, 300], [600, 796]]}
  known: {bar: 24 ± 0.2 mm}
  lens: none
---
"""


@pytest.fixture
def root(tmp_path: Path) -> Path:
    """A posted investigation with two photographs, and a measurement with marks of its own."""
    case = posted_case(tmp_path / "case")
    (case / "entries/measurements/part.md").write_text(MARKED)
    return case


def opened(seen: Seen, ref: str) -> None:
    """Open an entry again and wait for its photograph."""
    seen.page.get_by_label("Open an entry again").select_option(ref)
    seen.page.wait_for_selector("#stage[data-shown='whole']")
    seen.page.wait_for_selector("#marks .point")


def test_a_measurement_s_own_marks_are_drawn_and_edited(root: Path, address: str, chromium: Any) -> None:
    """Box and point lie over the photograph beside the picks, are moved and renamed; what is no place stays."""
    seen = Seen(chromium, address)
    page = seen.page
    opened(seen, "measurements/part")
    assert [name.split(", at ") for name in seen.points()] == [
        ["bar, point 1 of 2", "300, 250 px"], ["bar, point 2 of 2", "492, 250 px"],
        ["part, point 1 of 2", "600, 300 px"], ["part, point 2 of 2", "600, 796 px"],
        ["the part, point 1 of 2", "560, 280 px"], ["the part, point 2 of 2", "640, 820 px"],
        ["upper end, point 1 of 1", "600, 300 px"],
    ]  # fmt: skip
    assert "where it is said: page 4" in page.inner_text(".kept")
    before = seen.measured()
    page.locator("#marks .point").nth(4).focus()
    page.keyboard.press("Shift+ArrowLeft")
    page.get_by_label("Label of upper end").fill("upper edge")
    assert seen.measured() == before
    page.get_by_role("button", name="Write and post").click()
    page.wait_for_selector(".posted")
    document = read_file(root / "entries/measurements/part.md", root)
    assert document.front["marks"] == [
        {"label": "the part", "box": [550, 280, 640, 820]},
        {"label": "where it is said", "page": 4},
        {"label": "upper edge", "point": [600, 300]},
    ]
    assert isinstance(document.entry, Measurement)
    assert document.entry.picked is not None
    assert set(document.entry.picked.points) == {"bar", "part"}
    page.get_by_role("button", name="Delete the part").click()
    page.get_by_role("button", name="Delete where it is said").click()
    page.get_by_role("button", name="Write and post").click()
    page.wait_for_selector(".outcome:has-text('revised')")
    document = read_file(root / "entries/measurements/part.md", root)
    assert document.front["marks"] == [{"label": "upper edge", "point": [600, 300]}]
    seen.close()


def test_marks_of_a_note_stay_with_their_photograph(root: Path, address: str, chromium: Any) -> None:
    """Another photograph has none of them; the first has them again, with words and bearings; so after a save."""
    seen = Seen(chromium, address)
    page = seen.page
    seen.view()
    page.get_by_label("An evidence note").check()
    page.get_by_role("button", name="Line", exact=True).click()
    for place in BAR:
        page.mouse.click(*seen.on_screen(*place))
    page.get_by_role("button", name="Polygon", exact=True).click()
    page.mouse.click(*seen.on_screen(700, 400))
    page.get_by_label("Label of line 1").fill("the bar")
    page.get_by_label("Title", exact=True).fill("A bar lies there")
    page.get_by_label("A question it bears on").select_option("questions/forks")
    page.get_by_label("A drum with grooves").fill("0.8")
    placed = seen.points()
    assert len(placed) == 3
    page.get_by_label("Photograph or recording").select_option("source view")
    page.wait_for_selector(f"#stage[data-shown='whole'][data-file='{PICTURE}']")
    assert seen.points() == []
    assert page.get_by_label("Title", exact=True).input_value() == "A bar lies there"
    assert page.get_by_label("A drum with grooves").input_value() == "0.8"
    page.get_by_role("button", name="Point", exact=True).click()
    page.mouse.click(
        *page.evaluate("() => { const b = stage.getBoundingClientRect(); return [b.x + 200, b.y + 200]; }")
    )
    here = seen.points()
    page.get_by_role("button", name="2 marks on true-view.jpg").click()
    page.wait_for_selector("#stage[data-shown='whole'][data-file*='true-view']")
    assert seen.points() == placed
    page.get_by_role("button", name="Delete polygon 1").click()
    page.get_by_label("A face cam").fill("unlikely")
    page.get_by_role("button", name="Write and post").click()
    page.wait_for_selector(".posted")
    document = read_file(root / "entries/evidence/a-bar-lies-there.md", root)
    assert isinstance(document.entry, Evidence)
    assert [mark.label for mark in document.entry.marks] == ["the bar"]
    # Marks on the other photograph belong to a new note, which begins when it is chosen.
    page.get_by_label("Photograph or recording").select_option("source view")
    page.wait_for_selector(f"#stage[data-shown='whole'][data-file='{PICTURE}']")
    assert page.inner_text(".save h2") == "Save as an evidence note"
    assert seen.points() == here
    seen.close()


def test_it_is_asked_before_anything_is_dropped(root: Path, address: str, chromium: Any) -> None:
    """Opening an entry over marks that are not saved asks; going back keeps them, dropping goes on."""
    seen = Seen(chromium, address)
    page = seen.page
    seen.view()
    for place in BAR:
        page.mouse.click(*seen.on_screen(*place))
    placed = seen.points()
    page.get_by_label("Open an entry again").select_option("measurements/part")
    asked = page.get_by_role("dialog", name="This is not saved yet")
    asked.wait_for()
    assert "the marks here" in asked.inner_text()
    page.keyboard.press("Enter")
    asked.wait_for(state="hidden")
    assert seen.points() == placed
    assert page.get_by_label("Open an entry again").input_value() == ""
    page.get_by_label("Open an entry again").select_option("measurements/part")
    page.keyboard.press("Escape")
    asked.wait_for(state="hidden")
    assert seen.points() == placed
    page.get_by_label("Open an entry again").select_option("measurements/part")
    page.get_by_role("button", name="Drop it and go on").click()
    page.wait_for_selector("#marks .point >> nth=6")
    # What was just opened is not asked about.
    page.get_by_role("button", name="Begin a new entry").click()
    assert not asked.is_visible()
    assert seen.points() == []
    opened(seen, "measurements/part")
    page.get_by_label("Title", exact=True).fill("Another title")
    page.get_by_label("Photograph or recording").select_option("source view")
    asked.wait_for()
    assert "the title or other words" in asked.inner_text()
    page.get_by_role("button", name="Go back to it").click()
    assert page.get_by_label("Title", exact=True).input_value() == "Another title"
    assert page.get_by_label("Photograph or recording").input_value() == "source drawn-view"
    seen.close()


def test_leaving_the_page_asks_too(root: Path, address: str, chromium: Any) -> None:
    """With marks that are not saved the browser asks before the page goes; without any it does not."""
    seen = Seen(chromium, address)
    page = seen.page
    asked: list[str] = []

    def told(dialog: Any) -> None:
        asked.append(dialog.type)
        dialog.accept()

    page.on("dialog", told)
    seen.view()
    page.reload()
    page.wait_for_selector("body[data-ready]")
    assert asked == []
    seen.view()
    page.mouse.click(*seen.on_screen(*BAR[0]))
    page.reload()
    page.wait_for_selector("body[data-ready]")
    assert asked == ["beforeunload"]
    seen.close()


def test_switching_kind_and_way_of_measuring_keeps_everything(root: Path, address: str, chromium: Any) -> None:
    """Marks of each way and kind come back, and so does what was stated."""
    seen = Seen(chromium, address)
    page = seen.page
    seen.view()
    for place in (*BAR, *PART):
        page.mouse.click(*seen.on_screen(*place))
    page.get_by_label("Known length").fill("24 ± 0.2 mm")
    measured, placed = seen.measured(), seen.points()
    page.get_by_label("Way of measuring").select_option("plane-length")
    page.mouse.click(*seen.on_screen(100, 100))
    page.get_by_label("An evidence note").check()
    page.get_by_role("button", name="Point", exact=True).click()
    page.mouse.click(*seen.on_screen(400, 400))
    assert len(seen.points()) == 1
    page.get_by_label("A measurement").check()
    assert "corners, point 1 of 1" in seen.points()[0]
    page.get_by_label("Way of measuring").select_option("scale-bar")
    assert seen.measured() == measured
    assert seen.points() == placed
    page.get_by_label("An evidence note").check()
    assert len(seen.points()) == 1
    seen.close()


def test_a_mark_that_was_only_begun_is_told(root: Path, address: str, chromium: Any) -> None:
    """A polygon of two points is no polygon: it is said at its row with all else that is wrong; nothing is written."""
    seen = Seen(chromium, address)
    page = seen.page
    seen.view()
    page.get_by_label("An evidence note").check()
    page.get_by_role("button", name="Polygon", exact=True).click()
    for place in BAR:
        page.mouse.click(*seen.on_screen(*place))
    before = taken(root)
    page.get_by_role("button", name="Write and post").click()
    page.wait_for_selector(".refused")
    assert "2 of 3 points" in page.inner_text(".track-row .wrong")
    assert page.get_by_label("Title", exact=True).get_attribute("aria-invalid") == "true"
    assert taken(root) == before
    seen.complaints = [one for one in seen.complaints if "422" not in one]
    seen.close()


def test_an_entry_whose_picture_is_gone_takes_another(root: Path, address: str, chromium: Any) -> None:
    """Its marks stay while the picture that was moved is chosen, and the entry is revised with it."""
    moved = root / "photographs" / "moved.jpg"
    (root / "photographs" / "true-view.jpg").rename(moved)
    seen = Seen(chromium, address)
    page = seen.page
    page.get_by_label("Open an entry again").select_option("measurements/part")
    page.wait_for_selector("#marks .point >> nth=6", state="attached")
    assert "cannot be opened" in page.inner_text("#empty")
    page.get_by_label("Photograph or recording").select_option("file photographs/moved.jpg")
    page.wait_for_selector("#stage[data-shown='whole']")
    assert len(seen.points()) == 7
    assert page.inner_text(".save h2") == "Revise measurements/part"
    assert seen.measured().endswith("mm")
    seen.complaints = [one for one in seen.complaints if "422" not in one]
    seen.close()
