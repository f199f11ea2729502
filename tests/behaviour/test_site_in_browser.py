"""The built site in a real browser: opened from files and from a server, narrow and wide, by day and by night."""

from __future__ import annotations

import functools
import http.server
import os
import shutil
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests import casebooks, sites

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")

REQUIRED = os.environ.get("WITNESS_BROWSER") == "required"
PAGES = ("index.html", "questions/forks.html", "calculations/drum-length.html")
MORE = (
    "calculators/axial-length.html",
    "evidence/round-boss.html",
    "evidence/index.html",
    "reading.html",
    "checks.html",
    "data.html",
    "sources/index.html",
    "sources/club-letter.html",
)
WIDTHS = (360, 800, 1600)
SCHEMES = ("light", "dark")


def chromium() -> str | None:
    """Return where Chromium is: WITNESS_CHROMIUM, or one of the usual names."""
    named = os.environ.get("WITNESS_CHROMIUM")
    return named or next(
        (found for name in ("chromium", "chromium-browser", "google-chrome") if (found := shutil.which(name))), None
    )


@pytest.fixture(scope="module")
def browser() -> Iterator[object]:
    """A headless Chromium; without one the tests are skipped, unless WITNESS_BROWSER=required."""
    program = chromium()
    if program is None and not REQUIRED:
        pytest.skip("there is no Chromium here: set WITNESS_CHROMIUM, or WITNESS_BROWSER=required to insist")
    with playwright.sync_playwright() as running:
        opened = running.chromium.launch(
            executable_path=program, args=["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"]
        )
        yield opened
        opened.close()


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The site of the hand-made casebook."""
    return sites.build(tmp_path_factory.mktemp("investigation"), casebooks.casebook())


@pytest.fixture(scope="module")
def served(site: Path) -> Iterator[str]:
    """The same site from a server on this machine."""

    class Quiet(http.server.SimpleHTTPRequestHandler):
        def log_message(self, *words: object) -> None:
            """Say nothing."""

    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), functools.partial(Quiet, directory=str(site)))
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{server.server_address[1]}/"
    server.shutdown()


class Visit:
    """A page opened, with all it asked for and all it complained of."""

    def __init__(self, browser: object, width: int, scheme: str) -> None:
        self.context = browser.new_context(viewport={"width": width, "height": 900}, color_scheme=scheme)  # type: ignore[attr-defined]
        self.page = self.context.new_page()
        self.asked: list[str] = []
        self.complaints: list[str] = []
        self.context.on("request", lambda request: self.asked.append(request.url))
        self.page.on(
            "console", lambda said: self.complaints.append(said.text) if said.type in ("error", "warning") else None
        )
        self.page.on("pageerror", lambda error: self.complaints.append(str(error)))

    def abroad(self) -> list[str]:
        """Return the addresses asked for that are not on this machine."""
        return [
            one
            for one in self.asked
            if not one.startswith(("file://", "http://127.0.0.1:", "data:", "blob:", "about:"))
        ]


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize("width", WIDTHS)
def test_pages_opened_from_files(browser: object, site: Path, width: int, scheme: str) -> None:
    """Opened by double click no page asks another host, complains, or is wider than its window."""
    visit = Visit(browser, width, scheme)
    for path in (*PAGES, *MORE):
        visit.page.goto((site / path).as_uri(), wait_until="load")
        visit.page.wait_for_timeout(100)
        wide, window = visit.page.evaluate(
            "[document.scrollingElement.scrollWidth, document.scrollingElement.clientWidth]"
        )
        assert wide <= window, path
        assert (
            visit.page.evaluate("document.body.dataset.mdColorScheme") == {"light": "default", "dark": "slate"}[scheme]
        )
    assert visit.abroad() == []
    assert visit.complaints == []


def test_pages_from_a_server(browser: object, served: str) -> None:
    """From a server, too, nothing leaves this machine and nothing is complained of."""
    visit = Visit(browser, 1600, "light")
    for path in PAGES:
        visit.page.goto(served + path, wait_until="load")
        visit.page.wait_for_timeout(200)
    assert visit.abroad() == []
    assert visit.complaints == []


@pytest.mark.parametrize("scheme", SCHEMES)
def test_a_long_word_makes_no_page_wide(browser: object, tmp_path: Path, scheme: str) -> None:
    """Long words, wide tables and long lines of code stay within a phone's width."""
    table = f"| {' | '.join(['column' * 3] * 12)} |\n|{'---|' * 12}\n| {' | '.join('x' * 12)} |"
    body = f"{'long' * 60}\n\n{table}\n\n    {'code ' * 80}\n"
    site = sites.build(tmp_path, casebooks.with_body(body, title="unbroken" * 30))
    visit = Visit(browser, 360, scheme)
    for path in ("evidence/sleeve-groove.html", "questions/forks.html", "evidence/index.html"):
        visit.page.goto((site / path).as_uri(), wait_until="load")
        wide, window = visit.page.evaluate(
            "[document.scrollingElement.scrollWidth, document.scrollingElement.clientWidth]"
        )
        assert wide <= window, path


