"""Pages of measurements and of ways of measuring, and the pictures that are published with them."""

from __future__ import annotations

import re
from html import unescape
from pathlib import Path

import pytest

from ledger.casebook.opening import STORE, open_casebook
from ledger.casebook.values import Casebook
from ledger.errors import WitnessError
from ledger.photo.methods import METHODS
from ledger.press import build
from ledger.publishing.media.picturing import reprints
from ledger.store.engine import open_store
from ledger.store.posting import post
from tests.casebook_calculators import REGISTER
from tests.casebooks import pages_of
from tests.ledger_files import put
from tests.measured_ledgers import (
    CHANGE_GAP,
    HEIGHT,
    PICTURE,
    SECRET,
    SLEEVE,
    SOURCES,
    WIDTH,
    encoded,
    jpeg,
    lay_out,
    photograph,
)
from tests.sites import investigation

SHEET = "measurements/sleeve.md"


def opened(root: Path) -> Casebook:
    """Post what stands in a folder, and open it."""
    post(open_store(root / STORE), root / "entries", "2031-06-01T00:00:00Z")
    return open_casebook(root, count=500)


def words_of(markdown: str) -> str:
    """Return a page's words without its tags."""
    return " ".join(unescape(re.sub(r"<[^>]*>", " ", markdown)).split())


