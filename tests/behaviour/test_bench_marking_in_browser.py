"""In a real browser: what is being marked stays so, what is stated can be undone, faults stand at their fields."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import pytest

from tests.benches import BAR, PART, Seen, to
from tests.benches import root as root
from tests.ledger_files import taken


def named(seen: Seen) -> list[str]:
    """Return of what the points are."""
    return [name.split(", point")[0] for name in seen.points()]


def marking(seen: Seen) -> str:
    """Return what the line below the picture tells, once it has been drawn."""
    seen.points()
    return str(seen.page.inner_text("#marking"))


def test_a_note_with_marks_is_saved_and_comes_back(root: Path, address: str, chromium: Any) -> None:
    """Box and polygon are marked and named, the rivals judged; a missing judgement is told, and nothing written."""
    seen = Seen(chromium, address)
    page = seen.page
    seen.view()
    page.get_by_label("An evidence note").check()
    page.get_by_role("button", name="Box", exact=True).click()
    for place in ((300, 200), (500, 300)):
        page.mouse.click(*seen.on_screen(*place))
    page.get_by_role("button", name="Polygon", exact=True).click()
    for place in ((700, 400), (900, 420), (800, 700)):
        page.mouse.click(*seen.on_screen(*place))
    page.get_by_label("Label of box 1").fill("the bar")
    page.get_by_label("A question it bears on").select_option("questions/forks")
    page.get_by_label("A drum with grooves").fill("0.8")
    page.get_by_label("Title", exact=True).fill("A bar lies there")
    before = taken(root / "entries")
    page.get_by_role("button", name="Write and post").click()
    page.wait_for_selector(".refused")
    assert taken(root / "entries") == before
    page.get_by_label("A face cam").fill("unlikely")
    page.get_by_role("button", name="Write and post").click()
    page.wait_for_selector(".posted")
    text = (root / "entries/evidence/a-bar-lies-there.md").read_text()
    assert "label: the bar" in text
    assert "polygon: [[" in text
    placed = seen.points()
    page.reload()
    page.wait_for_selector("body[data-ready]")
    page.get_by_label("Open an entry again").select_option("evidence/a-bar-lies-there")
    page.wait_for_selector("#marks .point")
    assert seen.points() == placed
    assert page.get_by_label("A face cam").input_value() == "unlikely"
    # The browser's own note of an answer that says what is wrong.
    seen.complaints = [one for one in seen.complaints if "422" not in one]
    seen.close()


def test_a_click_near_a_point_of_another_thing_sets_a_point(root: Path, address: str, chromium: Any) -> None:
    """What was chosen by hand takes the click, even close by another's point; only a drag moves that one."""
    seen = Seen(chromium, address)
    page = seen.page
    seen.view()
    for place in BAR:
        page.mouse.click(*seen.on_screen(*place))
    page.locator(".track-choose", has_text="part").click()
    x, y = seen.on_screen(*BAR[1])
    for off in (10, -9):
        page.mouse.click(x + off, y)
    assert named(seen) == ["bar", "bar", "part", "part"]
    before = seen.points()
    page.mouse.click(*seen.on_screen(900, 700))
    page.wait_for_selector("#where:has-text('No point was set: part has all its points')")
    assert seen.points() == before
    left, top = seen.on_screen(*BAR[0])
    page.mouse.move(left, top)
    page.mouse.down()
    page.mouse.move(left + 40, top + 10, steps=5)
    page.mouse.up()
    assert seen.points()[0] != before[0]
    assert seen.points()[1:] == before[1:]
    assert page.locator(".track-choose[aria-pressed=true]").inner_text().startswith("part")
    seen.close()


def test_an_open_ended_thing_takes_no_points_of_another(root: Path, address: str, chromium: Any) -> None:
    """With a rim of many points, those clicked beside them for the reference belong to the reference."""
    seen = Seen(chromium, address)
    page = seen.page
    seen.view()
    page.get_by_label("Way of measuring").select_option("rim-ratio")
    rim = [seen.on_screen(800 + dx, 500 + dy) for dx, dy in ((0, -90), (90, 0), (0, 90), (-90, 0), (64, 64), (-64, 64))]
    for place in rim:
        page.mouse.click(*place)
    page.locator(".track-choose", has_text="reference").click()
    for x, y in rim[:5]:
        page.mouse.click(x + 9, y + 4)
    assert [named(seen).count(one) for one in ("rim", "reference")] == [6, 5]
    seen.close()


