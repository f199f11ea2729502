"""The page of the build sheet: on the site and in a browser, narrow and wide, by day and by night."""

from __future__ import annotations

from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlsplit

import pytest

from ledger import press
from tests import casebook_calculators, casebooks, sites
from tests.casebooks import pages_of
from tests.sheets import LATCH, PAIR, decision, opened

LATER = "2031-09-01T00:00:00Z"
FIXES = (
    PAIR
    + """
  gear-blanks:
    - {gear: first, face: 15 mm, driver_bore: 12 mm, driven_bore: 14 mm}
"""
    + LATCH.replace("\n  scale: 2\n  process: printed from resin", "").rstrip("\n")
    + '\n  more-parts:\n    - {part: "<b>guard</b> | `x`", made_by: bought}\n'
)


FILES = {
    "decisions/model": decision(FIXES, grounds="hypotheses/drum measurements/hub-width", title="How it is built"),
    "decisions/play": decision(
        "\n  gear-backlash: {value: 0.06..0.10 mm, grounds: [measurements/hub-width]}\n", title="How much play it has"
    ),
}


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("investigation")
    return press.build(sites.investigation(folder), opened(folder, FILES))


@pytest.fixture(scope="module")
def page(site: Path) -> sites.Page:
    return sites.Page((site / "build-sheet.html").read_text("utf-8"))


def test_without_decisions_that_fix_anything_there_is_no_page(tmp_path: Path) -> None:
    """Nor a line in the navigation."""
    site = sites.build(tmp_path, casebooks.casebook())
    assert not (site / "build-sheet.html").exists()
    assert "build-sheet" not in (site / "index.html").read_text("utf-8")


def test_it_is_found_from_the_front_page_and_the_navigation(site: Path) -> None:
    """In the list of what is in the ledger, and in the menu."""
    home = sites.Page((site / "index.html").read_text("utf-8"))
    assert [one[2] for one in home.addresses].count("build-sheet.html") >= 2
    assert "Dimensions of the model" in home.text


def test_cautions_come_first(page: sites.Page) -> None:
    """Guards, pinch points, stored energy and model use stand above every number."""
    top = page.text[: page.text.index("Still undecided", page.text.index("Each number leads"))]
    for word in ("guard each mesh", "pinch", "spring", "for a model and for understanding"):
        assert word in top
    assert "28.5" not in top


def test_every_address_on_it_leads_somewhere(site: Path, page: sites.Page) -> None:
    """Links within the page, to entries, and to the files to take away."""
    for tag, _, address, _ in page.addresses:
        parts = urlsplit(address)
        if tag == "a" and not parts.scheme:
            if parts.path and not parts.path.startswith("/"):
                assert (site / unquote(parts.path)).exists(), address
            if parts.fragment and not parts.path:
                assert parts.fragment in page.ids, address


def test_a_number_leads_to_its_decision_and_that_to_its_grounds(site: Path, page: sites.Page) -> None:
    """A tip diameter to the line that names its decisions, a distance to its one; from there to the measurement."""
    html = (site / "build-sheet.html").read_text("utf-8")
    assert '<a class="wl-quiet" href="decisions/model.html">54</a>' in html
    assert '<a class="wl-quiet" href="#gear-wheels-from-' in html
    lines = [part for part in html.split("<li ") if part.startswith('id="gear-wheels-from-')]
    line = next(part for part in lines if "Tip diameter" in part)
    assert 'href="#p-gear-module"' in line
    assert 'href="decisions/model.html"' in line
    assert 'href="decisions/play.html"' in line
    made = sites.Page((site / "decisions" / "model.html").read_text("utf-8"))
    assert any("measurements/hub-width.html" in one[2] for one in made.addresses)
    assert any(one[2] == "../build-sheet.html#p-gear-module" for one in made.addresses)


def test_a_decision_calls_parameters_what_the_sheet_calls_them(site: Path) -> None:
    """By their labels, with the section where another one has a label of that name; never by their names in entries."""
    made = sites.Page((site / "decisions" / "model.html").read_text("utf-8")).text
    assert "Module of the gears, square to the teeth: 1.5 mm" in made
    assert "Pairs of gears and their tooth counts: 1 row" in made
    assert "Motion law (selector drum): harmonic" in made
    assert "gear module" not in made
    assert "drum law" not in made


def test_what_is_made_to_stands_before_what_it_is_worked_out_with(site: Path) -> None:
    """Each table is folded, its size told; within it the other numbers and the chain are folded once more."""
    html = (site / "build-sheet.html").read_text("utf-8")
    table = html[html.index("<strong>Wheels</strong>, 2 rows") :]
    places = [table.index(one) for one in ("Root diameter [mm]", "More of each", "Base diameter [mm]", "come from")]
    assert places == sorted(places)
    assert html.count("<details>") == html.count("<details")


def test_what_was_chosen_freely_is_marked(page: sites.Page) -> None:
    """And what stands on a measurement says which."""
    assert "chosen freely" in page.text
    assert "on Width of the hub: 62 ± 3 mm" in page.text


