"""Pages of decisions, of what they stand on, and of what would fall: built from a ledger with pictures."""

from __future__ import annotations

import html
import re
from pathlib import Path

import pytest

from ledger.casebook.opening import STORE, open_casebook
from ledger.casebook.values import Casebook
from ledger.entries.withdrawing import withdrawn_text
from ledger.publishing.media.picturing import reprints
from ledger.publishing.navigation import nav, paths
from ledger.store.engine import open_store
from ledger.store.posting import post
from tests import measured_ledgers, traced
from tests.casebooks import pages_of
from tests.ledger_files import put
from tests.toys import TOYS

NOTE = """---
kind: evidence
title: {title}
source: {source}
credibility: 2
marks:
{marks}
bearing: {{drum: 0.9, face-cam: 0.3}}
---
"""
MARKS = """  - {label: groove, box: [812, 440, 1010, 655]}
  - {label: edge of the bore, polygon: [[100, 100], [300, 100], [200, 300]]}
  - {label: slot, line: [[10, 790], [400, 700]]}
  - {label: pin, point: [600, 400]}"""
ADDED = {
    "evidence/on-view": NOTE.format(title="A groove on the view", source="view", marks=MARKS),
    "evidence/on-bench": NOTE.format(
        title="A boss on the bench", source="bench-left", marks="  - {label: boss, box: [10, 20, 400, 300]}"
    ),
    "measurements/slot": """---
kind: measurement
title: Length of the slot
quantity: 40 ± 3 mm
source: view
credibility: 3
method: judged by eye
marks:
  - {label: the slot, line: [[10, 790], [400, 700]]}
---
""",
    "measurements/sleeve": measured_ledgers.SLEEVE,
    "decisions/drum": """---
kind: decision
title: The model gets a drum
choice: A drum
grounds:
  - hypotheses/drum
  - measurements/sleeve
taken: 2031-05-20
quotes:
  - {of: measurements/sleeve, said: 17.4 ± 2.0 mm}
least-confidence:
  drum: 0.5
---
""",
    "decisions/lid": """---
kind: decision
title: The lid
choice: Flat
grounds:
  - evidence/on-bench
taken: 2031-05-21
retaken: It warped.
---
""",
}


def text(page: str) -> str:
    """Return what a reader reads of a page."""
    page = re.sub(r'<span class="wl-sep">.</span>', "", page)
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", page)).replace("\N{NO-BREAK SPACE}", " ").split())


def lay_out(root: Path) -> Path:
    """Lay out the investigation and post it."""
    measured_ledgers.lay_out(root, ADDED)
    post(open_store(root / STORE), root / "entries", "2031-05-22T09:00:00Z")
    return root


def made(root: Path) -> tuple[Casebook, dict[str, str]]:
    """Return the casebook and every page of it."""
    casebook = open_casebook(root, count=300)
    return casebook, pages_of(casebook, TOYS, root=root)


@pytest.fixture
def root(tmp_path: Path) -> Path:
    """The investigation, posted."""
    return lay_out(tmp_path / "case")


def test_a_decision_page_has_its_drawing_list_and_table(root: Path) -> None:
    """Every entry it stands on is a box that leads to its page, a line of the list and a row of the table."""
    casebook, found = made(root)
    page = found["decisions/drum.md"]
    drawing = page[page.index('<svg class="wl-trace"') : page.index("</svg>", page.index('<svg class="wl-trace"'))]
    listed = page[page.index('<div class="wl-narrow">') : page.index("The same as a table")]
    table = page[page.index("The same as a table") :]
    wanted = {"hypotheses/drum", "evidence/on-view", "evidence/on-bench", "measurements/sleeve", "sources/view"}
    for ref in wanted:
        for part in (drawing, listed, table):
            assert f"{ref}.html" in part, ref
    assert 'role="group"' in drawing
    ids = set(re.findall(r'id="([^"]+)"', drawing))
    assert set(re.search(r'aria-labelledby="([^"]+)"', drawing)[1].split()) <= ids
    assert drawing.count("<a ") == drawing.count("wl-trace-box") - 1
    assert "evidence/on-view.html#the-marks" in drawing
    assert "To be taken again" not in page
    said = text(page)
    assert "Taken on these numbers Width of the sleeve: 17.4 ± 2.0 mm" in said
    assert "Needs a confidence of at least A drum with grooves: 50 %" in said
    assert "Taken again, because It warped." in text(found["decisions/lid.md"])
    assert casebook.entries["decisions/drum"].entry


