"""A small investigation of a clock: nothing here is tied to gearboxes but the calculators about them."""

from __future__ import annotations

import re
import shutil
from html.parser import HTMLParser
from pathlib import Path

import pytest

from ledger import press
from ledger.casebook.opening import open_casebook
from ledger.casebook.values import Casebook
from ledger.casebook.verifying import problems
from ledger.store.engine import open_store
from ledger.store.posting import post
from tests import sites

ENTRIES = Path(__file__).parents[1] / "second" / "entries"
OF_GEARBOXES = re.compile(r"\b(gears?|gearbox(es)?|shafts?|dogs?|forks?|clutch|vehicles?|torques?|selectors?)\b", re.I)
# What calculators and ways of measuring say of themselves is theirs.
THEIRS = {"calculators", "methods", "calculations", "checks.html"}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The clock, posted."""
    root = tmp_path_factory.mktemp("clock")
    sites.investigation(root)
    shutil.copytree(ENTRIES, root / "entries")
    post(open_store(root / "witness.sqlite"), root / "entries", "2031-06-01T09:00:00Z")
    return root


@pytest.fixture(scope="module")
def casebook(folder: Path) -> Casebook:
    """What it comes to."""
    return open_casebook(folder, numbering=True)


@pytest.fixture(scope="module")
def site(folder: Path, casebook: Casebook) -> Path:
    """Its pages."""
    return press.build(folder / "site/mkdocs.yml", casebook)


def test_its_questions_are_weighed_together(casebook: Casebook) -> None:
    """What stands still between ticks has dead faces, and what favours it on the other question moves with it."""
    which, hangs = (casebook.weighings[f"questions/{name}"] for name in ("which-escapement", "what-hangs"))
    assert which.leader == "hypotheses/dead-beat"
    assert hangs.leader == "hypotheses/leaf-spring"
    assert "hypotheses/pin-wheel" in casebook.feasibility


def test_a_limit_follows_what_was_measured(folder: Path, site: Path, tmp_path: Path) -> None:
    """The page tells the measured value with its title and leads to it; measured anew, the criterion is missed."""
    page = (site / "calculations/pins-fit.html").read_text("utf-8")
    said = re.sub(r"\s+", " ", " ".join(Words(page).words))
    assert "at most 64 ± 3 mm (Room between the pane and the back plate)" in said
    assert re.search(r'href="\.\./measurements/room-behind-pane\.html"[^>]*>at most 64', page)
    root = Path(shutil.copytree(folder, tmp_path / "clock"))
    room = root / "entries/measurements/room-behind-pane.md"
    room.write_text(room.read_text("utf-8").replace("64 ± 3 mm", "34 ± 3 mm"), "utf-8")
    post(open_store(root / "witness.sqlite"), root / "entries", "2031-06-02T09:00:00Z")
    assert open_casebook(root).feasibility["hypotheses/pin-wheel"] == 0.0


def test_it_is_sound(folder: Path) -> None:
    """The chain, the references and the results verify."""
    assert [one for one in problems(folder) if one.severity == "wrong"] == []


class Words(HTMLParser):
    """The text of a page's article, without scripts."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.inside, self.silent, self.words = 0, 0, [""]
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Enter the article, or what is not read in it."""
        self.inside += tag == "article"
        self.silent += tag in ("script", "style")

    def handle_endtag(self, tag: str) -> None:
        """Leave them."""
        self.inside -= tag == "article"
        self.silent -= tag in ("script", "style")

    def handle_data(self, data: str) -> None:
        """Take down text."""
        if self.inside and not self.silent:
            self.words.append(data)


def foreign(html: str) -> list[str]:
    """Words about gearboxes on a page."""
    return [found[0] for found in OF_GEARBOXES.finditer(" ".join(Words(html).words))]


def test_its_pages_speak_of_a_clock_alone(site: Path, casebook: Casebook) -> None:
    """No page but those of calculators and their uses has a word about gearboxes; cautions of calculators aside."""
    pages = {path.relative_to(site): path.read_text("utf-8") for path in sorted(site.rglob("*.html"))}
    ours = {path: text for path, text in pages.items() if path.parts[0] not in THEIRS}
    assert len(ours) > 25
    told = {str(path): foreign(text) for path, text in ours.items()}
    # The question quotes the caution of the one calculator it uses.
    assert told.pop("questions/which-escapement.html") == ["shaft"]
    assert {path: words for path, words in told.items() if words} == {}
    assert "build-sheet.html" not in told


def test_a_word_about_gearboxes_is_found() -> None:
    """The search refuses a page that speaks of one."""
    assert foreign("<article><p>The gearbox has <b>dogs</b>.</p></article>") == ["gearbox", "dogs"]
