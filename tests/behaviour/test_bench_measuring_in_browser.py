"""Whole measurements on the bench in a real browser, by pointer, touch and keyboard, against the truth."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from PIL import Image, ImageOps

from ledger.casebook.opening import STORE
from ledger.entries.models import Measurement
from ledger.entries.reading import read_file
from ledger.store.engine import open_store
from ledger.store.records import current
from tests.benches import BAR, PART, TRUTH, Seen, fingers, to
from tests.benches import root as root


def truth_holds(root: Path, name: str) -> None:
    """The truth lies in the interval of the posted measurement, which is not wide without need."""
    document = read_file(root / "entries" / "measurements" / f"{name}.md", root)
    assert isinstance(document.entry, Measurement)
    quantity = document.entry.quantity
    assert abs(quantity.mean - TRUTH) <= 1.96 * quantity.std
    assert 1.96 * quantity.std < 0.15 * TRUTH
    assert f"measurements/{name}" in current(open_store(root / STORE))


def test_a_measurement_by_clicking_agrees_with_the_truth_and_comes_back(
    root: Path, address: str, chromium: Any
) -> None:
    """Four clicks, one known length and a title make a posted measurement; reopened, its marks are where they were."""
    seen = Seen(chromium, address)
    page = seen.page
    seen.view()
    for place in (*BAR, *PART):
        page.mouse.click(*seen.on_screen(*place))
    page.get_by_label("Known length").fill("24 ± 0.2 mm")
    page.get_by_label("Lens", exact=True).select_option("none")
    assert "mm" in seen.measured()
    assert len(seen.points()) == 4
    # Dragging an end moves the measurement, and undoing brings it back.
    before = seen.measured()
    x, y = seen.on_screen(*PART[1])
    page.mouse.move(x, y)
    page.mouse.down()
    for step in range(1, 11):
        page.mouse.move(x, y - 10 * step)
    assert page.locator("#loupe").is_visible()
    page.mouse.up()
    assert float(seen.measured().split()[0]) < 0.9 * float(before.split()[0])
    page.keyboard.press("Control+z")
    assert seen.measured() == before
    page.get_by_label("Title", exact=True).fill("Length of the part")
    page.get_by_label("Credibility").select_option("2")
    page.get_by_role("button", name="Show the file").click()
    shown = page.locator(".files code").inner_text()
    assert f"quantity: {before}" in shown
    assert not (root / "entries/measurements/length-of-the-part.md").exists()
    page.get_by_role("button", name="Write and post").click()
    page.wait_for_selector(".posted")
    assert (root / "entries/measurements/length-of-the-part.md").read_text() == shown
    truth_holds(root, "length-of-the-part")
    placed = seen.points()
    page.reload()
    page.wait_for_selector("body[data-ready]")
    page.get_by_label("Open an entry again").select_option("measurements/length-of-the-part")
    assert seen.measured() == before
    assert seen.points() == placed
    page.locator("#marks .point").first.focus()
    page.keyboard.press("Shift+ArrowRight")
    page.get_by_role("button", name="Write and post").click()
    page.wait_for_selector(".posted")
    assert "revised" in page.inner_text(".outcome")
    seen.close()


def cross_to(page: Any, x: float, y: float) -> None:
    """Bring the cross to a place: in large steps, then by single pixels."""
    page.keyboard.press("ArrowLeft")
    page.wait_for_selector("#where:has-text('cross')")
    for _ in range(400):
        words = page.inner_text("#where").removeprefix("cross: ").removesuffix(" px").split(", ")
        off = (x - float(words[0]), y - float(words[1]))
        if max(map(abs, off)) <= 0.5:
            return
        axis = 0 if abs(off[0]) > 0.5 else 1
        key = ("ArrowLeft", "ArrowRight") if axis == 0 else ("ArrowUp", "ArrowDown")
        far = abs(off[axis])
        page.keyboard.press(("" if far > 60 else "Alt+") + key[off[axis] > 0])
        page.wait_for_timeout(20)
    raise AssertionError("the cross does not get there")


def test_the_same_by_keyboard_alone(root: Path, address: str, chromium: Any) -> None:
    """Without any pointer: the photograph is chosen, points are set, nudged, walked through, deleted, saved."""
    seen = Seen(chromium, address)
    page = seen.page
    to(page, "select")
    page.keyboard.type("A drawn")
    page.wait_for_selector("#stage[data-shown='whole']")
    to(page, "#stage")
    page.keyboard.press("+")
    page.keyboard.press("0")
    for number, place in enumerate((*BAR, *PART), 1):
        cross_to(page, *place)
        page.keyboard.press("Enter")
        assert page.evaluate("() => document.activeElement.classList.contains('point')")
        assert len(seen.points()) == number
        page.keyboard.press("Escape")
    page.keyboard.press("Tab")
    first = seen.points()[0]
    for keys, moved in (("ArrowRight", 1.0), ("Shift+ArrowRight", 11.0), ("Alt+ArrowRight", 11.1)):
        page.keyboard.press(keys)
        page.wait_for_timeout(50)
        x = float(seen.points()[0].split("at ")[1].split(",")[0])
        assert x - float(first.split("at ")[1].split(",")[0]) == pytest.approx(moved)
    page.wait_for_timeout(800)
    page.keyboard.press("Control+z")
    assert seen.points()[0] == first
    page.keyboard.press("Tab")
    assert page.evaluate("() => document.activeElement.getAttribute('aria-label')").startswith("bar, point 2")
    page.keyboard.press("Delete")
    assert len(seen.points()) == 3
    page.keyboard.press("Control+z")
    assert len(seen.points()) == 4
    page.keyboard.press("Control+Shift+z")
    assert len(seen.points()) == 3
    page.keyboard.press("Control+z")
    to(page, "[data-at='known.bar']")
    page.keyboard.type("24 ± 0.2 mm")
    to(page, "[data-at='lens']")
    page.keyboard.type("None")
    seen.measured()
    to(page, "[data-at='title']")
    page.keyboard.type("Part by keys")
    to(page, "button.main")
    page.keyboard.press("Enter")
    page.wait_for_selector(".posted")
    truth_holds(root, "part-by-keys")
    seen.close()


def test_fingers_set_points_and_zoom(root: Path, address: str, chromium: Any) -> None:
    """On a narrow touch screen a tap sets a point; held still, the loupe shows where it goes; two fingers zoom."""
    seen = Seen(chromium, address, viewport={"width": 360, "height": 740}, has_touch=True)
    page = seen.page
    seen.view()
    page.locator("#stage").scroll_into_view_if_needed()
    page.touchscreen.tap(*seen.on_screen(*BAR[0]))
    assert len(seen.points()) == 1
    x, y = seen.on_screen(*PART[0])
    fingers(seen, "touchStart", (x, y))
    page.wait_for_timeout(600)
    assert page.locator("#loupe").is_visible()
    fingers(seen, "touchMove", (x + 20, y))
    fingers(seen, "touchEnd")
    assert len(seen.points()) == 2
    zoomed = page.inner_text("#zoom")
    fingers(seen, "touchStart", (x - 30, y))
    fingers(seen, "touchStart", (x - 30, y), (x + 30, y))
    fingers(seen, "touchMove", (x - 60, y), (x + 60, y))
    fingers(seen, "touchEnd")
    page.wait_for_timeout(100)
    assert page.inner_text("#zoom") != zoomed
    assert len(seen.points()) == 2
    seen.close()


def test_the_same_by_touch(root: Path, address: str, chromium: Any) -> None:
    """Four taps, one of them put right by dragging, a known length and a title make a posted measurement."""
    seen = Seen(chromium, address, viewport={"width": 360, "height": 740}, has_touch=True, is_mobile=True)
    page = seen.page
    seen.view()
    page.locator("#stage").scroll_into_view_if_needed()
    for x, y in (*BAR, PART[0], (PART[1][0] + 150, PART[1][1])):
        page.touchscreen.tap(*seen.on_screen(x, y))
    one, other = seen.on_screen(PART[1][0] + 150, PART[1][1]), seen.on_screen(*PART[1])
    fingers(seen, "touchStart", one)
    fingers(seen, "touchMove", other)
    fingers(seen, "touchEnd")
    assert len(seen.points()) == 4
    page.get_by_label("Known length").fill("24 ± 0.2 mm")
    page.get_by_label("Doubt of a pick, in pixels").fill("3")
    page.get_by_label("Lens", exact=True).select_option("none")
    seen.measured()
    page.get_by_label("Title", exact=True).fill("Part by touch")
    # The first tap after a finger's drag is swallowed by the browser's emulation, on any page.
    page.get_by_role("heading", name="Save as a measurement").tap()
    page.get_by_role("button", name="Write and post").tap()
    page.wait_for_selector(".posted")
    truth_holds(root, "part-by-touch")
    seen.close()


def test_the_plane_is_seen_square_on_and_spans_are_typed(root: Path, address: str, chromium: Any) -> None:
    """A rectangle with its sides makes the rectified view; a recording is measured by a span of time."""
    seen = Seen(chromium, address)
    page = seen.page
    seen.view()
    page.get_by_label("Way of measuring").select_option("plane-length")
    for place in ((300, 250), (900, 260), (880, 640), (310, 600), (400, 300), (800, 500)):
        page.mouse.click(*seen.on_screen(*place))
    page.get_by_label("Width of the rectangle").fill("60 mm")
    page.get_by_label("Height of the rectangle").fill("40 ± 0.5 mm")
    seen.measured()
    page.get_by_role("button", name="See the plane square on").click()
    page.wait_for_selector(".rectified-picture img")
    assert page.evaluate("() => document.querySelector('.rectified-picture img').naturalWidth") > 200
    page.keyboard.press("Escape")
    page.get_by_label("Photograph or recording").select_option("source drive")
    page.get_by_label("Way of measuring").select_option("sound-gap")
    page.get_by_label("heard, start, s").fill("0.8")
    page.get_by_label("heard, end, s").fill("2.2")
    page.get_by_label("Lowest and highest frequency").fill("60..250 Hz")
    page.get_by_label("Lowest and highest frequency").blur()
    quantity = seen.measured()
    assert quantity.endswith("ms")
    assert float(quantity.split()[0]) == pytest.approx(60, abs=6)
    seen.close()


@pytest.mark.parametrize("orientation", [3, 6])
def test_a_turned_photograph_is_marked_as_it_is_seen(root: Path, address: str, chromium: Any, orientation: int) -> None:
    """Pixels are counted in the picture as it is shown, as the measuring counts them."""
    image = Image.new("RGB", (800, 500), "#202020")
    image.paste("#f0f0f0", (0, 0, 400, 250))
    exif = image.getexif()
    exif[0x0112] = orientation
    image.save(root / "photographs/turned.jpg", exif=exif, quality=95)
    turned = ImageOps.exif_transpose(image)
    seen = Seen(chromium, address)
    seen.view("file photographs/turned.jpg")
    assert f"{turned.width} × {turned.height}" in seen.page.inner_text("#zoom")
    seen.page.wait_for_timeout(200)
    brightness = seen.page.evaluate(
        """([width, height]) => {
          const photo = document.getElementById('photo');
          const scale = Math.min(photo.width / width, photo.height / height);
          const [left, top] = [(photo.width - scale * width) / 2, (photo.height - scale * height) / 2];
          const drawn = photo.getContext('2d');
          const at = (x, y) => drawn.getImageData(left + scale * x, top + scale * y, 1, 1).data[0];
          return [0.25, 0.75].map(y => [0.25, 0.75].map(x => at(x * width, y * height)));
        }""",
        [turned.width, turned.height],
    )
    for row, y in zip(brightness, (0.25, 0.75), strict=True):
        for shown, x in zip(row, (0.25, 0.75), strict=True):
            place = (int(x * turned.width), int(y * turned.height))
            assert shown == pytest.approx(turned.getpixel(place)[0], abs=12)
    seen.close()