def test_marks_lie_on_the_picture_with_words_and_credit(root: Path) -> None:
    """Box, polygon, line and point in hundredths of the picture's size, each labelled there and in the legend."""
    casebook, found = made(root)
    page = found["evidence/on-view.md"]
    figure = page[page.index('id="the-marks"') : page.index("</figure>")]
    assert re.search(r'<img src="\.\./assets/witness/pictures/view-[0-9a-f]{8}\.jpg" width="1200" height="800"', figure)
    for label in ("groove", "edge of the bore", "slot", "pin"):
        assert figure.count(f">{label}</text>") == 1
        assert f"</svg> {label} <small>" in figure
    left, top, right, bottom = (f"{one:.2f}%" for one in (81200 / 1200, 44000 / 800, 101000 / 1200, 65500 / 800))
    for one, two in (((left, top), (right, top)), ((right, top), (right, bottom)), ((left, bottom), (left, top))):
        assert f'x1="{one[0]}" y1="{one[1]}" x2="{two[0]}" y2="{two[1]}"' in figure
    assert 'cx="50.00%" cy="50.00%"' in figure
    for words in (
        "groove a box in the lower right, 17 % of the width by 27 % of the height",
        "edge of the bore an outline of 3 corners in the upper left",
        "slot a line from the lower left to the lower middle",
        "pin a point in the middle",
    ):
        assert words in text(figure)
    assert "Photograph by A. Draughtsman, 2031-05-17. own work" in text(figure)
    assert any(path in figure for path in (f"../{one}" for one in reprints(casebook, root)))


def test_a_picture_that_may_not_be_reprinted_stays_blank(root: Path) -> None:
    """Its marks stand on an outline as large as they need, with reason and credit, and no picture is laid out."""
    casebook, found = made(root)
    page = found["evidence/on-bench.md"]
    figure = page[page.index('id="the-marks"') : page.index("</figure>")]
    assert "<img" not in figure
    assert '<svg class="wl-blank" viewBox="0 0 1060 688"' in figure
    assert ">boss</text>" in figure
    assert "The picture may not be reprinted here" in figure
    assert "A. Draughtsman" in figure
    assert not any("bench-left" in path for path in reprints(casebook, root))


def test_a_picture_that_is_at_hand_and_not_to_be_shown_lends_its_size(root: Path) -> None:
    """The outline has the size of the picture, and not a pixel of it."""
    source = root / "entries" / "sources" / "view.md"
    source.write_text(source.read_text().replace("publishable: true\n", ""))
    post(open_store(root / STORE), root / "entries", "2031-06-01T09:00:00Z")
    casebook, found = made(root)
    assert '<svg class="wl-blank" viewBox="0 0 1200 800"' in found["evidence/on-view.md"]
    assert "<img" not in found["evidence/on-view.md"]
    assert reprints(casebook, root) == {}


def test_a_measurement_with_picks_keeps_its_own_picture(root: Path) -> None:
    """The picks are the finer marks; one with marks alone gets these. Each has the place that links lead to."""
    _, found = made(root)
    assert found["measurements/sleeve.md"].count('id="the-marks"') == 1
    assert "## On the picture" not in found["measurements/sleeve.md"]
    assert found["measurements/slot.md"].count('id="the-marks"') == 1
    assert ">the slot</text>" in found["measurements/slot.md"]


def test_a_page_says_what_stands_on_it_and_what_its_loss_would_do(root: Path) -> None:
    """Of a source, a note and a measurement: decisions and hypotheses above, confidences before and after."""
    _, found = made(root)
    for ref in ("sources/view", "evidence/on-view"):
        said = text(found[f"{ref}.md"]).partition("## What stands on it")[2]
        assert "Decisions The model gets a drum" in said
        assert "Its impact, if it is not what it seems" in said
        assert re.search(r"A drum with grooves What moves the forks\? \d\d % \d\d % −\d+ points?", said), said
    said = text(found["measurements/sleeve.md"]).partition("## What stands on it")[2]
    assert "One decision loses its ground: The model gets a drum “Width of the sleeve” would be gone itself." in said
    assert "Every question keeps its leader." in said


