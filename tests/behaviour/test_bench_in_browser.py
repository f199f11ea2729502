"""The bench's page in a real browser: pages of others kept out, read at any width, large pictures smooth."""

from __future__ import annotations

import http.server
import os
import threading
import time
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from tests.benches import Seen
from tests.benches import root as root
from tests.ledger_files import taken


def test_a_page_of_another_origin_can_neither_read_nor_write(
    root: Path, address: str, chromium: Any, tmp_path: Path
) -> None:
    """Even one that knew the address: forms, fetches, frames and scripts of another page are refused."""
    (tmp_path / "evil.html").write_text("<!doctype html><title>another</title><iframe id=frame></iframe>")

    class Quiet(http.server.SimpleHTTPRequestHandler):
        def __init__(self, *given: Any) -> None:
            super().__init__(*given, directory=str(tmp_path))

        def log_message(self, *_: Any) -> None:
            """Say nothing."""

    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), Quiet)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    before = taken(root)
    page = chromium.new_page()
    page.goto(f"http://127.0.0.1:{server.server_port}/evil.html")
    answers = page.evaluate(
        """async address => {
          const told = [];
          for (const path of ['save', 'listing']) for (const mode of ['cors', 'no-cors']) {
            for (const kind of ['application/json', 'text/plain']) {
              const body = path === 'save' ? '{}' : undefined;
              const headers = body ? { 'Content-Type': kind } : {};
              const given = { method: body ? 'POST' : 'GET', mode, body, headers };
              try { const answer = await fetch(address + path, given); told.push(`${answer.type} ${answer.status}`); }
              catch { told.push('refused'); }
            }
          }
          try { await import(address + 'assets/marks.js'); told.push('script'); } catch { told.push('refused'); }
          const frame = document.getElementById('frame');
          await new Promise(done => { frame.onload = done; frame.src = address; });
          try { told.push(frame.contentDocument ? 'frame read' : 'refused'); } catch { told.push('refused'); }
          return told;
        }""",
        address,
    )
    assert set(answers) <= {"refused", "opaque 0"}
    # The same refusal, seen from outside of the browser's own rules.
    sent = page.context.request.post(
        f"{address}save", data="{}", headers={"Origin": "http://other.example", "Content-Type": "application/json"}
    )
    assert sent.status == 403
    page.close()
    server.shutdown()
    server.server_close()
    assert taken(root) == before


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [360, 1400])
def test_nothing_overflows_and_words_can_be_read(
    root: Path, address: str, chromium: Any, width: int, scheme: str
) -> None:
    """At a telephone's width and a desk's, by day and night: no sideways scrolling, no field without a label."""
    seen = Seen(chromium, address, viewport={"width": width, "height": 800}, color_scheme=scheme)
    page = seen.page
    page.get_by_label("Open an entry again").select_option("measurements/sleeve")
    seen.measured()
    page.get_by_label("Source", exact=True).select_option(" new")
    page.get_by_label("Lens", exact=True).select_option("terms")
    assert page.evaluate("() => document.documentElement.scrollWidth") <= width
    nameless = page.evaluate(
        """() => [...document.querySelectorAll('input, select, textarea, button')]
          .filter(one => one.offsetParent && !one.labels?.length && !one.getAttribute('aria-label'))
          .filter(one => one.tagName !== 'BUTTON' || !one.textContent.trim()).map(one => one.outerHTML)"""
    )
    assert nameless == []
    box = page.locator("#stage").bounding_box()
    assert box["height"] > 200
    assert box["x"] >= 0
    assert box["x"] + box["width"] <= width
    if folder := os.environ.get("WITNESS_PICTURES"):
        page.screenshot(path=f"{folder}/bench-{width}-{scheme}.png", full_page=True)
    seen.close()


def test_a_picture_of_24_megapixels_opens_and_is_dragged_smoothly(
    root: Path, address: str, chromium: Any, capsys: pytest.CaptureFixture[str]
) -> None:
    """It is shown whole, in its own pixels, and dragging a point does not draw the photograph again."""
    noise = np.random.default_rng(20310517).integers(0, 255, (1000, 1500, 3), dtype=np.uint8)
    Image.fromarray(noise).resize((6000, 4000), Image.Resampling.BICUBIC).save(
        root / "photographs/large.jpg", quality=90
    )
    seen = Seen(chromium, address)
    page = seen.page
    began = time.monotonic()
    page.get_by_label("Photograph or recording").select_option("file photographs/large.jpg")
    page.wait_for_selector("#stage[data-shown='first look'], #stage[data-shown='whole']")
    first = time.monotonic() - began
    page.wait_for_selector("#stage[data-shown='whole']")
    whole = time.monotonic() - began
    assert "6000 × 4000" in page.inner_text("#zoom")
    box = page.locator("#stage").bounding_box()
    x, y = box["x"] + 200, box["y"] + 200
    page.mouse.click(x, y)
    page.evaluate(
        """() => {
          window.drawn = { photo: 0, frames: 0, longest: 0 };
          const draw = CanvasRenderingContext2D.prototype.drawImage;
          CanvasRenderingContext2D.prototype.drawImage = function (...given) {
            if (this.canvas.id === 'photo') window.drawn.photo += 1;
            return draw.apply(this, given);
          };
          let last = performance.now();
          requestAnimationFrame(function frame(now) {
            window.drawn.frames += 1;
            window.drawn.longest = Math.max(window.drawn.longest, now - last);
            last = now;
            requestAnimationFrame(frame);
          });
        }"""
    )
    page.mouse.move(x, y)
    page.mouse.down()
    for step in range(60):
        page.mouse.move(x + 3 * step, y + step)
    page.mouse.up()
    drawn = page.evaluate("() => window.drawn")
    with capsys.disabled():
        print(f"\n24 megapixels: {first:.2f} s to a first look, {whole:.2f} s to all of it, ", end="")
        print(f"longest frame of a drag {drawn['longest']:.0f} ms")
    assert drawn["photo"] == 0
    assert drawn["frames"] > 0
    seen.close()
