"""The published demo as everybody can use it: a checker of accessibility finds nothing, keys and print reach all."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.behaviour.conftest import REQUIRED

NAME = "axe_playwright_python.sync_playwright"
axe_in_playwright = __import__(NAME, fromlist=["Axe"]) if REQUIRED else pytest.importorskip(NAME)
KINDS = (
    "index",
    "about",
    "questions/index",
    "questions/what-moves-the-selectors",
    "questions/what-is-in-the-bulge",
    "hypotheses/one-drum",
    "evidence/two-heights-of-dog",
    "evidence/tick-has-no-rumble",
    "sources/inspection-opening",
    "sources/box-change",
    "measurements/outside-third-wheel",
    "calculations/two-gears-in-at-once",
    "calculators/selector-drum",
    "calculators/index",
    "methods/index",
    "methods/scale-bar",
    "precedents/split-ring-sprint-box",
    "lookouts/count-the-work-ports",
    "decisions/scale-and-module",
    "replies/relays-tick-like-that",
    "investigation/tamarisk-gearbox",
    "editions",
    "checks",
    "data",
    "sources/index",
    "calculations/length-shared-one-shaft",
    "calculations/path-in-first-gear",
    "impact",
    "build-sheet",
    "scores",
    "reading",
)
# What a page of one's own may hold besides: the theme draws each of these.
OWN = """# Everything

- [x] done
- [ ] to be done

```python
def half(x: float) -> float:
    return x / 2  # a remark
```

| one | two |
|---|---|
| 1 | `code` |

!!! note "A note"
    With **bold**, *slanted* and [a link](index.md).

A word.[^1]

[^1]: A footnote.
"""
OPENED = "for (const one of document.querySelectorAll('details')) one.open = true"
# Of rows and lines that are alike the first are looked at, or the checker would take minutes for a long table.
FEWER = "for (const one of document.querySelectorAll('tbody tr:nth-child(n+6), li:nth-child(n+9)')) one.remove()"


@pytest.fixture(scope="module")
def site(demo: tuple[Path, Any], demo_site: Path) -> Path:
    """The published demo."""
    return demo_site


@pytest.fixture(scope="module")
def own(tmp_path_factory: pytest.TempPathFactory) -> str:
    """A page of one's own, with all that the theme draws, as an address."""
    from ledger.press import build
    from tests import casebooks
    from tests.sites import investigation

    config = investigation(tmp_path_factory.mktemp("own"))
    (config.parent / "pages" / "everything.md").write_text(OWN)
    extensions = "admonition, footnotes, pymdownx.highlight, pymdownx.superfences"
    lists = "pymdownx.tasklist: {custom_checkbox: true}"
    config.write_text(f"{config.read_text()}\nmarkdown_extensions: [{extensions}, {{{lists}}}]\n")
    return (build(config, casebooks.casebook()) / "everything.html").as_uri()


@pytest.fixture
def opened(chromium: Any) -> Iterator[Any]:
    """An empty page, into which the checker may be laid."""
    context = chromium.new_context(viewport={"width": 1280, "height": 900}, bypass_csp=True, reduced_motion="reduce")
    yield context.new_page()
    context.close()


def faults(page: Any, night: bool = False) -> list[str]:
    """Return what the checker finds: by day with everything unfolded, by night what looks at colours, as first seen."""
    page.evaluate(f"document.body.dataset.mdColorScheme = '{'slate' if night else 'default'}'")
    page.evaluate(FEWER)
    if not night:
        page.evaluate(OPENED)
    wanted = {"type": "tag", "values": ["cat.color"]} if night else None
    options = {"resultTypes": ["violations"], **({"runOnly": wanted} if wanted else {})}
    found = axe_in_playwright.Axe().run(page, options=options).response["violations"]
    return [f"{one['id']}: {node['html'][:120]}" for one in found for node in one["nodes"]]


def test_every_kind_of_page_is_accessible(opened: Any, site: Path, own: str) -> None:
    """axe-core finds nothing on one page of each kind, by day or by night, nor in what the theme draws."""
    wrong = {}
    for address in (*((site / f"{path}.html").as_uri() for path in KINDS), own):
        opened.goto(address, wait_until="load")
        wrong[f"{address}, by night"] = faults(opened, night=True)
        assert opened.evaluate("getComputedStyle(document.body).colorScheme") == "dark"
        wrong[address] = faults(opened)
    opened.set_viewport_size({"width": 360, "height": 800})
    opened.goto((site / "index.html").as_uri(), wait_until="load")
    wrong["on a phone"] = faults(opened)
    opened.click("label[for='__search'].md-header__button")
    wrong["searching"] = faults(opened)
    opened.set_viewport_size({"width": 1280, "height": 900})
    for night in (False, True):
        open_with_a_fault(opened, site)
        wrong[f"numbers that cannot be read, {night=}"] = faults(opened, night)
    assert {path: one for path, one in wrong.items() if one} == {}


