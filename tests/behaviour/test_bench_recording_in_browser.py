"""Recordings on the bench in a real browser: spans and guides by pointer, keyboard and touch, over what is drawn."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest

from ledger.entries.models import Measurement
from ledger.entries.reading import read_file
from tests.benches import Seen, fingers, posted_case, to
from tests.measured_ledgers import CHANGE, CHANGE_GAP, GAP

SPAN = (0.8, 2.2)


@pytest.fixture
def root(tmp_path: Path) -> Path:
    """A posted investigation with a recording of three seconds, a change up halfway."""
    return posted_case(tmp_path / "case")


class Heard(Seen):
    """A page of the bench with the recording open."""

    def listen(self) -> None:
        """Choose the recording and wait for its picture."""
        self.page.get_by_label("Photograph or recording").select_option("source drive")
        self.page.wait_for_selector("#stage[data-shown='whole']")

    def at(self, time: float, frequency: float | None = None) -> tuple[float, float]:
        """Return where a time lies on the screen, in the envelope or at a frequency, by the axes that are told."""
        told = self.page.inner_text("#zoom").replace(" s, shown from", "").split()
        start, end, low, high = (float(told[place]) for place in (1, 3, 6, 8))
        box = self.page.locator("#photo").bounding_box()
        left, right = box["x"] + 50, box["x"] + box["width"] - 8
        top = box["y"] + min(max(0.2 * box["height"], 44), 110)
        x = left + (time - start) / (end - start) * (right - left)
        if frequency is None:
            return x, box["y"] + 20
        share = math.log(high / frequency) / math.log(high / low)
        return x, top + share * (box["y"] + box["height"] - 24 - top)

    def times(self) -> list[float]:
        """Return the times of the points, as they say them themselves."""
        return [float(name.split(", at ")[1].split(" s")[0]) for name in self.points()]


def gap_holds(quantity: str) -> None:
    """What was measured is the gap of the change [ms]."""
    assert quantity.endswith("ms")
    assert float(quantity.split()[0]) == pytest.approx(1_000 * GAP, abs=6)


def test_a_span_is_clicked_dragged_measured_and_comes_back(root: Path, address: str, chromium: Any) -> None:
    """Two clicks and a band measure the gap; its ends are dragged and undone; posted, they are where they were."""
    seen = Heard(chromium, address)
    page = seen.page
    seen.listen()
    assert page.get_by_label("Way of measuring").input_value() == "sound-ratio"
    page.get_by_label("Way of measuring").select_option("sound-gap")
    for time in reversed(SPAN):
        page.mouse.click(*seen.at(time))
    assert seen.times() == [pytest.approx(time, abs=0.005) for time in reversed(SPAN)]
    page.get_by_label("Lowest and highest frequency").fill("60..250 Hz")
    gap_holds(seen.measured())
    assert page.locator(".followed").first.get_attribute("d").count("L") > 100
    placed = seen.points()
    assert [name.split(", at")[0] for name in placed] == ["heard, end", "heard, start"]
    handle = page.locator("#marks .point").last.locator(".dot").bounding_box()
    page.mouse.move(handle["x"], handle["y"])
    page.mouse.down()
    page.mouse.move(handle["x"] + 30, handle["y"] + 100)
    page.mouse.up()
    assert seen.times()[1] > SPAN[0] + 0.02
    page.keyboard.press("Control+z")
    assert seen.points() == placed
    page.get_by_label("Title", exact=True).fill("Gap of the change")
    page.get_by_role("button", name="Write and post").click()
    page.wait_for_selector(".posted")
    document = read_file(root / "entries/measurements/gap-of-the-change.md", root)
    assert isinstance(document.entry, Measurement)
    assert document.entry.picked is not None
    start, end = document.entry.picked.points["heard"][0]
    assert (start, end) == pytest.approx(SPAN, abs=0.005)
    page.reload()
    page.wait_for_selector("body[data-ready]")
    page.get_by_label("Open an entry again").select_option("measurements/gap-of-the-change")
    gap_holds(seen.measured())
    assert sorted(seen.points()) == sorted(placed)
    seen.close()


def test_a_recording_by_keyboard_alone(root: Path, address: str, chromium: Any) -> None:
    """Chosen, zoomed, both ends set at the cross and nudged, a guide set, measured and posted without a pointer."""
    seen = Heard(chromium, address)
    page = seen.page
    to(page, "select")
    page.keyboard.type("On board")
    page.wait_for_selector("#stage[data-shown='whole']")
    to(page, "#stage")
    for time in SPAN:
        page.keyboard.press("ArrowLeft")
        page.wait_for_selector("#where:has-text('cross')")
        for _ in range(300):
            off = time - float(page.inner_text("#where").removeprefix("cross: ").split(" s")[0])
            if abs(off) < 0.008:
                break
            far = "Shift+" if abs(off) > 0.4 else "" if abs(off) > 0.06 else "Alt+"
            page.keyboard.press(far + ("ArrowRight" if off > 0 else "ArrowLeft"))
            page.wait_for_timeout(20)
        page.keyboard.press("Enter")
        page.keyboard.press("Escape")
    assert seen.times() == [pytest.approx(time, abs=0.01) for time in SPAN]
    page.keyboard.press("Tab")
    first = seen.times()[0]
    for keys, moved in (("ArrowRight", 0.01), ("Shift+ArrowRight", 0.11), ("Alt+ArrowLeft", 0.109)):
        page.keyboard.press(keys)
        page.wait_for_timeout(50)
        assert seen.times()[0] - first == pytest.approx(moved)
    page.wait_for_timeout(800)
    page.keyboard.press("Control+z")
    assert seen.times()[0] == first
    page.keyboard.press("Escape")
    # A point of the line's guide, raised by ten hertz.
    page.keyboard.press("n")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Enter")
    pitch = float(seen.points()[-1].split(" s, ")[1].split()[0])
    page.keyboard.press("Shift+ArrowUp")
    page.wait_for_timeout(50)
    assert float(seen.points()[-1].split(" s, ")[1].split()[0]) == pytest.approx(pitch + 10)
    page.keyboard.press("Delete")
    shown = page.inner_text("#zoom")
    page.keyboard.press("+")
    page.keyboard.press("f")
    page.wait_for_timeout(50)
    zoomed = page.inner_text("#zoom")
    assert zoomed.split("and")[0] != shown.split("and")[0]
    assert zoomed.split("and")[1] != shown.split("and")[1]
    page.keyboard.press("0")
    page.wait_for_timeout(50)
    assert page.inner_text("#zoom") == shown
    to(page, "[data-at='known.band']")
    page.keyboard.type("60..250 Hz")
    seen.measured()
    to(page, "[data-at='title']")
    page.keyboard.type("Step by keys")
    to(page, "button.main")
    page.keyboard.press("Enter")
    page.wait_for_selector(".posted")
    assert (root / "entries/measurements/step-by-keys.md").exists()
    seen.close()


def test_fingers_on_a_recording(root: Path, address: str, chromium: Any) -> None:
    """On a narrow touch screen taps set both ends, fingers apart across zoom time, apart upwards frequency."""
    seen = Heard(chromium, address, viewport={"width": 360, "height": 740}, has_touch=True)
    page = seen.page
    seen.listen()
    page.locator("#stage").scroll_into_view_if_needed()
    for time in SPAN:
        page.touchscreen.tap(*seen.at(time))
    assert seen.times() == [pytest.approx(time, abs=0.02) for time in SPAN]
    assert page.evaluate("() => document.documentElement.scrollWidth") <= 360
    for sideways, part in ((60, 0), (0, 1)):
        shown = page.inner_text("#zoom").split("and")
        x, y = seen.at(1.5, 400)
        upwards = 60 - sideways
        one, other = (x - sideways, y - upwards), (x + sideways, y + upwards)
        near, far = (x - 0.5 * sideways, y - 0.5 * upwards), (x + 0.5 * sideways, y + 0.5 * upwards)
        fingers(seen, "touchStart", near)
        fingers(seen, "touchStart", near, far)
        fingers(seen, "touchMove", one, other)
        fingers(seen, "touchEnd")
        page.wait_for_timeout(100)
        now = page.inner_text("#zoom").split("and")
        assert now[part] != shown[part]
        assert now[1 - part] == shown[1 - part]
    assert len(seen.points()) == 2
    seen.close()


def test_what_is_drawn_lies_at_its_axes_and_grows_finer(root: Path, address: str, chromium: Any) -> None:
    """The firing order is brightest where the axes say it is, before and after zooming into it."""
    seen = Heard(chromium, address)
    page = seen.page
    seen.listen()

    def brightness(time: float, frequency: float) -> float:
        x, y = seen.at(time, frequency)
        found: float = page.evaluate(
            """([x, y]) => {
              const photo = document.getElementById('photo');
              const box = photo.getBoundingClientRect();
              const ratio = photo.width / box.width;
              const drawn = photo.getContext('2d').getImageData((x - box.x) * ratio, (y - box.y) * ratio, 1, 1);
              return drawn.data[0] + drawn.data[1] + drawn.data[2];
            }""",
            [x, y],
        )
        return found

    page.mouse.move(10, 10)
    # 110 Hz at the beginning, and an octave above it the second harmonic.
    assert brightness(0.5, 117) > 500
    assert brightness(0.5, 234) > 400
    assert brightness(0.5, 165) < 250
    finer = int(page.get_attribute("#stage", "data-finer") or 0)
    page.mouse.move(*seen.at(CHANGE, 130))
    for _ in range(3):
        page.mouse.wheel(0, -300)
    page.keyboard.down("Shift")
    for _ in range(2):
        page.mouse.wheel(0, -300)
    page.keyboard.up("Shift")
    page.wait_for_function(f"() => Number(document.getElementById('stage').dataset.finer ?? 0) > {finer}")
    page.wait_for_timeout(300)
    start, end = page.inner_text("#zoom").split("from ")[1].split(" s and")[0].split(" to ")
    assert float(end) - float(start) < 1
    before, after = 110 * 1.2, 110 * 1.2 / 1.31
    early, late = CHANGE - 0.04, CHANGE + GAP + 0.04
    assert brightness(early, before) > brightness(early, after) + 150
    assert brightness(late, after) > brightness(late, before) + 150
    seen.close()


def test_a_note_on_a_recording_keeps_spans_that_lie_elsewhere(root: Path, address: str, chromium: Any) -> None:
    """A span is marked, labelled and comes back; one of a longer tape is listed, and stays as it was written."""
    seen = Heard(chromium, address)
    page = seen.page
    seen.listen()
    page.get_by_label("An evidence note").check()
    page.get_by_role("button", name="Span of time", exact=True).click()
    page.mouse.click(*seen.at(1.2))
    page.get_by_label("Title", exact=True).fill("A tick is heard")
    page.get_by_role("button", name="Write and post").click()
    page.wait_for_selector(".refused")
    assert "1 of 2 points" in page.inner_text(".note-form")
    assert not (root / "entries/evidence/a-tick-is-heard.md").exists()
    page.mouse.click(*seen.at(1.4))
    page.get_by_label("Label of span 1").fill("tick")
    page.get_by_role("button", name="Write and post").click()
    page.wait_for_selector(".posted")
    file = root / "entries/evidence/a-tick-is-heard.md"
    text = file.read_text()
    assert "label: tick" in text
    file.write_text(text.replace("marks:\n", "marks:\n  - {label: on the whole tape, span: [512, 547]}\n"))
    page.reload()
    page.wait_for_selector("body[data-ready]")
    page.get_by_label("Open an entry again").select_option("evidence/a-tick-is-heard")
    page.wait_for_selector("#marks .point")
    assert seen.times() == [pytest.approx(1.2, abs=0.01), pytest.approx(1.4, abs=0.01)]
    assert "512 to 547 s" in page.inner_text(".kept")
    page.locator("#marks .point").first.focus()
    page.keyboard.press("ArrowRight")
    page.get_by_role("button", name="Write and post").click()
    page.wait_for_selector(".posted")
    document = read_file(file, root)
    assert [mark.label for mark in document.entry.marks] == ["on the whole tape", "tick"]
    assert document.entry.marks[0].span == (512, 547)
    seen.close()


def test_a_recording_is_played_where_it_is_looked_at(root: Path, address: str, chromium: Any) -> None:
    """The span that is marked is heard, and a line goes along with it; it stops of itself."""
    seen = Heard(chromium, address)
    page = seen.page
    seen.listen()
    for time in (1.0, 2.2):
        page.mouse.click(*seen.at(time))
    page.locator(".track-choose").first.click()
    page.get_by_role("button", name="Play").click()
    page.wait_for_selector("#play:has-text('Stop')")
    page.wait_for_function("() => !document.querySelector('.upright.heard').style.display")
    page.wait_for_selector("#play:has-text('Play')")
    seen.close()


def test_an_entry_made_by_hand_is_shown_with_its_span(root: Path, address: str, chromium: Any) -> None:
    """A measurement that was written as a file is drawn as it says."""
    (root / "entries/measurements/gap.md").write_text(CHANGE_GAP)
    seen = Heard(chromium, address)
    page = seen.page
    page.get_by_label("Open an entry again").select_option("measurements/gap")
    page.wait_for_selector("#stage[data-shown='whole']")
    assert seen.points() == ["heard, start, at 0.8 s", "heard, end, at 2.2 s"]
    gap_holds(seen.measured())
    seen.close()