@pytest.fixture(scope="module")
def root(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An investigation with a photograph that may be published."""
    return lay_out(tmp_path_factory.mktemp("measured") / "case")


@pytest.fixture(scope="module")
def casebook(root: Path) -> Casebook:
    """Its casebook."""
    return opened(root)


def test_a_measurement_shows_how_it_came_about(casebook: Casebook, root: Path) -> None:
    """Method, picks, knowns with defaults told as such, interval and parts of the uncertainty stand on the page."""
    page = words_of(pages_of(casebook, REGISTER, root=root)[SHEET])
    for told in (
        "How it was measured",
        "Length beside a known length",
        "812, 440; 1010, 655 px",
        "1.5 px",
        "24 ± 0.2 mm",
        "0 ± 10 ° (the method's default)",
        "none: the picture is straight",
        "Alone, 95",
        "the lean of the plane",
        "never for making or rating a part that carries people",
    ):
        assert told in page
    assert re.search(r"95 % from 15\.\d+ to 19\.\d+ mm", page)


def test_marks_stand_where_they_were_picked(casebook: Casebook, root: Path) -> None:
    """Each pick is drawn at its share of width and height, so that it stays on its place at any size."""
    page = pages_of(casebook, REGISTER, root=root)[SHEET]
    drawn = set(re.findall(r'cx="([\d.]+)%" cy="([\d.]+)%"', page))
    picks = ((812, 440), (1010, 655), (300, 200), (512, 204))
    assert drawn == {(f"{100 * x / WIDTH:.2f}", f"{100 * y / HEIGHT:.2f}") for x, y in picks}
    assert "bar: Ends of the known length" in words_of(page)
    assert 'alt="Through the inspection opening, with the picks of this measurement marked"' in page


def test_only_pictures_of_publishable_sources_are_published(tmp_path: Path) -> None:
    """Without `publishable: true` no picture is made, and the page says why it shows none."""
    root = lay_out(tmp_path / "case")
    put(root / "entries", {"sources/view": SOURCES["sources/view"].replace("publishable: true\n", "")})
    casebook = opened(root)
    assert reprints(casebook, root) == {}
    page = pages_of(casebook, REGISTER, root=root)[SHEET]
    assert "<img" not in page
    assert "The picture may not be reprinted here." in page


def test_a_page_is_made_without_the_picture(tmp_path: Path) -> None:
    """A picture that is away or damaged leaves a page that says so; a stated size lets it be measured all the same."""
    root = lay_out(tmp_path / "case", {"measurements/sleeve": SLEEVE.replace("lens: none", "size: [1200, 800]")})
    (root / PICTURE).write_bytes(jpeg()[:5000])
    casebook = opened(root)
    assert reprints(casebook, root) == {}
    page = words_of(pages_of(casebook, REGISTER, root=root)[SHEET])
    assert "The picture is not shown" in page
    assert "damaged or cut off" in page
    (root / PICTURE).unlink()
    page = words_of(pages_of(casebook, REGISTER, root=root)[SHEET])
    assert "The picture is not at hand." in page
    assert "95 % from" in page
    other = lay_out(tmp_path / "other")
    posted = opened(other)
    (other / PICTURE).unlink()
    assert "not measured again" in words_of(pages_of(posted, REGISTER, root=other)[SHEET])


def test_a_page_says_when_its_picks_give_something_else(tmp_path: Path) -> None:
    """A quantity that the picks do not give is named on the page."""
    root = lay_out(tmp_path / "case", {"measurements/sleeve": SLEEVE.replace("17.4 ± 2.0", "18.4 ± 1.7")})
    page = words_of(pages_of(opened(root), REGISTER, root=root)[SHEET])
    assert "The picks give 17.4 ± 2.0 mm, which is not what the entry says." in page


def test_a_measurement_from_a_recording_tells_its_span(tmp_path: Path) -> None:
    """Spans are told in seconds; no picture is looked for, and no doubt of a pick told."""
    root = lay_out(tmp_path / "case", {"measurements/gap": CHANGE_GAP})
    page = words_of(pages_of(opened(root), REGISTER, root=root)["measurements/gap.md"])
    assert "0.8 s to 2.2 s" in page
    assert "Doubt of a pick" not in page
    assert "the only one" in page


def test_every_way_of_measuring_has_a_page_from_its_declaration(casebook: Casebook) -> None:
    """Each page names every role and every known, formula, assumptions, cautions and sources, and who uses it."""
    made = pages_of(casebook, REGISTER)
    listed = words_of(made["methods/index.md"])
    for method in METHODS:
        page = made[f"methods/{method.name}.md"]
        assert method.title in listed
        for part in (*method.roles, *method.knowns):
            assert f"<code>{part.name}</code>" in page
        text = words_of(page)
        for line in (*method.assumptions, *method.cautions):
            assert line.split(";")[0][:40] in text
    assert "../measurements/sleeve.html" in made["methods/scale-bar.md"]


def test_nothing_published_holds_metadata(root: Path, casebook: Casebook) -> None:
    """In the built site no file has the camera's words; pictures of sources and of one's own pages are encoded anew."""
    config = investigation(root) if not (root / "site").exists() else root / "site" / "mkdocs.yml"
    (root / "site" / "pages" / "own.jpg").write_bytes(jpeg())
    (root / "site" / "pages" / "own.png").write_bytes(encoded(photograph(60, 40), "PNG"))
    site = build(config, casebook)
    shown = list((site / "assets" / "witness" / "pictures").iterdir())
    assert [path.name.rpartition("-")[0] for path in shown] == ["view"]
    assert SECRET.encode() in jpeg()
    for path in site.rglob("*"):
        if path.is_file():
            content = path.read_bytes()
            assert SECRET.encode() not in content, path
            if path.suffix in (".jpg", ".png"):
                assert b"Exif" not in content
                assert b"eXIf" not in content
    page = (site / "measurements" / "sleeve.html").read_text("utf-8")
    assert f"../assets/witness/pictures/{shown[0].name}" in page
    assert (site / "own.jpg").is_file()
    assert (site / "methods" / "scale-bar.html").is_file()


@pytest.mark.parametrize(
    ("name", "content", "told"),
    [("own.heic", b"\0\0\0\x18ftypheic", "kind whose metadata"), ("own.jpg", b"x", "own.jpg")],
)
def test_a_picture_whose_metadata_would_stay_is_not_published(
    tmp_path: Path, name: str, content: bytes, told: str
) -> None:
    """One's own picture of a kind that is not encoded anew, or a damaged one, stops the build with a word."""
    root = lay_out(tmp_path / "case", {})
    config = investigation(root)
    (root / "site" / "pages" / name).write_bytes(content)
    with pytest.raises(WitnessError, match=told):
        build(config, opened(root))
