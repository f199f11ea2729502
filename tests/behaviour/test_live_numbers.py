"""The form where a reader tries other numbers: by keyboard, narrow, from files, with a link that carries them."""

from __future__ import annotations

import base64
import json
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any
from unittest.mock import patch

import pytest

from ledger import press
from ledger.calculators.register import REGISTER
from ledger.publishing.figures import plain_label
from ledger.publishing.live import bundling, policy
from ledger.publishing.live.section import carried
from tests import casebook_calculators, casebooks, live_pages, sites
from tests.examples import EXAMPLES

DONE = "() => /draws\\.|doubt here|weighed inside/.test(document.querySelector('.wl-live-said').textContent)"
SPLINE = {
    "inputs": EXAMPLES["spline"] | {"count": "24"},
    "criteria": [{"output": "capacity", "label": "Torque", "limit": "at least 5000 N·m", "at_least": "5000 N·m"}],
    "taken": {"major": {"words": "the photograph", "href": "#there"}},
    "roots": {"major": "measurements/major"},
}
Opener = Callable[..., Any]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the pages stand."""
    return tmp_path_factory.mktemp("numbers")


@pytest.fixture
def opened(chromium: Any, folder: Path) -> Iterator[Opener]:
    """Open a calculator's page, narrow, by day; what it asked of other places must be nothing."""
    contexts, asked = [], []

    def open_page(name: str = "spline", data: Any = None, fragment: str = "", done: bool = True) -> Any:
        context = chromium.new_context(viewport={"width": 360, "height": 780})
        contexts.append(context)
        page = context.new_page()
        page.on("request", lambda request: asked.append(request.url))
        page.goto(live_pages.lay_out(folder, REGISTER[name], SPLINE if data is None else data).as_uri() + fragment)
        if done:
            page.wait_for_function(DONE, timeout=60_000)
        return page

    yield open_page
    for context in contexts:
        context.close()
    assert [one for one in asked if not one.startswith(("file:", "blob:"))] == []


def results(page: Any) -> dict[str, tuple[str, str]]:
    """What comes out: text at the middles and of the draws, by label."""
    rows = page.locator(".wl-live-results tbody tr").all()
    found = ([one.inner_text() for one in row.locator("th, td").all()] for row in rows)
    return {cells[0]: (cells[1], cells[2]) for cells in found if len(cells) == 3}


def field_of(page: Any, calculator: str, name: str) -> Any:
    """The field of an input, found by its label as it is shown."""
    declared = REGISTER[calculator].input(name)
    assert declared is not None
    return page.get_by_label(plain_label(declared.label), exact=False).first


def settled(page: Any) -> None:
    """Wait until a change has been computed."""
    page.wait_for_timeout(400)
    page.wait_for_function(DONE, timeout=60_000)


def carrying(value: Any) -> str:
    """A fragment that carries something."""
    return "#numbers=" + base64.urlsafe_b64encode(json.dumps(value).encode()).decode().rstrip("=")


def test_numbers_ranges_and_criteria_are_shown(opened: Opener) -> None:
    """Each output has its number with unit, its range in some hundred draws, each criterion whether it is kept."""
    page = opened()
    found = results(page)
    assert found["Torque: at least 5000 N·m"][0] == "kept"
    assert found["Torque: at least 5000 N·m"][1].endswith(("draws", "draw"))
    capacity = found[REGISTER["spline"].output("capacity").label]
    assert capacity[0].endswith("N·m")
    assert "±" in capacity[1] or "…" in capacity[1]
    assert "200 draws" in page.inner_text(".wl-live-said")
    assert page.evaluate("document.documentElement.scrollWidth") <= 360