def test_the_sweep_has_a_page_that_home_and_navigation_lead_to(root: Path) -> None:
    """Every source is in it once, those that matter most first; what would change nothing is told without a row."""
    casebook, found = made(root)
    page = found["impact.md"]
    for item in casebook.of_kind("source"):
        assert page.count(f'<a href="{item.ref}.html">') == 1
    assert not [row for row in page.split("<tr>") if row.count('class="wl-empty"') == 3]
    assert "No leader and no decision would change, and no confidence by half a point, without" in page
    assert "A. Draughtsman" in page
    assert 'href="impact.html"' in found["index.md"]
    assert "impact.md" in set(paths(nav(casebook, TOYS)))
    first = page[page.index("<tbody>") :].split("</tr>")[0]
    assert "sources/view.html" in first or "sources/bench-left.html" in first


def test_a_stale_decision_is_flagged_on_its_page_and_on_the_home_page(root: Path) -> None:
    """Each reason with what was and what is; a quiet ledger has neither box nor section."""
    assert "Decisions to take again" not in made(root)[1]["index.md"]
    path = root / "entries" / "measurements" / "sleeve.md"
    path.write_text(path.read_text().replace("quantity: 17.4 ± 2.0 mm", "quantity: 29 ± 2 mm"))
    post(open_store(root / STORE), root / "entries", "2031-06-01T09:00:00Z")
    _, found = made(root)
    said = text(found["decisions/drum.md"])
    assert "To be taken again. Taken 2031-05-20; since then:" in said
    assert "“Width of the sleeve” : 17.4 ± 2.0 mm as quoted → 29 ± 2 mm now." in said
    assert "“Width of the sleeve” was revised: quantity 17.4 ± 2.0 mm → 29 ± 2 mm." in said
    home = text(found["index.md"])
    flagged = "Decisions to take again The model gets a drum , taken 2031-05-20: “Width of the sleeve” : 17.4 ± 2.0 mm"
    assert flagged in home.replace("## ", "")
    assert "And 1 more reason." in home
    assert "To be taken again" not in found["decisions/lid.md"]


def test_a_withdrawn_decision_keeps_its_page_without_a_drawing(root: Path) -> None:
    """It stands on nothing any more, and is flagged for nothing."""
    path = root / "entries" / "decisions" / "drum.md"
    path.write_text(withdrawn_text(path.read_text("utf-8"), "Another model."), "utf-8")
    post(open_store(root / STORE), root / "entries", "2031-06-01T09:00:00Z")
    page = made(root)[1]["decisions/drum.md"]
    assert "wl-trace" not in page
    assert "What it stood on, and what still names it" in page


def test_words_held_without_consent_are_not_told_through_a_decision(root: Path) -> None:
    """A decision may stand on a letter that must not be printed: neither its name nor what changed in it is shown."""
    letter = (
        "---\nkind: reply\ntitle: Unheard-of title\nabout: hypotheses/drum\nstance: agree\nname: {}\ndate: 2031-05-20\n"
        "consent: false\n---\nUnheard-of words.\n"
    )
    drum = ADDED["decisions/drum"].replace("grounds:\n", "grounds:\n  - replies/letter\n")
    traced.revise(root, {"replies/letter": letter.format("Unheard-of One"), "decisions/drum": drum})
    traced.revise(root, {"replies/letter": letter.format("Unheard-of Two")}, "2031-06-02T09:00:00Z")
    found = made(root)[1]
    assert "has changed." in text(found["decisions/drum.md"])
    assert not any("Unheard-of" in page for page in found.values())


def test_the_same_ledger_gives_the_same_pages(root: Path) -> None:
    """Drawings, tables and reasons come out the same to the byte, whether what was then is kept or worked out."""
    first = made(root)[1]
    assert made(root)[1] == first
    traced.revise(root, {})
    assert made(root)[1] == first


def test_titles_that_mean_something_elsewhere_do_no_harm(tmp_path: Path) -> None:
    """A title full of signs stands in the drawing as text."""
    root = tmp_path / "case"
    measured_ledgers.lay_out(root, ADDED)
    bad = '<script>alert("x")</script> & {{ 7 }} `$x$` “</title></svg>'
    for ref in ("evidence/on-view", "decisions/drum"):
        path = root / "entries" / f"{ref}.md"
        lines = path.read_text().split("\n")
        quoted = bad.replace('"', '\\"')
        put(
            root / "entries",
            {ref: "\n".join(f'title: "{quoted}"' if one.startswith("title:") else one for one in lines)},
        )
    post(open_store(root / STORE), root / "entries", "2031-05-22T09:00:00Z")
    page = made(root)[1]["decisions/drum.md"]
    assert "<script>" not in page
    assert page.count('<svg class="wl-trace"') == 1
    assert "{{" not in page.partition("---")[2].partition("---")[2]
