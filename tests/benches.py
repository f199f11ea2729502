"""Pages of the bench in a real browser, and the picture that is measured on them."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import pytest
from PIL import Image, ImageDraw

from ledger.casebook.opening import STORE
from ledger.store.engine import open_store
from ledger.store.posting import post
from tests.measured_ledgers import lay_out

# A plane seen square on, eight pixels to the millimetre: a bar of 24 mm, and a part of 62 mm.
SIZE = (1600, 1000)
BAR = ((300.0, 250.0), (492.0, 250.0))
PART = ((600.0, 300.0), (600.0, 796.0))
TRUTH = 62.0
TRUE_VIEW = "photographs/true-view.jpg"
SOURCE = """---
kind: source
title: A drawn view
medium: photograph
author: A. Draughtsman
date: 2031-05-17
rights: own work
reliability: A
file: photographs/true-view.jpg
---
"""


def true_view() -> bytes:
    """Return the picture, its bar and part with crosses at their ends."""
    image = Image.new("RGB", SIZE, "#8a9094")
    drawn = ImageDraw.Draw(image)
    for one, other in (BAR, PART):
        drawn.line([*one, *other], fill="#303840", width=9)
        for x, y in (one, other):
            drawn.line([x - 14, y, x + 14, y], fill="#101010")
            drawn.line([x, y - 14, x, y + 14], fill="#101010")
    out = io.BytesIO()
    image.save(out, "JPEG", quality=92)
    return out.getvalue()


def posted_case(folder: Path) -> Path:
    """Lay out an investigation with the drawn view, posted, and return its folder."""
    case = lay_out(folder)
    (case / TRUE_VIEW).write_bytes(true_view())
    (case / "entries/sources/drawn-view.md").write_text(SOURCE)
    post(open_store(case / STORE), case / "entries", "2031-06-01T00:00:00Z")
    return case


@pytest.fixture
def root(tmp_path: Path) -> Path:
    """A posted investigation with the drawn view."""
    return posted_case(tmp_path / "case")


class Seen:
    """A page of the bench, and everything it complained of."""

    def __init__(self, browser: Any, address: str, **given: Any) -> None:
        self.context = browser.new_context(**{"viewport": {"width": 1300, "height": 850}, **given})
        self.page = self.context.new_page()
        self.complaints: list[str] = []
        self.strangers: list[str] = []
        self.page.on("console", lambda told: self.complaints.append(told.text) if told.type == "error" else None)
        self.page.on("pageerror", lambda error: self.complaints.append(str(error)))
        here = address.split("/")[2]
        self.page.on("request", lambda one: self.strangers.append(one.url) if here not in one.url else None)
        self.touch = self.context.new_cdp_session(self.page)
        self.page.goto(address)
        self.page.wait_for_selector("body[data-ready]")

    def view(self, option: str = "source drawn-view") -> None:
        """Choose the photograph and wait for it."""
        self.page.get_by_label("Photograph or recording").select_option(option)
        self.page.wait_for_selector("#stage[data-shown='whole']")

    def on_screen(self, x: float, y: float) -> tuple[float, float]:
        """Return where a place of the whole picture is on the screen, while all of it is shown."""
        box = self.page.locator("#photo").bounding_box()
        scale = min(box["width"] / SIZE[0], box["height"] / SIZE[1])
        left = box["x"] + (box["width"] - scale * SIZE[0]) / 2
        top = box["y"] + (box["height"] - scale * SIZE[1]) / 2
        return left + scale * x, top + scale * y

    def measured(self) -> str:
        """Return the quantity, when it was measured with all draws."""
        self.page.wait_for_selector(".result[data-whole='true'] #quantity")
        return str(self.page.inner_text("#quantity"))

    def points(self) -> list[str]:
        """Return what each point says of itself."""
        names: list[str] = self.page.evaluate(
            """() => new Promise(done => requestAnimationFrame(() => requestAnimationFrame(() =>
              done([...document.querySelectorAll('#marks .point')].map(one => one.getAttribute('aria-label'))))))"""
        )
        return names

    def close(self) -> None:
        """Close the page, which has complained of nothing and asked nobody else."""
        assert self.complaints == []
        assert self.strangers == []
        self.context.close()


def to(page: Any, selector: str) -> None:
    """Go on with Tab until something has the focus."""
    for _ in range(80):
        if page.evaluate(f"() => document.activeElement.matches({selector!r})"):
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"{selector} is not reached with Tab")


def fingers(seen: Seen, kind: str, *places: tuple[float, float]) -> None:
    """Touch the screen: `touchStart`, `touchMove` or `touchEnd` with all fingers that lie on it then."""
    points = [{"x": x, "y": y, "id": number} for number, (x, y) in enumerate(places)]
    seen.touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
