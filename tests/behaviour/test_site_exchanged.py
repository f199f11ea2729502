"""A published site is exchanged as a whole: a reader finds the old one or the new one."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from ledger.errors import WitnessError
from ledger.publishing import exchanging
from ledger.publishing.exchanging import exchanged
from ledger.store.whole import LEFT_SECONDS
from tests.ledger_files import taken


def make(place: Path, words: str) -> None:
    """Make a site of two pages."""
    with exchanged(place) as fresh:
        fresh.mkdir()
        for name in ("index.html", "other.html"):
            (fresh / name).write_text(words)


@pytest.fixture(params=["in one step", "in two"])
def place(request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A site, on a system that exchanges folders in one step, and on one that cannot."""
    if request.param == "in two":
        monkeypatch.setattr(exchanging, "_swap", lambda: None)
    make(tmp_path / "build" / "site", "old")
    return tmp_path / "build" / "site"


def test_the_new_site_takes_the_place_of_the_old(place: Path) -> None:
    """Pages of the old one that the new one lacks are gone, and nothing is left beside it."""
    (place / "gone.html").write_text("old")
    make(place, "new")
    assert taken(place) == {"index.html": b"new", "other.html": b"new"}
    assert os.listdir(place.parent) == ["site"]


def test_an_error_leaves_the_old_site(place: Path) -> None:
    """Whatever goes wrong while the new one is made, not a byte of the old one changes."""

    def fail() -> None:
        with exchanged(place) as fresh:
            fresh.mkdir()
            (fresh / "index.html").write_text("new")
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        fail()
    assert taken(place) == {"index.html": b"old", "other.html": b"old"}
    assert os.listdir(place.parent) == ["site"]


def test_what_begins_with_a_dot_is_carried_over(place: Path) -> None:
    """A site under version control stays so, and links stay links."""
    (place / ".git").mkdir()
    (place / ".git" / "head").write_text("main")
    (place / ".nojekyll").symlink_to("nowhere")
    make(place, "new")
    assert (place / ".git" / "head").read_text() == "main"
    assert os.readlink(place / ".nojekyll") == "nowhere"


def test_a_link_to_the_site_stays_a_link(place: Path, tmp_path: Path) -> None:
    """Where the name leads elsewhere, it is the folder there that is exchanged."""
    (tmp_path / "served").symlink_to(place)
    make(tmp_path / "served", "new")
    assert (tmp_path / "served").is_symlink()
    assert (place / "index.html").read_text() == "new"


def test_a_stop_between_two_renames_is_mended(place: Path) -> None:
    """Where exchanging takes two steps and only the first was done, the old site comes back before anything else."""
    os.rename(place, place.with_name(".site.former"))
    with exchanged(place) as fresh:
        assert (place / "index.html").read_text() == "old"
        fresh.mkdir()
    assert os.listdir(place.parent) == ["site"]


def test_what_was_left_long_ago_is_taken_away(place: Path) -> None:
    """The unfinished folder of a program stopped days ago goes; one of today may be in use, and stays."""
    for name, age in (("long-ago", LEFT_SECONDS + 60), ("today", 60)):
        left = place.with_name(f".site{exchanging.UNFINISHED}{name}")
        left.mkdir()
        then = left.stat().st_mtime - age
        os.utime(left, (then, then))
    make(place, "new")
    assert sorted(os.listdir(place.parent)) == [f".site{exchanging.UNFINISHED}today", "site"]


def test_what_cannot_be_exchanged_is_said(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A place that cannot be moved, as where a disc is mounted, is told with what to do, and the old site stays."""

    def busy(one: Path, other: Path) -> None:
        raise OSError(16, "Device or resource busy")

    monkeypatch.setattr(exchanging, "_swap", lambda: None)
    monkeypatch.setattr(os, "rename", busy)
    with pytest.raises(WitnessError, match=r"busy.*folder of its own"):
        make(place, "new")
    assert taken(place) == {"index.html": b"old", "other.html": b"old"}
