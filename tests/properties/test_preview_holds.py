"""However entries are edited one after the other, the preview shows what a build from nothing would show."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from ledger import press
from ledger.casebook.opening import open_casebook
from ledger.casebook.values import Casebook
from ledger.publishing import bodies
from ledger.store.derived import carry_over
from ledger.store.engine import open_store
from ledger.store.migrating import copy_file
from ledger.store.posting import post
from tests import sites
from tests.ledger_files import SMALL, put

BEFORE, AT = "2031-05-31T09:00:00Z", "2031-06-01T09:00:00Z"
COUNT = 200


def cleared() -> None:
    """Nothing that is kept in the program itself."""
    bodies.prose.cache_clear()
    bodies._html.cache_clear()


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The small ledger laid out as an investigation without a search, which the preview has not."""
    config = sites.investigation(tmp_path)
    config.write_text(config.read_text("utf-8").replace("  - search\n", ""), "utf-8")
    put(tmp_path / "entries", SMALL)
    post(open_store(tmp_path / "posted.sqlite"), tmp_path / "entries", BEFORE)
    return tmp_path


def opened(folder: Path, number: int) -> Casebook:
    """The entries as they are, posted to a copy of the ledger that was handed what the one before had worked out."""
    store = open_store(copy_file(folder / "posted.sqlite", folder / f"copy-{number}.sqlite"))
    post(store, folder / "entries", AT)
    if number:
        carry_over(store, open_store(folder / f"copy-{number - 1}.sqlite"))
    return open_casebook(folder, folder / f"copy-{number}.sqlite", count=COUNT)


def laid(folder: Path, fresh: Callable[[], Casebook]) -> press.Laid:
    """The site as the preview lays it out."""
    with press._supplied(fresh, previewing=True):
        return press.Laid(folder / "site/mkdocs.yml")


BODIES = st.sampled_from(
    ["", "Another word.", "*Seen* at [the note](evidence/hiss) & <b>elsewhere</b>.", "# A heading"]
)
BEARINGS = st.sampled_from(["0.1", "0.4..0.6", "0.9"])
EDITS = st.lists(st.tuples(st.sampled_from(["body", "bearing", "undo"]), BODIES, BEARINGS), min_size=1, max_size=3)


def edit(file: Path, kind: str, body: str, bearing: str) -> None:
    """One edit of a note: its body, how it bears on the first rival that it judges, or all of it as it was posted."""
    if kind == "undo":
        file.write_text(SMALL["evidence/sleeve-groove"], "utf-8")
        return
    front, _, _ = file.read_text("utf-8")[4:].partition("\n---\n")
    lines = front.split("\n")
    if kind == "bearing":
        place = lines.index("bearing:") + 1
        lines[place] = f"{lines[place].partition(':')[0]}: {bearing}"
    file.write_text("\n".join(["---", *lines, "---", body, ""]), "utf-8")


@given(edits=EDITS)
@settings(max_examples=5, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
def test_the_preview_shows_what_a_build_would(folder: Path, edits: list[tuple[str, str, str]]) -> None:
    """After each of some random edits every page of the preview is, byte for byte, that of a site built anew."""
    put(folder / "entries", SMALL)
    for number, (kind, body, bearing) in enumerate(edits):
        edit(folder / "entries/evidence/sleeve-groove.md", kind, body, bearing)
        casebook = opened(folder, number)
        preview = laid(folder, lambda: casebook)  # noqa: B023 - called at once
        shown = {path: preview.get(path) for path in preview._by_url if path.endswith(".html")}
        cleared()
        fresh = folder / "fresh"
        shutil.rmtree(fresh, ignore_errors=True)
        shutil.copytree(folder / "entries", fresh / "entries")
        copy_file(folder / "posted.sqlite", fresh / "posted.sqlite")
        built = press.build(folder / "site/mkdocs.yml", opened(fresh, 0))
        assert {path: (built / path).read_bytes() for path in shown} == shown
    for copy in folder.glob("copy-*"):
        copy.unlink()


def test_pages_of_ones_own_have_their_titles_before_they_are_looked_at(folder: Path) -> None:
    """The navigation of the first page looked at names an own page by the heading in its text."""
    (folder / "site/pages").mkdir(exist_ok=True)
    (folder / "site/pages/by-hand.md").write_text("# Numbers *by hand*\n\nText.\n", "utf-8")
    page = laid(folder, lambda: opened(folder, 0)).get("questions/forks.html")
    assert page is not None
    assert "Numbers by hand" in page.decode()


def test_an_edit_that_is_taken_back_is_shown(folder: Path) -> None:
    """What an edit had worked out under a revision that is gone with it is not carried over, and stops nothing."""
    page = "questions/forks.html"
    before = laid(folder, lambda: opened(folder, 0)).get(page)
    edit(folder / "entries/evidence/sleeve-groove.md", "bearing", "", "0.4..0.6")
    assert laid(folder, lambda: opened(folder, 1)).get(page) != before
    edit(folder / "entries/evidence/sleeve-groove.md", "undo", "", "")
    assert laid(folder, lambda: opened(folder, 2)).get(page) == before


def test_groups_weighed_before_answer_for_themselves_alone(folder: Path) -> None:
    """Questions weighed after others, and after those have changed, stand where they stand when nothing was kept."""
    for number, bearing in enumerate(("0.1", "0.9", "0.1")):
        edit(folder / "entries/evidence/sleeve-groove.md", "bearing", "", bearing)
        kept = opened(folder, number).weighings
        cleared()
        fresh = open_casebook(folder, folder / f"copy-{number}.sqlite", count=COUNT).weighings
        assert {question: one.standings for question, one in kept.items()} == {
            question: one.standings for question, one in fresh.items()
        }


def test_a_page_that_was_kept_is_refused(folder: Path) -> None:
    """A preview that showed a page of before the edit would be caught by the comparison."""
    before = laid(folder, lambda: opened(folder, 0)).get("evidence/sleeve-groove.html")
    edit(folder / "entries/evidence/sleeve-groove.md", "body", "Another word.", "")
    assert laid(folder, lambda: opened(folder, 1)).get("evidence/sleeve-groove.html") != before