@pytest.mark.parametrize(("root", "kept"), [("measurements/room", 100), ("measurements/other", 50)])
def test_a_limit_is_drawn_with_the_input_it_is_taken_with(opened: Opener, root: str, kept: float) -> None:
    """A length that is one measurement is at least that one in all draws, and at least one like it in half of them."""
    rows = [{"part": "room", "length": "14 ± 1.5 mm"}, {"part": "nothing", "length": "0 mm"}]
    limit = {
        "output": "length", "label": "Length", "limit": "at least 14 mm", "at_least": "14 ± 1.5 mm",
        "roots": {"at_least": root},
    }  # fmt: skip
    data = {"inputs": {"layout": rows}, "roots": {"layout.0.length": "measurements/room"}, "criteria": [limit]}
    said = results(opened("axial-length", data))["Length: at least 14 mm"][1]
    share = re.search(r"([\d.]+)\s%", said)
    assert share is not None or "in all draws" in said
    assert (100 if share is None else float(share[1])) == pytest.approx(kept, abs=15)


def test_a_reader_changes_a_number_by_keyboard(opened: Opener) -> None:
    """Tabbing to a field, typing another number and nothing else gives another result; what it was taken from goes."""
    page = opened()
    before = results(page)
    field = field_of(page, "spline", "major")
    assert page.locator("a", has_text="the photograph").count() == 1
    for _ in range(40):
        page.keyboard.press("Tab")
        if field.evaluate("one => one === document.activeElement"):
            break
    assert field.evaluate("one => one === document.activeElement")
    page.keyboard.press("Control+A")
    page.keyboard.type("80 ± 0.1")
    settled(page)
    assert results(page) != before
    assert page.locator("a", has_text="the photograph").count() == 0


def test_problems_stand_beside_their_fields(opened: Opener) -> None:
    """A text that cannot be read is told at its field, a refusal of the calculator above; never a traceback."""
    page = opened()
    field = field_of(page, "spline", "major")
    for written, told in (
        ("wide", "expected a quantity"),
        ("74 kg", "mm"),
        ("74,5 mm", "a decimal point"),
        ("-3 mm", "permitted"),
        ("", "missing"),
    ):
        field.fill(written)
        page.wait_for_function("told => [...document.querySelectorAll('.wl-live-field .wl-live-fault')]"
                               ".some(one => !one.hidden && one.textContent.includes(told))", arg=told)  # fmt: skip
        assert field.get_attribute("aria-invalid") == "true"
    field.fill("60 mm")
    page.wait_for_function("() => !document.querySelector('p.wl-live-fault').hidden")
    said = page.inner_text("p.wl-live-fault")
    assert said
    assert "Traceback" not in said
    field.fill("74 mm")
    settled(page)
    assert page.locator("p.wl-live-fault").first.is_hidden()
    assert field.get_attribute("aria-invalid") is None


def test_a_link_carries_the_numbers_and_back_leads_home(opened: Opener) -> None:
    """Whoever opens the copied address sees the same inputs and results; one button leads to the ledger's own."""
    page = opened()
    own = results(page)
    field_of(page, "spline", "major").fill("80 ± 0.1 mm")
    settled(page)
    page.get_by_role("button", name="Copy a link").click()
    fragment = page.evaluate("location.hash")
    state = page.evaluate("witnessLive.state()")
    other = opened(fragment=fragment)
    assert other.evaluate("witnessLive.state()") == state
    assert set(state) == {"version", "calculator", "page", "inputs"}
    assert results(other) == results(page) != own
    other.get_by_role("button", name="Back to the ledger").click()
    settled(other)
    assert results(other) == own
    assert other.evaluate("location.hash") == ""


