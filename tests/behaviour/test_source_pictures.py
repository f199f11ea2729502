"""Pictures with what was marked on them: on the page of their source, and cut out beside each note."""

from __future__ import annotations

import html
import io
import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from ledger.casebook.opening import STORE, open_casebook
from ledger.casebook.values import Casebook
from ledger.publishing.media import mark_places, thumbs
from ledger.publishing.media.picturing import reprints, source_reprint
from ledger.store.engine import open_store
from ledger.store.posting import post
from tests.behaviour.test_traces_on_pages import lay_out
from tests.casebooks import pages_of
from tests.measured_ledgers import HEIGHT, SECRET, WIDTH
from tests.toys import TOYS


def text(page: str) -> str:
    """Return what a reader reads of a page."""
    page = re.sub(r'<span class="wl-sep">.</span>', "", page)
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", page)).replace("\N{NO-BREAK SPACE}", " ").split())


@pytest.fixture(scope="module")
def root(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An investigation with a picture that may be shown, and one that may not."""
    return lay_out(tmp_path_factory.mktemp("pictures") / "case")


@pytest.fixture(scope="module")
def casebook(root: Path) -> Casebook:
    """Its casebook."""
    return open_casebook(root, count=300)


@pytest.fixture(scope="module")
def made(root: Path, casebook: Casebook) -> dict[str, str]:
    """Its pages."""
    return pages_of(casebook, TOYS, root=root)


def figure(page: str) -> str:
    """Return the picture of a page with its legend and caption."""
    return page[page.index('id="the-marks"') : page.index("</figure>")]


def test_a_source_shows_everything_marked_on_it(made: dict[str, str]) -> None:
    """Marks of every note and measurement stand numbered on its picture, each told in words with a link to whose."""
    shown = figure(made["sources/view.md"])
    assert re.search(r'<img src="\.\./assets/witness/pictures/view-[0-9a-f]{8}\.jpg" width="1200" height="800"', shown)
    assert len(re.findall(r'<g data-mark="\d+">', shown)) == len(re.findall(r'<li data-mark="\d+">', shown)) == 5
    for number in range(1, 6):
        assert shown.count(f">{number}</text>") == 1
    said = text(shown)
    assert "1: groove A groove on the view : a box in the lower right" in said
    assert "5: the slot Length of the slot : a line from the lower left to the lower middle" in said
    assert 'href="../evidence/on-view.html#the-marks"' in shown
    assert "Photograph by A. Draughtsman, 2031-05-17. own work" in said
    assert "The picture alone" in said


def test_a_source_that_may_not_be_reprinted_shows_an_outline(made: dict[str, str], casebook: Casebook) -> None:
    """Its marks and credit are shown on a blank outline; neither page nor site has a pixel of it."""
    shown = figure(made["sources/bench-left.md"])
    assert "<img" not in shown
    assert 'class="wl-blank"' in shown
    assert "1: boss A boss on the bench : a box" in text(shown)
    assert "The picture may not be reprinted here" in text(shown)
    assert "A. Draughtsman" in text(shown)


def test_rights_taken_back_take_every_pixel_away(tmp_path: Path) -> None:
    """When a source is no longer publishable, page, cut-outs and files of the site lose its picture."""
    root = lay_out(tmp_path / "case")
    casebook = open_casebook(root, count=300)
    assert reprints(casebook, root)
    assert thumbs.pieces(casebook, root)
    source = root / "entries" / "sources" / "view.md"
    source.write_text(source.read_text().replace("publishable: true\n", ""))
    post(open_store(root / STORE), root / "entries", "2031-06-01T09:00:00Z")
    casebook = open_casebook(root, count=300)
    assert reprints(casebook, root) == thumbs.pieces(casebook, root) == {}
    made = pages_of(casebook, TOYS, root=root)
    assert not any("<img" in page for page in made.values())
    assert '<svg class="wl-blank" viewBox="0 0 1200 800"' in figure(made["sources/view.md"])


def test_a_note_is_shown_with_the_region_it_marks(made: dict[str, str], root: Path, casebook: Casebook) -> None:
    """The comparison has a small cut-out that leads to the marks; it is a part of the picture, without metadata."""
    page = made["questions/forks.md"]
    cards = page.partition('<ol class="wl-weighty">')[2].partition("</ol>")[0]
    found = re.search(
        r'href="\.\./evidence/on-view\.html#the-marks">\s*<span class="wl-thumb"><img src="\.\./([^"]+)"', cards
    )
    assert found is not None
    made_pieces = thumbs.pieces(casebook, root)
    content = made_pieces[found[1]]
    with Image.open(io.BytesIO(content)) as piece:
        assert piece.size == (thumbs.ACROSS, thumbs.DOWN)
        assert not piece.getexif()
    assert SECRET.encode() not in content
    assert len(content) < 20_000
    assert thumbs.pieces(casebook, root) == made_pieces


def test_a_cut_out_is_the_part_of_the_picture_that_it_claims_to_be(root: Path, casebook: Casebook) -> None:
    """Pixel for pixel the cut-out is what the picture has in that region, but for what shrinking and JPEG lose."""
    whole = source_reprint(casebook, casebook.entries["sources/view"], root)
    assert whole is not None
    region = (240.0, 180.0, 720.0, 540.0)
    piece = Image.open(io.BytesIO(thumbs.cut(whole, region).content)).convert("RGB")
    picture = Image.open(root / "photographs" / "view.jpg").convert("RGB").crop((240, 180, 720, 540))
    for x, y in ((30, 30), (120, 90), (200, 150)):
        own, wanted = piece.getpixel((x, y)), picture.getpixel((2 * x, 2 * y))
        assert isinstance(own, tuple)
        assert isinstance(wanted, tuple)
        assert all(abs(one - other) < 30 for one, other in zip(own, wanted, strict=True))


places = st.tuples(st.floats(0, WIDTH), st.floats(0, HEIGHT))


@given(st.lists(places, min_size=1, max_size=6))
def test_a_region_holds_its_marks_and_lies_within_the_picture(marked: list[tuple[float, float]]) -> None:
    """Whatever is marked, the region holds all of it that its shape allows, and nothing beyond the picture."""
    left, top, right, bottom = thumbs.around(marked, (float(WIDTH), float(HEIGHT)))
    assert -1e-6 <= left < right <= WIDTH + 1e-6
    assert -1e-6 <= top < bottom <= HEIGHT + 1e-6
    assert (right - left) / (bottom - top) == pytest.approx(thumbs.ACROSS / thumbs.DOWN, rel=1e-6)
    xs, ys = zip(*marked, strict=True)
    if max(xs) - min(xs) <= right - left and max(ys) - min(ys) <= bottom - top:
        assert all(left - 1e-6 <= x <= right + 1e-6 and top - 1e-6 <= y <= bottom + 1e-6 for x, y in marked)


def test_a_place_is_told_by_thirds() -> None:
    """Nine parts of a picture have nine names, also at its very edges and a little beyond."""
    named = {mark_places.picks([(x, y)]) for x in (0, 50, 100) for y in (-1, 50, 101)}
    assert len(named) == 9
    assert mark_places.picks([(50, 50)]) == "1 pick in the middle"
    assert mark_places.picks([(0, 0), (20, 30)]) == "2 picks in the upper left"
    assert mark_places.picks([(99, 50)]) == "1 pick in the middle right"
    assert mark_places.picks([]) == ""