def test_a_width_is_found_out(browser: object, site: Path) -> None:
    """The check on width sees a page that is too wide."""
    visit = Visit(browser, 360, "light")
    visit.page.goto((site / "index.html").as_uri(), wait_until="load")
    visit.page.evaluate("document.querySelector('.wl').style.width = '900px'")
    wide, window = visit.page.evaluate("[document.scrollingElement.scrollWidth, document.scrollingElement.clientWidth]")
    assert wide > window


def test_a_request_abroad_is_found_out(browser: object, site: Path) -> None:
    """The check on requests sees one that leaves this machine."""
    visit = Visit(browser, 360, "light")
    visit.page.goto((site / "index.html").as_uri(), wait_until="load")
    visit.page.evaluate("new Image().src = 'https://evil.invalid/pixel.png'")
    visit.page.wait_for_timeout(200)
    assert visit.abroad() == ["https://evil.invalid/pixel.png"]


@pytest.mark.parametrize("start", ["file", "server"])
def test_search_finds_an_entry(browser: object, site: Path, served: str, start: str) -> None:
    """The search finds an entry by a word of its title, also where the page was opened from a file."""
    visit = Visit(browser, 1600, "light")
    visit.page.goto((site / "index.html").as_uri() if start == "file" else served + "index.html", wait_until="load")
    visit.page.click(".md-search__input")
    visit.page.keyboard.type("hydraulic", delay=20)
    visit.page.wait_for_selector(".md-search-result__item a[href*='hypotheses/rams']", timeout=15000)
    assert visit.abroad() == []
    assert visit.complaints == []


def test_tables_become_cards_on_a_phone(browser: object, site: Path) -> None:
    """On a phone each row is a card in which every value stands beside its column's name."""
    visit = Visit(browser, 360, "light")
    visit.page.goto((site / "questions" / "forks.html").as_uri(), wait_until="load")
    label = visit.page.evaluate(
        "getComputedStyle(document.querySelector('td[data-label=\"Prior\"]'), '::before').content"
    )
    assert label == '"Prior: "'
    rows = "[...document.querySelectorAll('.wl-cards tbody tr')].map(one => getComputedStyle(one).display)"
    assert set(visit.page.evaluate(rows)) == {"block", "flex"}


def test_the_keyboard_shows_where_it_is(browser: object, site: Path) -> None:
    """A link reached by keyboard has an outline that can be seen."""
    visit = Visit(browser, 1600, "light")
    visit.page.goto((site / "questions" / "forks.html").as_uri(), wait_until="load")
    visit.page.evaluate("document.querySelector('.wl-crumbs a').focus()")
    visit.page.keyboard.press("Tab")
    outline = visit.page.evaluate(
        "(style => [style.outlineStyle, parseFloat(style.outlineWidth)])(getComputedStyle(document.activeElement))"
    )
    assert outline[0] == "solid"
    assert outline[1] >= 2


def test_one_scheme_can_be_chosen(browser: object, site: Path) -> None:
    """A reader can change from light to dark by hand."""
    visit = Visit(browser, 1600, "light")
    visit.page.goto((site / "index.html").as_uri(), wait_until="load")
    visit.page.click("label[title='Switch to dark']")
    assert visit.page.evaluate("document.body.dataset.mdColorScheme") == "slate"
    assert visit.complaints == []