@pytest.mark.parametrize(
    ("fragment", "told"),
    [
        ("#numbers=%%%", "could not be read: it is cut off or was changed"),
        ("#numbers=AAAA", "could not be read: it is cut off or was changed"),
        (carrying([1, "spline", {"major": "80 mm"}])[:-6], "could not be read: it is cut off or was changed"),
        (carrying([9, "spline", {}]), "another version"),
        (carrying([1, "dog-teeth", {}]), "belong to another calculator, dog-teeth, and not to spline"),
        (carrying([1, "<b>dog</b>", {}]), "belong to another calculator."),
        (carrying([1, "spline", {"no": "1"}]), "could not be read: it names an input"),
        (carrying([1, "spline", {"major": 4}]), "could not be read: its value"),
        (carrying([1, "spline", {"major": "7" * 5000}]), "could not be read: its value"),
        (carrying([1, "spline", []]), "could not be read: it carries no inputs"),
    ],
)
def test_an_address_that_cannot_be_read_is_said_to_be_so(opened: Opener, fragment: str, told: str) -> None:
    """Cut off, of another version or calculator, with unknown inputs or other kinds: said, and the ledger's own shown.

    It is still said when all is computed, and no longer once the reader changes a number.
    """
    page = opened(fragment=fragment)
    assert page.evaluate("witnessLive.state().inputs.major") == SPLINE["inputs"]["major"]
    notice = page.locator(".wl-live-notice")
    assert told in notice.inner_text()
    assert notice.inner_text().endswith("The ledger’s own numbers stand in the fields instead.")
    assert page.locator(".wl-live-head").is_hidden()
    field_of(page, "spline", "major").fill("80 mm")
    assert notice.is_hidden()


def test_what_differs_from_the_ledger_says_so(opened: Opener) -> None:
    """Each field changed, by hand or by a link, tells what stands in the ledger; the head counts and leads back."""
    page = opened()
    head, filled, marks = (page.locator(f".wl-live{one}") for one in ("-head", "-filled", "-differs:visible"))
    assert (head.is_hidden(), filled.is_visible(), marks.count()) == (True, True, 0)
    field = field_of(page, "spline", "major")
    field.fill("80 ± 0.1 mm")
    assert "One field differs" in head.inner_text()
    assert filled.is_hidden()
    assert marks.all_inner_texts() == [f"Changed; in the ledger: {SPLINE['inputs']['major']}"]
    assert marks.get_attribute("id") in field.get_attribute("aria-describedby").split()
    field.fill(SPLINE["inputs"]["major"])
    assert (head.is_hidden(), filled.is_visible(), marks.count()) == (True, True, 0)
    other = opened(fragment=carrying([1, "spline", {**SPLINE["inputs"], "major": "80 mm"}]))
    head = other.locator(".wl-live-head")
    assert "One field differs" in head.inner_text()
    head.get_by_role("button", name="Back to the ledger").click()
    assert head.is_hidden()
    assert field_of(other, "spline", "major").input_value() == SPLINE["inputs"]["major"]
    assert other.evaluate("document.activeElement.className") == "wl-live-inputs"


def test_a_form_that_the_ledger_does_not_fill_in_marks_nothing(opened: Opener) -> None:
    """Without a calculation there is nothing to differ from."""
    page = opened(data={"inputs": {}}, done=False)
    field_of(page, "spline", "major").fill("80 mm")
    assert page.locator(".wl-live-head").is_hidden()
    assert page.locator(".wl-live-differs:visible").count() == 0


def test_a_table_at_the_middles_has_no_chances(opened: Opener) -> None:
    """What only draws can tell stands in the range of the draws, and in no table or word computed at the middles."""
    page = opened("torque-headroom", {"inputs": EXAMPLES["torque-headroom"]})
    heads = page.locator(".wl-live-results thead th").all_inner_texts()
    assert "margin [%]" in heads
    assert not [one for one in heads if "chance" in one]
    middle, drawn = results(page)["The weakest element"]
    assert (middle, "draws" in drawn) == ("–", True)


CUT = """() => [...document.querySelectorAll(".wl-live-cell input")]
  .filter(one => one.scrollWidth > one.clientWidth + 1).map(one => one.value)"""