def test_the_keyboard_goes_on_to_the_next_thing(root: Path, address: str, chromium: Any) -> None:
    """After the last point of the bar, N or Enter goes on to the part and not back; the line below says how."""
    seen = Seen(chromium, address)
    page = seen.page
    seen.view()
    to(page, "#stage")
    page.keyboard.press("ArrowLeft")
    assert marking(seen) == "Marking bar: 0 of 2. Arrows move the cross, Enter sets a point there."
    page.keyboard.press("Enter")
    page.keyboard.press("Enter")
    for _ in range(3):
        page.keyboard.press("ArrowRight")
    page.keyboard.press("Enter")
    assert named(seen) == ["bar", "bar"]
    assert marking(seen) == "Marking part: 0 of 2. Enter goes on to the cross. Arrows move bar, point 2."
    assert page.get_attribute("#marking", "role") == "status"
    page.keyboard.press("n")
    assert marking(seen).startswith("Marking part: 0 of 2. Arrows move the cross")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Enter")
    assert named(seen) == ["bar", "bar", "part"]
    seen.close()


def test_undo_takes_back_what_was_stated_in_the_order_made(root: Path, address: str, chromium: Any) -> None:
    """A point, the known length, the tilt, the lens and the doubt go one by one, the latest first, and come again."""
    seen = Seen(chromium, address)
    page = seen.page
    seen.view()
    page.mouse.click(*seen.on_screen(*BAR[0]))
    tilt = page.locator("[data-at='known.tilt']")
    length = page.get_by_label("Known length", exact=True)
    lens = page.get_by_label("Lens", exact=True)
    doubt = page.get_by_label("Doubt of a pick, in pixels")
    length.press_sequentially("24 mm")
    tilt.press_sequentially("0 ± 5 °")
    lens.select_option("none")
    doubt.fill("3")
    page.mouse.click(*seen.on_screen(*BAR[1]))

    def stands() -> tuple[object, ...]:
        return len(seen.points()), length.input_value(), tilt.input_value(), lens.input_value(), doubt.input_value()

    states = [
        (2, "24 mm", "0 ± 5 °", "none", "3"),
        (1, "24 mm", "0 ± 5 °", "none", "3"),
        (1, "24 mm", "0 ± 5 °", "none", "1"),
        (1, "24 mm", "0 ± 5 °", "", "1"),
        (1, "24 mm", "", "", "1"),
        (1, "", "", "", "1"),
        (0, "", "", "", "1"),
    ]
    assert stands() == states[0]
    for state in states[1:]:
        page.get_by_role("button", name="Undo").click()
        assert stands() == state
    assert page.get_by_role("button", name="Undo").is_disabled()
    for state in reversed(states[:-1]):
        page.get_by_role("button", name="Redo").click()
        assert stands() == state
    seen.close()


@pytest.mark.parametrize(("width", "scheme"), [(360, "light"), (360, "dark"), (1600, "light"), (1600, "dark")])
def test_faults_stand_at_their_fields_and_doubt_is_told(
    root: Path, address: str, chromium: Any, width: int, scheme: str
) -> None:
    """A length that may be zero and a doubt beyond pixels are told at their fields; a result of nearly all doubt is."""
    seen = Seen(chromium, address, viewport={"width": width, "height": 800}, color_scheme=scheme)
    page = seen.page
    seen.view()
    page.locator("#stage").scroll_into_view_if_needed()
    for place in (*BAR, *PART):
        page.mouse.click(*seen.on_screen(*place))
    length = page.get_by_label("Known length", exact=True)
    for given in ("0 mm", "100 ± 200 mm"):
        length.fill(given)
        page.wait_for_selector("[data-wrong='known.bar']:has-text('surely more than 0 mm')")
        assert length.get_attribute("aria-invalid") == "true"
    length.fill("24 ± 0.2 mm")
    doubt = page.get_by_label("Doubt of a pick, in pixels")
    doubt.fill("1e9")
    page.wait_for_selector("[data-wrong='doubt']:has-text('Given `1e9`; expected a number of pixels between')")
    doubt.fill("1")
    seen.measured()
    assert page.locator(".doubtful").count() == 0
    length.fill("24 ± 11 mm")
    page.locator("[data-at='known.depth']").fill("0..2000 mm")
    page.get_by_label("Lens", exact=True).select_option("none")
    doubt.fill("42")
    seen.measured()
    told = page.inner_text(".result .doubtful")
    assert told.startswith("This tells next to nothing")
    assert "comes from the" in told
    assert page.locator(".slim").is_visible() == (width == 360)
    if width == 360:
        assert page.inner_text(".slim") == page.inner_text("#quantity")
    assert page.evaluate("() => document.documentElement.scrollWidth") <= width
    if folder := os.environ.get("WITNESS_PICTURES"):
        page.screenshot(path=f"{folder}/doubt-{width}-{scheme}.png")
    seen.complaints = [one for one in seen.complaints if "422" not in one]
    seen.close()
