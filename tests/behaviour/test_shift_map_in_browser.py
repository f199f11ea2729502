"""The shift map in a real browser: turned by buttons and keys, played when asked, still without scripts."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from ledger.mechanics.shift_states import shift_states
from tests import casebooks, shift_maps, sites

REF = "calculations/drum-length"


@pytest.fixture(scope="module")
def page_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The page of a drum of four gears with reverse, its members apart, overlaps against a spring."""
    made = casebooks.casebook()
    found = shift_maps.result(shift_states(4, reverse=True, overlap="spring"), REF)
    site = sites.build(tmp_path_factory.mktemp("investigation"), replace(made, results={**made.results, REF: found}))
    return site / f"{REF}.html"


@pytest.fixture
def page(chromium: Any, page_file: Path) -> Iterator[Any]:
    """The page opened from its file; nothing is asked abroad and nothing complained of."""
    context = chromium.new_context(viewport={"width": 360, "height": 900})
    heard: list[str] = []
    opened = context.new_page()
    opened.on("request", lambda one: heard.append(one.url) if not one.url.startswith(("file:", "data:")) else None)
    opened.on("console", lambda said: heard.append(said.text) if said.type in ("error", "warning") else None)
    opened.on("pageerror", lambda error: heard.append(str(error)))
    opened.goto(page_file.as_uri())
    yield opened
    assert heard == []
    context.close()


def lit(page: Any) -> dict[str, str]:
    """Return what each gear is said to do, without those that are free."""
    said = page.evaluate(
        "[...document.querySelectorAll('[data-gear]')]"
        ".map(one => [one.dataset.gear, one.querySelector('[data-said]').textContent])"
    )
    return {gear: word for gear, word in said if word}


def now(page: Any) -> str:
    """Return where the map stands, in words."""
    return " ".join(page.inner_text(".wl-map-now").split())


def press(page: Any, *acts: str) -> None:
    """Press buttons of the map."""
    for act in acts:
        page.click(f".wl-map [data-do={act}]")


def test_it_is_turned_by_buttons_and_keys(page: Any) -> None:
    """One up goes through the crossing, where two gears are in, and the arrow keys take it back again."""
    assert (now(page), lit(page)) == ("1: Gear 1 carries.", {"1": "carries"})
    press(page, "up")
    assert lit(page) == {"1": "carries", "2": "overruns"}
    press(page, "up", "up", "up")
    assert now(page) == "2: Gear 2 carries."
    page.focus(".wl-map input")
    for key in ("ArrowRight", "ArrowLeft", "ArrowLeft"):
        page.keyboard.press(key)
    assert "2 → 1" in now(page)
    page.wait_for_timeout(500)
    assert page.evaluate("document.scrollingElement.scrollWidth <= 360")


def test_an_overlap_that_binds_is_marked(page: Any) -> None:
    """Upwards while coasting both gears of the first overlap lock, and the drawing names such overlaps."""
    page.select_option(".wl-map select", "coast")
    press(page, "up", "up")
    assert lit(page) == {"1": "locks", "2": "locks"}
    assert "the box locks" in now(page)
    assert "1+2, 2+3, 3+4: up while coasting, down while driving" in page.inner_text(".wl-map")
    assert page.locator(".wl-map-bind").count() == 3


def test_forks_glide_to_where_they_stand(page: Any) -> None:
    """The sleeve of the gear that comes in ends at that gear, and the selector ends at its place."""
    press(page, "up", "up", "up", "up")
    page.wait_for_timeout(600)
    moved = page.evaluate(
        "[...document.querySelectorAll('[data-track]')].map(t => new DOMMatrix(getComputedStyle(t).transform).e)"
    )
    assert [round(one) for one in moved] == [0, 0, -62, -62, 0, 0]


def test_nothing_moves_unasked_and_playing_ends(page: Any) -> None:
    """The map stands still until Play is pressed, stops when Stop is, and a new step ends it as well."""
    page.wait_for_timeout(1200)
    assert now(page).startswith("1:")
    press(page, "play")
    assert page.inner_text("[data-do=play]") == "Stop"
    page.wait_for_function("!document.querySelector('.wl-map-named').textContent.startsWith('R')", timeout=5000)
    press(page, "down")
    assert page.inner_text("[data-do=play]") == "Play"


def test_motion_is_left_out_where_it_is_not_wanted(chromium: Any, page_file: Path) -> None:
    """Who prefers reduced motion sees each step at once."""
    with chromium.new_context(reduced_motion="reduce") as context:
        opened = context.new_page()
        opened.goto(page_file.as_uri())
        press(opened, "up", "up", "up")
        transform = opened.get_attribute("[data-track='2']", "transform")
        assert transform == "translate(-62 0)"


def test_without_scripts_a_picture_stands(chromium: Any, page_file: Path) -> None:
    """Without scripts the first gear is drawn as it carries, with words and a table, and no dead buttons."""
    with chromium.new_context(java_script_enabled=False) as context:
        opened = context.new_page()
        opened.goto(page_file.as_uri())
        assert opened.inner_text(".wl-map-now strong") == "1"
        assert not opened.is_visible(".wl-map-controls")
        assert opened.locator(".wl-map-carries").count() == 1
        assert "Gear 1 carries" in (opened.text_content(".wl-map-mechanism desc") or "")