@pytest.mark.parametrize("width", [360, 1600])
def test_cells_are_as_wide_as_what_they_hold(opened: Opener, width: int) -> None:
    """Long values in every cell are seen whole, as filled in and as typed, and the page never scrolls sideways."""
    duty = [{**row, "radial": "9.12345..10.2345..11.5678 kN"} for row in EXAMPLES["bearing-life"]["duty"]]
    page = opened("bearing-life", {"inputs": {**EXAMPLES["bearing-life"], "duty": duty}})
    page.set_viewport_size({"width": width, "height": 900})
    page.get_by_label("row 1").nth(1).fill("1300.25 ± 12.5 1/min")
    page.wait_for_timeout(100)
    assert page.evaluate(CUT) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    page.add_style_tag(content=".wl-live-form .wl-live-cell input { width: 3rem; min-width: 0 !important; }")
    assert duty[0]["radial"] in page.evaluate(CUT)


def test_results_of_earlier_numbers_are_told_in_words_and_not_paled(opened: Opener) -> None:
    """Where the fields give no result what stands below is said to be older, at full contrast; headings skip none."""
    page = opened()
    assert page.locator(".wl-live-outdated").is_hidden()
    field_of(page, "spline", "major").fill("74,5 mm")
    page.wait_for_selector(".wl-live-outdated", state="visible")
    assert page.locator(".wl-live-results").evaluate("one => getComputedStyle(one).opacity") == "1"
    levels = page.locator(".wl-live :is(h3, h4, h5, h6)").evaluate_all("all => all.map(one => one.localName)")
    assert set(levels) == {"h3"}


def test_nothing_in_an_address_is_run(opened: Opener) -> None:
    """Markup in an input stays text, in the field and in what is said of it."""
    hostile = "<img src=x onerror='window.ran = 1'><script>window.ran = 1</script>"
    page = opened(fragment=carrying([1, "spline", {**SPLINE["inputs"], "major": hostile}]), done=False)
    page.wait_for_selector("[aria-invalid]")
    assert field_of(page, "spline", "major").input_value() == hostile
    assert page.evaluate("window.ran") is None
    assert page.locator(".wl-live img").count() == 0


def test_tables_grow_and_shrink(opened: Opener) -> None:
    """A row is added with a button and takes the focus; it is computed once filled in, and can be removed again."""
    data = {"inputs": EXAMPLES["bearing-life"] | {"duty": [dict(row) for row in EXAMPLES["bearing-life"]["duty"]]}}
    page = opened("bearing-life", data)
    before = results(page)
    page.get_by_role("button", name="Add a row").click()
    assert page.evaluate("document.activeElement.getAttribute('aria-label')").endswith("row 3")
    page.wait_for_selector("[aria-invalid]")
    duty = {column.name: column.label for column in REGISTER["bearing-life"].input("duty").columns}  # type: ignore[union-attr]
    for column, written in (("radial", "20 kN"), ("speed", "1000 1/min"), ("share", "0.5")):
        page.get_by_label(f"{plain_label(duty[column])}, row 3", exact=True).fill(written)
    settled(page)
    assert results(page) != before
    page.get_by_role("button", name="Remove row 3").click()
    settled(page)
    assert results(page) == before


def test_a_long_computation_can_be_stopped(opened: Opener) -> None:
    """Stop ends what is going on at once; the next change begins anew."""
    one = EXAMPLES["shift-gap"]["straights"][0]
    many = {"inputs": {**EXAMPLES["shift-gap"], "straights": [{**one, "name": f"{place}"} for place in range(200)]}}
    page = opened("shift-gap", many, done=False)
    stop = page.get_by_role("button", name="Stop")
    stop.wait_for()
    page.wait_for_timeout(300)
    stop.click()
    page.wait_for_function("() => document.querySelector('.wl-live-said').textContent === 'Stopped.'")
    field_of(page, "shift-gap", "mass").fill("heavy")
    page.wait_for_selector("[aria-invalid]", timeout=60_000)


def test_a_simulation_draws_as_often_as_all_others(opened: Opener) -> None:
    """What is simulated step by step has its range by itself, of as many draws, as what is a closed form."""
    page = opened("shift-gap", {"inputs": EXAMPLES["shift-gap"]})
    assert "200 draws" in page.inner_text(".wl-live-said")
    lost = results(page)[REGISTER["shift-gap"].output("place_loss_lap").label]
    assert "±" in lost[1] or "…" in lost[1]