def open_with_a_fault(page: Any, site: Path) -> None:
    """Open a calculation's form, which has results, and change a number to what cannot be read."""
    page.goto((site / "calculations/path-in-first-gear.html").as_uri(), wait_until="load")
    page.click(".wl-live-open")
    page.wait_for_function("() => /draws\\.$/.test(document.querySelector('.wl-live-said')?.textContent)")
    page.locator(".wl-live-cell input").nth(1).fill("4,5 N·m")
    page.wait_for_selector(".wl-live-outdated", state="visible")


def test_the_checker_sees_a_fault(opened: Any, site: Path) -> None:
    """A picture without words, a button without a name and pale grey text are each refused."""
    opened.goto((site / "about.html").as_uri(), wait_until="load")
    plant = "<img src='x.png'><button></button><p style='color:#aaa;background:#fff'>pale</p>"
    opened.evaluate(f'document.querySelector("article").insertAdjacentHTML("beforeend", "{plant}")')
    assert {one.partition(":")[0] for one in faults(opened)} == {"image-alt", "button-name", "color-contrast"}
    night = "<p style='color:#444;background:#000'>dark</p>"
    opened.evaluate(f'document.querySelector("article").insertAdjacentHTML("beforeend", "{night}")')
    assert sum("444" in one for one in faults(opened, night=True)) == 1


def too_much(page: Any, high: int = 6_000) -> list[str]:
    """Return what is too much for a phone: a page longer than `high`, or, also unfolded, wider than the screen."""
    size = "[document.documentElement.scrollHeight, document.documentElement.scrollWidth]"
    long, wide = page.evaluate(size)
    page.evaluate(OPENED)
    unfolded = page.evaluate(size)[1]
    return [
        *([f"{long} px long"] if long >= high else []),
        *([f"{max(wide, unfolded)} px wide"] if max(wide, unfolded) > 360 else []),
    ]


def test_pages_are_short_on_a_phone(chromium: Any, site: Path) -> None:
    """At 360 px every comparison, every calculation and the page of checks are under 6,000 px long, and none is wider.

    So also without scripts: what is folded is folded by the page itself.
    """
    page = chromium.new_page(viewport={"width": 360, "height": 800}, java_script_enabled=False)
    found = [site / "checks.html", *sorted((site / "questions").glob("*.html"))]
    found += [one for one in sorted((site / "calculations").glob("*.html")) if one.name != "index.html"]
    wrong = {}
    for path in found:
        page.goto(path.as_uri(), wait_until="load")
        wrong[path.stem] = too_much(page)
    page.close()
    assert len(found) > 60
    assert {path: one for path, one in wrong.items() if one} == {}


def test_what_is_too_much_for_a_phone_is_seen(chromium: Any, site: Path) -> None:
    """A table that is not folded makes a calculation too long, and a row that does not wrap makes it too wide."""
    page = chromium.new_page(viewport={"width": 360, "height": 800})
    path = (site / "calculations/two-gears-in-at-once.html").as_uri()
    page.goto(path, wait_until="load")
    page.evaluate(
        "[...document.querySelectorAll('article details')].find(one => /45 rows/.test(one.textContent)).open = true"
    )
    (long,) = too_much(page)
    assert long.endswith("px long")
    page.goto(path, wait_until="load")
    page.evaluate("document.querySelector('article p').style.cssText = 'width: 500px'")
    (wide,) = too_much(page)
    assert wide.endswith("px wide")
    page.close()


def test_all_folds_open_and_close_at_once(chromium: Any, site: Path) -> None:
    """On a page of many folds one button, reached by keyboard, opens all of them and closes all of them."""
    page = chromium.new_page(viewport={"width": 360, "height": 800})
    page.goto((site / "build-sheet.html").as_uri(), wait_until="load")
    closed = page.locator("article details:not([open])")
    before = closed.count()
    page.get_by_role("button", name="Open all folds").focus()
    page.keyboard.press("Enter")
    assert (before > 100, closed.count()) == (True, 0)
    button = page.get_by_role("button", name="Close all folds")
    assert button.evaluate("one => one === document.activeElement")
    page.keyboard.press("Enter")
    assert closed.count() == before
    page.get_by_role("button", name="Open all folds").press("Enter")
    page.locator("article summary").first.click()
    page.get_by_role("button", name="Open all folds").wait_for()
    page.emulate_media(media="print")
    assert page.locator(".wl-folds").is_hidden()
    page.goto((site / "about.html").as_uri(), wait_until="load")
    assert page.locator(".wl-folds").count() == 0
    page.close()
    still = chromium.new_page(java_script_enabled=False)
    still.goto((site / "build-sheet.html").as_uri(), wait_until="load")
    assert (still.locator("article details").count(), still.locator(".wl-folds").count()) == (before, 0)
    still.close()


