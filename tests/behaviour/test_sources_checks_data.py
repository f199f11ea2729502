"""The pages of all sources, of what is held against print, and of the data; and the files of the data on the site."""

from __future__ import annotations

import json
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pytest

from ledger.calculators.checked import ours
from ledger.calculators.printed import CASES
from ledger.calculators.register import REGISTER as ALL
from ledger.casebook.opening import open_casebook
from ledger.entries.models import Source
from ledger.handing.forms import handed_out
from ledger.publishing import checks, crediting
from ledger.publishing.downloads import FOLDER, Downloads
from ledger.store.engine import open_store
from ledger.store.records import links
from tests import casebooks, sites


class Cells(HTMLParser):
    """The rows of tables in a page's text, cell by cell, and its links."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.rows: list[list[str]] = []
        self.links: list[str] = []
        self.inside = False
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Begin a row or a cell, or take down a link."""
        if tag == "tr":
            self.rows.append([])
        if tag in ("td", "th"):
            self.rows[-1].append("")
        self.inside = tag in ("td", "th") or (self.inside and tag not in ("table", "p"))
        if tag == "a":
            self.links.append(dict(attrs).get("href") or "")

    def handle_endtag(self, tag: str) -> None:
        """End a cell."""
        self.inside = self.inside and tag not in ("td", "th")

    def handle_data(self, data: str) -> None:
        """Take down text."""
        if self.inside and self.rows and self.rows[-1]:
            self.rows[-1][-1] += data


def test_every_source_stands_with_credit_and_rights() -> None:
    """Each standing source has a row: who made it, when, its rights, and whether it is shown."""
    made = casebooks.casebook()
    rows = {row[0]: [cell.removesuffix(";") for cell in row] for row in Cells(crediting.sources_page(made)).rows}
    for item in made.of_kind("source"):
        assert isinstance(item.entry, Source)
        row = next(row for title, row in rows.items() if title.strip().startswith(item.title))
        assert (item.entry.author in row[1], item.entry.date in row[1]) == (True, True)
        assert item.entry.rights in row[2]
        assert row[3].startswith("no") != item.entry.publishable


def test_a_source_that_nothing_came_of_says_so() -> None:
    """A source without notes and measurements, and a ledger without sources, are told in words."""
    made = casebooks.casebook()
    alone = replace(made, used_by={})
    assert "nothing yet" in crediting.sources_page(alone)
    entries = {ref: item for ref, item in made.entries.items() if item.kind != "source"}
    assert "None yet." in crediting.sources_page(replace(made, entries=entries))


def test_every_calculator_stands_with_its_printed_figures() -> None:
    """Each printed figure has a row with ours beside it; a calculator without one says why."""
    text = checks.checks_page(casebooks.casebook(), ALL)
    found = Cells(text)
    assert "All of them lie within what is permitted" in text
    assert sum(not row[0].startswith("Figure") for row in found.rows) == sum(len(case.figures) for case in CASES)
    for calculator in ALL.values():
        assert f"calculators/{calculator.name}.html" in found.links
    five = next(row for row in found.rows if row[:2] == ["Torque of the engine;", "180 lbf·in;"])
    assert (five[2][:6], five[3][:6]) == ("180.07", "+0.072")
    assert "no printed worked example of positions or binding was found" in text


def test_a_figure_that_is_missed_is_shown_as_missed(monkeypatch: pytest.MonkeyPatch) -> None:
    """The page hides no difference: a figure off by more than is permitted is counted and marked."""
    wrong = replace(CASES[0], figures=(replace(CASES[0].figures[0], value=181.0),))
    monkeypatch.setattr(checks, "CASES", (wrong, *CASES[1:]))
    text = checks.checks_page(casebooks.casebook(), ALL)
    assert "1 of them is off by more than is permitted" in text
    assert "missed" in text
    assert text.count(" 1 off by more than is permitted<") == 1


def test_each_calculators_fold_says_how_near_it_came(monkeypatch: pytest.MonkeyPatch) -> None:
    """The line of a fold counts cases and figures, and tells the difference nearest to what is permitted."""
    case = CASES[0]
    (value, *_) = ours(case)
    half = replace(case.figures[0], value=value + 0.1, within=0.2)
    least = replace(case.figures[0], value=value - 0.02, within=0.2)
    monkeypatch.setattr(checks, "CASES", (replace(case, figures=(least, half)),))
    monkeypatch.setattr(checks, "ours", lambda _: (value, value))
    text = checks.checks_page(casebooks.casebook(), ALL)
    told = "1 case, 2 figures; off by at most 50 % of what is permitted"
    assert f'<details id="held-{case.calculator}"><summary>{told}<' in text
    assert text.count("<details id=") == 1


@pytest.fixture(scope="module")
def case(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A started investigation, posted."""
    from ledger.cli.app import gathered

    root = tmp_path_factory.mktemp("data") / "case"
    gathered(["start"])(["start", str(root), "--by", "A. Keeper"], standalone_mode=False)
    gathered(["post"])(["post", "--in", str(root)], standalone_mode=False)
    return root


def test_the_data_are_what_is_handed_out(case: Path) -> None:
    """The files on the site are those of `witness out`, byte for byte, provenance among them, and the same twice."""
    casebook = open_casebook(case)
    with open_store(case / "witness.sqlite").reading() as connection:
        history = tuple(links(connection))
    told = {f"{FOLDER}/{name}": content for name, content in handed_out(casebook, history).items()}
    assert Downloads(casebook).files() == told
    assert Downloads(open_casebook(case)).files() == told
    assert f"{FOLDER}/provenance.json" in told


def test_the_site_carries_its_data(tmp_path: Path) -> None:
    """Every file that the page of the data names is in the site; without a history there is no provenance."""
    made = casebooks.casebook()
    site = sites.build(tmp_path, made)
    page = Cells((site / "data.html").read_text("utf-8"))
    named = {one for one in page.links if one.startswith(f"{FOLDER}/")}
    assert named == {f"{FOLDER}/{path.name}" for path in (site / FOLDER).iterdir()}
    assert f"{FOLDER}/provenance.json" not in named
    ledger = json.loads((site / FOLDER / "ledger.json").read_text("utf-8"))
    assert ledger["edition"]["fingerprint"] == made.edition.fingerprint
    assert f"edition {made.edition.number}" in (site / "data.html").read_text("utf-8")