def test_scripts_may_come_in_any_order(chromium: Any, folder: Path) -> None:
    """The form's own script may be there before the rest, of which the engine's is sixty times as large."""
    made = live_pages.lay_out(folder, REGISTER["spline"], SPLINE)
    first, last = '<script src="engine.js"></script>', '<script src="live.js"></script>'
    text = made.read_text(encoding="utf-8")
    turned = text.replace(first, "").replace(last, last + first)
    assert turned.index(last) < turned.index(first)
    other = folder / "turned.html"
    other.write_text(turned.replace('<script src="spline.js"></script>', "").replace(
        first, first + '<script src="spline.js"></script>'), encoding="utf-8")  # fmt: skip
    page = chromium.new_page()
    page.goto(other.as_uri())
    page.wait_for_function(DONE, timeout=60_000)
    page.close()


def test_every_calculator_can_be_carried_to_the_browser() -> None:
    """No calculator of the register needs what the browser has not."""
    assert [name for name, one in REGISTER.items() if not carried(one)] == []


def test_what_the_browser_has_not_is_refused() -> None:
    """A module that imports one without a stand-in cannot be carried."""
    with pytest.raises(bundling.CannotCarry, match="zlib"):
        bundling.needed("zlib")


def test_bundles_are_the_same_each_time() -> None:
    """The same sources give the same scripts."""
    one = REGISTER["tooth-root"]
    packed = bundling.packed(bundling.own(one))
    bundling._module.cache_clear()
    assert bundling.packed(bundling.own(one)) == packed
    assert list(bundling.own(one)) == sorted(bundling.own(one))


def test_only_pages_with_live_numbers_may_evaluate() -> None:
    """A page has its own scripts' digests; evaluation and a worker made of text only where there is a live section."""
    plain = "<html><head><title>x</title></head><body><script>one()</script></body></html>"
    live = plain.replace("<script>", '<div class="wl-live"></div><script>')
    for html, may in ((plain, False), (live, True)):
        guarded = policy.guarded(html)
        head = guarded[guarded.index("<head>") : guarded.index("<title>")]
        assert "default-src 'none'" in head
        assert ("'unsafe-eval'" in head) == ("blob:" in head) == may
        assert f"'sha256-{policy.digest('one()')}'" in head
        assert "'unsafe-inline'" not in head.partition("script-src")[2].partition(";")[0]


COUNTING = """fragment => new Promise(done => {
  let ticks = 0
  setInterval(() => { ticks += 1 }, 1)
  addEventListener("witness-numbers", () => done(ticks), { once: true })
  location.hash = fragment
})"""


def test_a_built_page_opened_by_double_click_computes_and_goes_on(chromium: Any, tmp_path: Path) -> None:
    """Under its own policy it asks nothing of anyone, breaks no rule, and other scripts run while it computes."""
    register = {**casebook_calculators.REGISTER, "spline": REGISTER["spline"]}
    with patch.object(press, "REGISTER", register):
        site = press.build(sites.investigation(tmp_path), casebooks.casebook())
    page = chromium.new_page()
    complaints: list[str] = []
    asked: list[str] = []
    page.on("console", lambda said: complaints.append(said.text) if said.type == "error" else None)
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.on("request", lambda request: asked.append(request.url))
    page.goto((site / "calculators" / "spline.html").as_uri())
    assert page.evaluate(COUNTING, carrying([1, "spline", SPLINE["inputs"]])) > 5
    page.wait_for_function(DONE, timeout=60_000)
    assert complaints == []
    assert [one for one in asked if not one.startswith(("file:", "blob:", "data:"))] == []
    assert all("Content-Security-Policy" in one.read_text(encoding="utf-8") for one in site.rglob("*.html"))
    page.close()