def test_its_files_lie_beside_it(site: Path) -> None:
    """Tables, and drawings as DXF and SVG."""
    names = {path.name for path in (site / "build-sheet").iterdir()}
    assert names >= {
        "gear-wheels.csv",
        "gear-first-driving.dxf",
        "gear-first-driving.svg",
        "drum.dxf",
        "parameters.csv",
    }


def test_a_drawing_in_the_bill_leads_to_it(page: sites.Page) -> None:
    """The name of each drawing that a part is made by, of a wheel as of the drum; that it is there is asked above."""
    leads = [(one[2], one[0]) for one in page.addresses]
    for name in ("gear-first-driving", "drum"):
        assert leads.count((f"build-sheet/{name}.svg", "a")) == 2 + (name != "drum")


def test_words_of_a_decision_are_words_on_the_page(site: Path) -> None:
    """Tags and signs of Markdown do nothing."""
    html = (site / "build-sheet.html").read_text("utf-8")
    assert "<b>guard</b>" not in html
    assert "&lt;b&gt;guard&lt;/b&gt;" in html


def test_a_drawing_has_words_beside_it(site: Path) -> None:
    """A title and a description, which a reader hears."""
    html = (site / "build-sheet.html").read_text("utf-8")
    assert "Outline of a wheel of 19 teeth, module 1.5 mm" in html
    assert html.count('class="wl-drawing"') == html.count("-drawn ") == 3


def test_the_same_ledger_gives_the_same_page(site: Path, tmp_path: Path) -> None:
    """Posted and built again elsewhere."""
    again = press.build(sites.investigation(tmp_path), opened(tmp_path, FILES))
    assert (again / "build-sheet.html").read_bytes() == (site / "build-sheet.html").read_bytes()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [360, 1600])
def test_it_reads_at_any_width_and_light(site: Path, chromium: Any, width: int, scheme: str) -> None:
    """Nothing runs off the page; tables are cards where it is narrow; drawings have the colour of the text."""
    opened_page = chromium.new_context(viewport={"width": width, "height": 900}, color_scheme=scheme).new_page()
    complaints: list[str] = []
    opened_page.on("console", lambda said: complaints.append(said.text))
    opened_page.on("pageerror", lambda error: complaints.append(str(error)))
    opened_page.goto((site / "build-sheet.html").as_uri())
    folded = opened_page.evaluate("document.body.scrollHeight")
    opened_page.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")
    assert opened_page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert folded < 0.5 * opened_page.evaluate("document.body.scrollHeight")
    cut = (
        "[...document.querySelectorAll('.wl-grid')].filter(one => one.offsetWidth > one.parentElement.clientWidth + 1)"
    )
    assert opened_page.evaluate(f"{cut}.length") == 0
    cards = opened_page.evaluate("getComputedStyle(document.querySelector('table.wl-cards tbody tr')).display")
    assert (cards == "table-row") is (width == 1600)
    links = "[...document.querySelectorAll('td[data-label=From], td[data-label=Drawing]')]"
    assert opened_page.evaluate(f"{links}.every(one => one.querySelectorAll(':scope > a').length < 2)"), (
        "each comma on a line of its own"
    )
    colours = opened_page.evaluate(
        """() => [getComputedStyle(document.querySelector('.wl-drawing g')).stroke,
                  getComputedStyle(document.querySelector('.wl')).color]"""
    )
    assert colours[0] == colours[1]
    assert complaints == []
    opened_page.context.close()


def test_a_number_can_be_followed(site: Path, chromium: Any) -> None:
    """A click on a number goes to what it comes from, and from there to the decision and the measurement."""
    opened_page = chromium.new_context(viewport={"width": 1600, "height": 900}).new_page()
    opened_page.goto((site / "build-sheet.html").as_uri())
    opened_page.locator("summary", has_text="Pairs, 1 row").click()
    opened_page.locator("a.wl-quiet", has_text="0.08").first.click()
    assert "#gear-pairs-from-" in opened_page.url
    target = opened_page.locator(f"id={opened_page.url.partition('#')[2]}")
    target.get_by_role("link", name="How much play it has").click()
    assert opened_page.url.endswith("decisions/play.html")
    opened_page.get_by_role("link", name="Width of the hub").first.click()
    assert opened_page.url.endswith("measurements/hub-width.html")
    opened_page.go_back()
    opened_page.go_back()
    opened_page.locator("a.wl-quiet", has_text="54").first.click()
    assert opened_page.url.endswith("decisions/model.html")
    opened_page.context.close()


def test_a_decision_to_take_again_stands_before_its_numbers(tmp_path: Path, page: sites.Page) -> None:
    """Who makes parts by the sheet is told first that what one of them stands on was measured again."""
    opened(tmp_path, {"decisions/model": decision(FIXES), "decisions/play": FILES["decisions/play"]})
    again = (tmp_path / "entries/measurements/hub-width.md").read_text().replace("quantity: ", "quantity: 1", 1)
    made = pages_of(opened(tmp_path, {"measurements/hub-width": again}, LATER), casebook_calculators.REGISTER)[
        "build-sheet.md"
    ]
    warned = "Make nothing of these before they are taken again"
    assert made.index(warned) < made.index("Still undecided")
    assert warned not in page.text
