"""Figures for a talk or a post: what they show, what they leave blank, and what they refuse."""

from __future__ import annotations

import io
import re
import struct
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from PIL import Image

from ledger.publishing.figuring import raster
from ledger.publishing.figuring.colours import colours, settled, style
from ledger.publishing.figuring.comparison import comparison
from ledger.publishing.figuring.lettering import Line, panel
from tests import casebooks
from tests.ledger_files import put

Run = Callable[..., tuple[int, str, str]]
MAGENTA = (255, 0, 255)
SVG = "{http://www.w3.org/2000/svg}"


def source(name: str, publishable: bool) -> str:
    """Return a source's file with a picture."""
    return (
        f"---\nkind: source\ntitle: Picture {name}\nmedium: photograph\nauthor: A. Witness\ndate: 2031-05-01\n"
        f"reliability: B\nrights: Lent for study\npublishable: {'true' if publishable else 'false'}\n"
        f"file: photographs/{name}.jpg\n---\nSeen.\n"
    )


def measured(name: str) -> str:
    """Return a measurement's file with a mark on that picture."""
    return (
        f"---\nkind: measurement\ntitle: Width on {name}\nquantity: 62 ± 3 mm\nsource: {name}\ncredibility: 2\n"
        "method: Read off\nmarks:\n  - {label: the rim, box: [100, 80, 400, 300]}\n---\nRead.\n"
    )


STATES = (
    "---\nkind: calculation\ntitle: Places of a drum\ncalculator: shift-states\n"
    "inputs:\n  gears: {value: 4, reason: Counted}\n---\nFour.\n"
)


WIDTHS = [f"measurements/width-{number}" for number in range(1, 31)]
DECISION = (
    "---\nkind: decision\ntitle: As wide as measured\nchoice: All of them\ntaken: 2031-06-01\ngrounds:\n"
    + "".join(f"  - {one}\n" for one in WIDTHS)
    + "---\nThirty.\n"
)


