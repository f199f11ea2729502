"""Decisions followed in a real browser: to a region of a photograph in three clicks, narrow and wide."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from ledger.casebook.opening import open_casebook
from ledger.press import build
from tests.behaviour.test_traces_on_pages import lay_out
from tests.sites import investigation

REQUIRED = os.environ.get("WITNESS_BROWSER") == "required"
playwright = pytest.importorskip("playwright.sync_api") if not REQUIRED else __import__("playwright.sync_api").sync_api
WIDTHS, SCHEMES = (360, 800, 1600), ("light", "dark")


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The built site of an investigation with a photograph and decisions."""
    root = tmp_path_factory.mktemp("traces") / "case"
    config = investigation(lay_out(root))
    return build(config, open_casebook(root, count=300))


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """A headless Chromium; without one the tests are skipped, unless WITNESS_BROWSER=required."""
    program = os.environ.get("WITNESS_CHROMIUM") or shutil.which("chromium") or shutil.which("google-chrome")
    if program is None and not REQUIRED:
        pytest.skip("there is no Chromium here: set WITNESS_CHROMIUM, or WITNESS_BROWSER=required to insist")
    with playwright.sync_playwright() as running:
        options = ["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"]
        opened = running.chromium.launch(executable_path=program, args=options)
        yield opened
        opened.close()


def page_of(browser: Any, site: Path, path: str, width: int, scheme: str = "light") -> Any:
    """Open a page of the site."""
    page = browser.new_page(viewport={"width": width, "height": 900}, color_scheme=scheme)
    page.goto((site / path).as_uri(), wait_until="load")
    return page


def overflows(page: Any) -> bool:
    """Whether a page is wider than its window."""
    wide, window = page.evaluate("[document.scrollingElement.scrollWidth, document.scrollingElement.clientWidth]")
    return bool(wide > window)


@pytest.mark.parametrize("width", [360, 1600])
def test_a_decision_is_three_clicks_from_a_region_of_a_photograph(browser: Any, site: Path, width: int) -> None:
    """From the list of decisions: the decision, the note in what it stands on; there the marked region is in view."""
    page = page_of(browser, site, "decisions/index.html", width)
    page.click("text=The model gets a drum")
    where = ".wl-narrow" if width < 960 else ".wl-trace"
    page.locator(f"{where} a[href*='evidence/on-view']").first.click()
    page.wait_for_selector("#the-marks img")
    page.wait_for_function("document.querySelector('#the-marks img').complete")
    figure = page.locator("#the-marks")
    assert page.url.endswith("evidence/on-view.html#the-marks")
    box = figure.bounding_box()
    assert box is not None
    assert box["y"] < 900
    assert page.evaluate("document.querySelector('#the-marks img').naturalWidth") == 1200
    assert page.locator("#the-marks text", has_text="groove").is_visible()
    assert not overflows(page)


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize("width", WIDTHS)
def test_the_drawing_gives_way_to_a_list_where_there_is_no_room(
    browser: Any, site: Path, width: int, scheme: str
) -> None:
    """Wide, the drawing is seen and the list is not; narrow, the other way round; nothing scrolls sideways."""
    page = page_of(browser, site, "decisions/drum.html", width, scheme)
    assert page.locator(".wl-trace").is_visible() == (width >= 960)
    assert page.locator(".wl-narrow").is_visible() == (width < 960)
    for path in ("decisions/drum.html", "impact.html", "sources/view.html", "evidence/on-bench.html"):
        page.goto((site / path).as_uri(), wait_until="load")
        assert not overflows(page), path


@pytest.mark.parametrize("scheme", SCHEMES)
def test_what_is_drawn_can_be_read(browser: Any, site: Path, scheme: str) -> None:
    """Every text lies inside its box, at eleven pixels or more, and stands out from it at 4.5 : 1 by day and night."""
    page = page_of(browser, site, "decisions/drum.html", 1280, scheme)
    found = page.evaluate(
        """() => {
          const rgb = colour => colour.match(/[\\d.]+/g).slice(0, 3).map(Number);
          const light = colour => {
            const [r, g, b] = rgb(colour).map(v => (v /= 255) <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
            return 0.2126 * r + 0.7152 * g + 0.0722 * b;
          };
          return [...document.querySelectorAll('.wl-trace .wl-trace-box')].flatMap(box => {
            const around = box.getBoundingClientRect();
            return [...box.parentNode.querySelectorAll('text')].map(text => {
              const inside = text.getBoundingClientRect();
              const pair = [text, box].map(one => light(getComputedStyle(one).fill)).sort((a, b) => b - a);
              return {
                text: text.textContent,
                size: inside.height,
                out: Math.max(inside.right - around.right, around.left - inside.left, inside.bottom - around.bottom),
                contrast: (pair[0] + 0.05) / (pair[1] + 0.05),
              };
            });
          });
        }"""
    )
    assert len(found) > 10
    for one in found:
        assert one["out"] <= 0, one
        assert one["size"] >= 11, one
        assert one["contrast"] >= 4.5, one


def test_the_keyboard_goes_through_the_drawing(browser: Any, site: Path) -> None:
    """Each box but the root's is reached by Tab, has a name, shows where the keyboard is, and Enter follows it."""
    page = page_of(browser, site, "decisions/drum.html", 1600)
    boxes = page.locator(".wl-trace a")
    count = boxes.count()
    assert count >= 6
    boxes.first.focus()
    seen = []
    for _ in range(count):
        seen.append(page.evaluate("document.activeElement.querySelector('title').textContent"))
        stroke = page.evaluate("getComputedStyle(document.activeElement.querySelector('rect')).strokeWidth")
        assert float(stroke.removesuffix("px")) >= 2
        page.keyboard.press("Tab")
    assert len(set(seen)) == count
    boxes.first.focus()
    target = boxes.first.get_attribute("href")
    page.keyboard.press("Enter")
    page.wait_for_load_state()
    assert target is not None
    assert page.url.endswith(target.split("/")[-1])


def test_no_two_boxes_lie_on_each_other(browser: Any, site: Path) -> None:
    """Boxes of a column stand apart."""
    page = page_of(browser, site, "decisions/drum.html", 1600)
    boxes = page.evaluate(
        "[...document.querySelectorAll('.wl-trace .wl-trace-box')].map(one => "
        "[+one.getAttribute('x'), +one.getAttribute('y'), +one.getAttribute('height')])"
    )
    for x, y, height in boxes:
        others = [one for one in boxes if one[0] == x and one != [x, y, height]]
        assert all(other >= y + height or other + tall <= y for _, other, tall in others)