def test_a_link_opens_the_fold_it_leads_into_and_no_other(chromium: Any, site: Path) -> None:
    """A calculator's page leads into its own printed examples, and the contents of that page into the fold below."""
    page = chromium.new_page(viewport={"width": 1280, "height": 800})
    page.goto((site / "calculators/torque-headroom.html").as_uri(), wait_until="load")
    page.get_by_role("link", name="Printed cases").last.click()
    page.locator("#held-torque-headroom[open]").wait_for()
    opened = page.locator("article details[open]")
    assert opened.count() == 1
    assert page.locator("#held-torque-headroom summary").first.evaluate("one => one.getBoundingClientRect().top") > 48
    page.click(".md-sidebar--secondary a[href='#bearing-life']")
    page.locator("#held-bearing-life[open]").wait_for()
    page.click(".md-sidebar--secondary a[href='#shift-gap']")
    page.wait_for_function("location.hash === '#shift-gap'")
    assert opened.count() == 2
    page.close()


def test_what_is_folded_opens_by_keyboard_by_link_and_in_print(chromium: Any, site: Path) -> None:
    """Enter on a summary opens it, a link into a fold opens it, and print shows all but long tables left folded."""
    page = chromium.new_page(viewport={"width": 800, "height": 900})
    page.goto((site / "questions/what-moves-the-selectors.html").as_uri(), wait_until="load")
    first = page.locator(".md-content details").first
    assert first.get_attribute("open") is None
    first.locator("summary").first.focus()
    page.keyboard.press("Enter")
    assert first.get_attribute("open") is not None
    assert page.locator("#the-account").get_attribute("open") is None
    page.click("a[href='#the-account']")
    page.locator("#the-account[open]").wait_for()
    page.emulate_media(media="print")
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    assert page.locator(".md-content details:not([open])").count() == 0
    assert page.locator(".md-header").is_hidden()
    notes = page.locator("details:has(> .wl-scroll .wl-notes)").first
    assert (page.locator("#the-account table").is_visible(), notes.locator("table").first.is_visible()) == (True, False)
    assert "not printed" in notes.locator("summary").first.evaluate("one => getComputedStyle(one, '::after').content")
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    page.evaluate("dispatchEvent(new Event('afterprint'))")
    assert page.locator(".md-content details:not([open])").count() > 5
    assert len(re.findall(rb"/Type\s*/Page\b", page.pdf(format="A4"))) < 15
    page.emulate_media(media="screen")
    notes.locator("summary").first.click()
    page.emulate_media(media="print")
    assert notes.locator("table").first.is_visible()
    page.close()


def test_marks_are_turned_off_and_the_picture_made_larger_by_keyboard(chromium: Any, site: Path) -> None:
    """A box in the legend hides one mark, a button hides all; a larger picture keeps its marks and can be moved in."""
    page = chromium.new_page(viewport={"width": 360, "height": 800})
    page.goto((site / "sources/right-side-outside.html").as_uri(), wait_until="load")
    groups = page.locator(".wl-marks [data-mark]")
    assert groups.count() > 1
    page.evaluate(OPENED)
    page.locator(".wl-legend input").first.focus()
    page.keyboard.press("Space")
    assert groups.nth(0).get_attribute("hidden") is not None
    assert groups.nth(1).get_attribute("hidden") is None
    page.get_by_role("button", name="Hide all marks").press("Enter")
    assert page.locator(".wl-marks [data-mark]:not([hidden])").count() == 0
    page.get_by_role("button", name="Show all marks").press("Enter")
    assert page.locator(".wl-marks [data-mark][hidden]").count() == 0
    before = page.locator(".wl-picture").bounding_box()
    larger = page.get_by_role("button", name="Larger")
    larger.press("Enter")
    larger.press("Enter")
    after, marks = page.locator(".wl-picture").bounding_box(), page.locator(".wl-shot .wl-marks").bounding_box()
    assert after["width"] == pytest.approx(2 * before["width"], rel=0.02)
    assert [marks[one] for one in ("x", "y", "width", "height")] == pytest.approx(
        [after[one] for one in ("x", "y", "width", "height")], abs=1
    )
    window = page.get_by_role("region", name="The picture")
    window.focus()
    at = window.evaluate("one => one.scrollLeft")
    page.keyboard.press("ArrowRight")
    page.wait_for_timeout(400)
    assert window.evaluate("one => one.scrollLeft") > at
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    page.close()