@pytest.fixture(scope="module")
def case(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A started investigation with two pictures that carry metadata, one of them not to be published."""
    from ledger.cli.app import gathered

    root = tmp_path_factory.mktemp("figures") / "case"
    gathered(["start"])(["start", str(root), "--by", "A. Keeper"], standalone_mode=False)
    (root / "photographs").mkdir()
    known = Image.Exif()
    known[0x010E] = "a secret about the place"
    for name in ("open", "shut"):
        Image.new("RGB", (600, 400), MAGENTA).save(root / "photographs" / f"{name}.jpg", exif=known, quality=95)
    files = {f"sources/{name}": source(name, name == "open") for name in ("open", "shut")}
    files |= {f"measurements/width-{name}": measured(name) for name in ("open", "shut")}
    files |= {one: measured("open").replace("Width on open", f"Width {one[19:]}") for one in WIDTHS}
    put(root / "entries", {**files, "calculations/places": STATES, "decisions/wide": DECISION})
    gathered(["post"])(["post", "--in", str(root)], standalone_mode=False)
    return root


def chunks(content: bytes) -> list[bytes]:
    """Return the kinds of a PNG's chunks in order. Source: PNG specification, 3rd ed. (W3C 2025), 5.3."""
    found, at = [], 8
    while at < len(content):
        (length,) = struct.unpack(">I", content[at : at + 4])
        found.append(content[at + 4 : at + 8])
        at += 12 + length
    return found


def magenta(content: bytes) -> float:
    """Return the share of a picture's pixels that are near magenta."""
    pixels = np.asarray(Image.open(io.BytesIO(content)).convert("RGB")).astype(int)
    return float((np.abs(pixels - MAGENTA).max(axis=2) < 40).mean())


def test_a_photograph_stands_with_its_marks(run: Run, case: Path, tmp_path: Path) -> None:
    """A picture that may be shown is shown, 1920 by 1080, with nothing in the file but pixels."""
    target = tmp_path / "width.png"
    code, said, _ = run("figure", "measurements/width-open", "--out", target, "--in", case)
    assert (code, "1920 by 1080" in said) == (0, True)
    content = target.read_bytes()
    assert Image.open(io.BytesIO(content)).size == (1920, 1080)
    assert set(chunks(content)) == {b"IHDR", b"IDAT", b"IEND"}
    assert magenta(content) > 0.2


def test_a_comparison_tells_what_was_calculated_too() -> None:
    """What moves the leader is listed for and against it, calculations among it, as the page's reasons have it."""
    made = casebooks.casebook()
    weighing = made.weighings[casebooks.FORKS]
    weights = {**weighing.weights, f"feasibility:{casebooks.DRUM}": {casebooks.DRUM: -9.0}}
    told = comparison(made, replace(weighing, weights=weights))[0](1800.0, 900.0)
    assert "−9.0 decibans: what was calculated for it" in told


def test_a_picture_that_may_not_be_shown_is_blank(run: Run, case: Path, tmp_path: Path) -> None:
    """Of a picture without leave there is not a pixel, in either form; its marks and credit are there."""
    png, svg = tmp_path / "shut.png", tmp_path / "shut.svg"
    assert run("figure", "measurements/width-shut", "--out", png, "--in", case)[0] == 0
    assert run("figure", "measurements/width-shut", "--out", svg, "--in", case)[0] == 0
    text = svg.read_text("utf-8")
    assert magenta(png.read_bytes()) == 0
    assert "data:image" not in text
    for told in ("the rim", "Photograph by A. Witness, 2031-05-01. Lent for study", "may not be reprinted"):
        assert told in re.sub(r"</text><text[^>]*>", " ", text), told


def test_no_metadata_leaves_within_a_drawing(run: Run, case: Path, tmp_path: Path) -> None:
    """The picture inside an SVG is encoded anew: it holds no EXIF and no word of what its file said."""
    import base64

    target = tmp_path / "open.svg"
    assert run("figure", "sources/open", "--out", target, "--in", case)[0] == 0
    held = re.search(r'href="data:image/jpeg;base64,([^"]+)"', target.read_text("utf-8"))
    assert held is not None
    inside = base64.b64decode(held[1])
    assert not Image.open(io.BytesIO(inside)).getexif()
    assert b"secret" not in inside
    assert b"secret" in (case / "photographs" / "open.jpg").read_bytes()


@pytest.mark.parametrize("ref", ["questions/return", "calculations/places"])
def test_a_figure_needs_nothing_beside_it(run: Run, case: Path, tmp_path: Path, ref: str) -> None:
    """An SVG has its colours and its words in it, names no other file and no variable, and is the same each time."""
    one, two = tmp_path / "one.svg", tmp_path / "two.svg"
    for target in (one, two):
        assert run("figure", ref, "--out", target, "--dark", "--size", "1200x630", "--in", case)[0] == 0
    text = one.read_text("utf-8")
    assert text == two.read_text("utf-8")
    root = ElementTree.fromstring(text)
    assert (root.get("width"), root.get("height")) == ("1200", "630")
    assert "var(" not in text
    assert "url(" not in text
    assert "href" not in text
    assert root.findtext(f"{SVG}desc")
    assert "A state without edition number, fingerprint" in text


def test_a_decision_with_many_grounds_is_drawn_as_far_as_letters_stay_legible(
    run: Run, case: Path, tmp_path: Path
) -> None:
    """The usual size takes those that carry most and says how many it leaves out; a tall one takes all of them."""
    usual, tall = tmp_path / "usual.svg", tmp_path / "tall.svg"
    assert run("figure", "decisions/wide", "--out", usual, "--in", case)[0] == 0
    assert run("figure", "decisions/wide", "--out", tall, "--size", "1080x2600", "--in", case)[0] == 0
    some, all_ = (ElementTree.fromstring(one.read_text("utf-8")) for one in (usual, tall))
    drawn = [len([one for one in root.iter(f"{SVG}rect") if "202" in one.get("width", "")]) for root in (some, all_)]
    left = [re.search(r"Left out for want of room: (\d+) things", "".join(root.itertext())) for root in (some, all_)]
    assert drawn[1] == 32
    assert left[1] is None
    assert left[0] is not None
    assert drawn[0] + int(left[0][1]) == 32


def test_a_course_and_a_part_are_asked_for_by_name(run: Run, case: Path, tmp_path: Path) -> None:
    """What has no course yet, or no drawing of that name, is refused with what there is, and nothing is written."""
    wrong = {"questions/return#course": "has nothing to draw", "calculations/places#stack": "It has `#states`."}
    for ref, why in wrong.items():
        code, _, complaint = run("figure", ref, "--out", tmp_path / "x.png", "--in", case)
        assert code == 1
        assert why in complaint, ref
    assert list(tmp_path.iterdir()) == []


def test_everything_wrong_is_told_at_once(run: Run, case: Path, tmp_path: Path) -> None:
    """A size that is none, an ending that is none and a folder that is not there are three faults together."""
    target = tmp_path / "away" / "figure.gif"
    code, _, complaint = run("figure", "questions/return", "--out", target, "--size", "10x10", "--in", case)
    assert code == 1
    assert "3 faults" in complaint
    assert not target.parent.exists()


@pytest.mark.parametrize("ref", ["questions/retrun", "hypotheses/coil-spring", "investigation/about"])
def test_what_cannot_be_drawn_is_refused(run: Run, case: Path, tmp_path: Path, ref: str) -> None:
    """A name that is not in the ledger, and an entry with nothing to draw, are faults with a way out."""
    code, _, complaint = run("figure", ref, "--out", tmp_path / "x.png", "--in", case)
    assert code == 1
    assert "mend" in complaint
    assert list(tmp_path.iterdir()) == []


def test_a_file_that_is_there_stays(run: Run, case: Path, tmp_path: Path) -> None:
    """Nothing is written over unasked, nor among the entries; with leave the whole file is exchanged."""
    target = tmp_path / "mine.svg"
    target.write_text("mine")
    words = ("figure", "questions/return", "--in", case, "--out")
    assert run(*words, target)[0] == 1
    assert target.read_text() == "mine"
    assert run(*words, case / "entries" / "x.svg")[0] == 1
    assert not (case / "entries" / "x.svg").exists()
    assert run(*words, target, "--replace")[0] == 0
    assert target.read_text("utf-8").startswith("<svg")
    assert [one.name for one in tmp_path.iterdir()] == ["mine.svg"]


def test_a_computer_without_letters_is_told(
    run: Run, case: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where no font draws a letter the figure would be dumb: it is refused, and an SVG is offered."""
    monkeypatch.setattr(raster, "_LETTERS", '<svg xmlns="http://www.w3.org/2000/svg" width="64" height="32"/>')
    code, _, complaint = run("figure", "questions/return", "--out", tmp_path / "x.png", "--in", case)
    assert code == 1
    assert "No letters could be drawn" in complaint
    assert list(tmp_path.iterdir()) == []


def test_what_has_no_room_is_counted() -> None:
    """A panel that is too low for all its lines says how many it leaves out; one with room says nothing."""
    lines = [Line(f"mark {number}", 20) for number in range(9)]
    low = panel(lines, 0.0, 400.0, 120.0)
    shown = low.count("mark ")
    assert 0 < shown < 9
    assert f"And {9 - shown} more." in low
    assert "more" not in panel(lines, 0.0, 400.0, 900.0)


@pytest.mark.parametrize("dark", [False, True])
def test_the_looks_are_the_sites(dark: bool) -> None:
    """Every class that figures draw has a rule, with the scheme's own colours in it."""
    rules = style(dark)
    for name in (".wl-line-3", ".wl-chart text", ".wl-marks text", ".wl-map-carries rect", ".wl-trace-box"):
        assert name in rules, name
    assert "var(" not in rules
    assert settled("var(--wl-ink)", dark) == colours(dark)["--wl-ink"]
    assert colours(True) != colours(False)
