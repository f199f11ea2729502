"""Marks over a picture in a real browser: they lie where they were picked, labels can be read."""

from __future__ import annotations

import os
import shutil
from pathlib import Path
from typing import Any

import pytest

from ledger.casebook.opening import STORE, open_casebook
from ledger.press import build
from ledger.store.engine import open_store
from ledger.store.posting import post
from tests.measured_ledgers import HEIGHT, WIDTH, lay_out
from tests.sites import investigation

REQUIRED = os.environ.get("WITNESS_BROWSER") == "required"
playwright = pytest.importorskip("playwright.sync_api") if not REQUIRED else __import__("playwright.sync_api").sync_api
LOOK = """() => {
  const box = one => { const r = one.getBoundingClientRect(); return [r.left, r.top, r.width, r.height]; };
  const all = (what, then) => [...document.querySelectorAll(what)].map(then);
  return {
    picture: box(document.querySelector('.wl-picture img')),
    marks: box(document.querySelector('.wl-marks')),
    circles: all('.wl-marks circle.wl-mark-0, .wl-marks circle.wl-mark-1', box),
    labels: all('.wl-marks text', one => [one.textContent, parseFloat(getComputedStyle(one).fontSize), ...box(one)]),
    loaded: document.querySelector('.wl-picture img').naturalWidth,
    wide: document.documentElement.scrollWidth,
  };
}"""


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The built page of a measurement with marks, as an address."""
    root = lay_out(tmp_path_factory.mktemp("marks") / "case")
    config = investigation(root)
    post(open_store(root / STORE), root / "entries", "2031-06-01T00:00:00Z")
    site: Path = build(config, open_casebook(root, count=500))
    return (site / "measurements" / "sleeve.html").as_uri()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [360, 1600])
def test_marks_lie_where_they_were_picked_at_any_width(page: str, width: int, scheme: str) -> None:
    """Each circle is centred on its pick to a pixel; labels keep 13 px and stay on the picture; nothing overflows."""
    program = os.environ.get("WITNESS_CHROMIUM") or shutil.which("chromium") or shutil.which("google-chrome")
    if program is None and not REQUIRED:
        pytest.skip("there is no Chromium here: set WITNESS_CHROMIUM, or WITNESS_BROWSER=required to insist")
    with playwright.sync_playwright() as running:
        options = ["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"]
        browser = running.chromium.launch(executable_path=program, args=options)
        shown = browser.new_page(viewport={"width": width, "height": 900}, color_scheme=scheme)
        shown.goto(page)
        shown.locator(".wl-picture img").scroll_into_view_if_needed()
        shown.wait_for_function("document.querySelector('.wl-picture img').complete")
        seen: dict[str, Any] = shown.evaluate(LOOK)
        browser.close()
    assert seen["loaded"] == WIDTH
    assert seen["marks"] == pytest.approx(seen["picture"], abs=0.6)
    left, top, across, down = seen["picture"]
    assert across / down == pytest.approx(WIDTH / HEIGHT, rel=0.01)
    centres = {(round(x + w / 2 - left), round(y + h / 2 - top)) for x, y, w, h in seen["circles"]}
    picks = ((812, 440), (1010, 655), (300, 200), (512, 204))
    for x, y in picks:
        wanted = (x / WIDTH * across, y / HEIGHT * down)
        assert any(abs(wanted[0] - one[0]) < 1 and abs(wanted[1] - one[1]) < 1 for one in centres)
    assert [one[0] for one in seen["labels"]] == ["bar", "part"]
    for _, size, x, y, w, h in seen["labels"]:
        assert size >= 13
        assert left <= x
        assert x + w <= left + across
        assert top <= y
        assert y + h <= top + down
    assert seen["wide"] <= width


def test_the_marks_stay_in_view_and_the_focus_on_its_control_while_the_picture_grows(page: str) -> None:
    """By the keyboard to the largest and on, marks seen and focus kept; whoever moved the picture keeps the place."""
    program = os.environ.get("WITNESS_CHROMIUM") or shutil.which("chromium") or shutil.which("google-chrome")
    if program is None and not REQUIRED:
        pytest.skip("there is no Chromium here: set WITNESS_CHROMIUM, or WITNESS_BROWSER=required to insist")
    seen = """() => {
      const view = document.querySelector('.wl-window'), frame = view.getBoundingClientRect();
      const inside = [...document.querySelectorAll('.wl-marks [data-mark="0"] circle')].every(one => {
        const at = one.getBoundingClientRect(), x = at.left + at.width / 2, y = at.top + at.height / 2;
        return x >= frame.left && x <= frame.right && y >= frame.top && y <= frame.bottom;
      });
      return [inside, document.activeElement.textContent, view.scrollWidth / view.clientWidth];
    }"""
    with playwright.sync_playwright() as running:
        options = ["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"]
        browser = running.chromium.launch(executable_path=program, args=options)
        shown = browser.new_page(viewport={"width": 360, "height": 900})
        shown.goto(page)
        shown.locator(".wl-picture img").scroll_into_view_if_needed()
        shown.wait_for_function("document.querySelector('.wl-picture img').complete")
        shown.get_by_role("button", name="Larger").focus()
        steps = []
        for _ in range(6):
            shown.keyboard.press("Enter")
            steps.append(shown.evaluate(seen))
        ended = shown.get_by_role("button", name="Larger").get_attribute("aria-disabled")
        shown.get_by_role("button", name="Smaller").click()
        shown.evaluate("document.querySelector('.wl-window').scrollTo(0, 0)")
        shown.get_by_role("button", name="Larger").click()
        moved = shown.evaluate(seen)
        browser.close()
    assert [one[:2] for one in steps] == [[True, "Larger"]] * 6
    assert [round(one[2], 1) for one in steps] == pytest.approx([1.5, 2, 3, 4, 4, 4], abs=0.11)
    assert ended == "true"
    assert moved[0] is False
