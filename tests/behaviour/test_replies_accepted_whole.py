"""A reply is accepted as a whole and as words: nothing half done, nothing written over, nothing run."""

from __future__ import annotations

import os
import shutil
from contextlib import suppress
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

from ledger.casebook.opening import open_casebook
from ledger.entries.reading import read_file
from ledger.errors import FaultsFound
from ledger.publishing.bodies import OUTWARD, TAGS, render
from ledger.replies.accepting import accept, write_new
from ledger.replies.composing import Wanted
from ledger.replies.received import received
from tests.accepting import AT, about, accepted, state, take
from tests.accepting import case as case
from tests.accepting import posted as posted
from tests.conftest import Run
from tests.hostile import NAMES, TEXTS


def test_nothing_is_written_over_and_names_stay_apart(case: Path) -> None:
    """The same words a second time get names of their own; those of entries erased or renamed before are not taken."""
    before = state(case)
    paths = [accepted(case, about(number, text="A ping!", name=None)).written[0] for number in (1, 2, 3)]
    assert paths == [f"entries/replies/a-ping{end}.md" for end in ("", "-2", "-3")]
    after = state(case)
    assert {path: after[path] for path in before} == before
    with pytest.raises(FileExistsError):
        write_new(case, {"entries/replies/other.md": "x", paths[0]: "y"})
    assert not (case / "entries/replies/other.md").exists()
    assert state(case) == after


@pytest.mark.parametrize("stance", ["doubt", "new-evidence", "another-hypothesis", "correction"])
@pytest.mark.parametrize("broken", [0, 1, 2])
def test_accepting_that_fails_has_done_nothing(
    case: Path, monkeypatch: pytest.MonkeyPatch, stance: str, broken: int
) -> None:
    """Whichever file cannot be written, none is there afterwards, no folder either, and the reply waits as before."""
    before = sorted(case.rglob("*"))
    calls = [0]
    link = os.link

    def failing(*words: Any, **more: Any) -> None:
        calls[0] += 1
        if calls[0] > broken:
            raise OSError(28, "No space left on device")
        link(*words, **more)

    one = about(stance=stance, about="measurements/depth" if stance == "correction" else "evidence/ping")
    with received(case) as store:
        take(store, one)
        monkeypatch.setattr(os, "link", failing)
        needed = 1 if stance == "doubt" else 3
        if broken >= needed:
            monkeypatch.setattr(os, "link", link)
            accept(case, store, one["id"], Wanted(), AT)
            return
        with pytest.raises(OSError, match="No space"):
            accept(case, store, one["id"], Wanted(), AT)
        assert store.find(one["id"]).state == "new"
        left = {path for path in case.rglob("*") if not path.name.startswith("replies.sqlite")}
        assert sorted(left) == before
        monkeypatch.setattr(os, "link", link)
        assert accept(case, store, one["id"], Wanted(), AT).written


@pytest.mark.parametrize("stop", [KeyboardInterrupt, OSError(5, "Input/output error")])
@pytest.mark.parametrize("moment", ["linked", "tidied"])
def test_no_file_outlives_its_decision(
    case: Path, monkeypatch: pytest.MonkeyPatch, stop: BaseException, moment: str
) -> None:
    """Stopped after any of its files was written, accepting has done all or nothing, and again writes none twice."""
    link, unlink, calls = os.link, Path.unlink, [0]

    def after(act: Any, place: int) -> Any:
        def acting(*words: Any, **more: Any) -> None:
            act(*words, **more)
            calls[0] += 1
            if calls[0] == place:
                raise stop

        return acting

    for number, place in enumerate((1, 2, 3)):
        calls[0] = 0
        said = {"about": "evidence/ping", "name": f"R{number}"}
        one = about(number, stance="new-evidence", text=f"The {number}th click", **said)
        with received(case) as store:
            take(store, one)
            before = {path.relative_to(case) for path in case.rglob("*.md")}
            with monkeypatch.context() as patched, suppress(KeyboardInterrupt, OSError):
                if moment == "linked":
                    patched.setattr(os, "link", after(link, place))
                else:
                    patched.setattr(Path, "unlink", after(unlink, place))
                accept(case, store, one["id"], Wanted(), AT)
            written = {path.relative_to(case) for path in case.rglob("*.md")} - before
            assert len(written) == (3 if store.find(one["id"]).state == "accepted" else 0)
            if not written:
                accept(case, store, one["id"], Wanted(), AT)
            assert len(list((case / "entries").rglob(f"*{number}th-click*.md"))) == 2


def test_accepting_that_was_cut_off_is_brought_to_its_end(case: Path) -> None:
    """Killed after the decision, with some of its files: accepted again, the rest is written under the same names."""
    one = about(stance="new-evidence", text="A spring hangs out.")
    whole = accepted(case, one).written
    texts = {path: (case / path).read_bytes() for path in whole}
    for missing in whole:
        (case / missing).unlink()
        with received(case) as store:
            again = accept(case, store, one["id"], Wanted(), AT)
        assert again.written == (missing,)
        assert (case / missing).read_bytes() == texts[missing]
    with received(case) as store, pytest.raises(FaultsFound, match="was accepted on 2031-06-02"):
        accept(case, store, one["id"], Wanted(), AT)
    assert state(case).keys() >= set(whole)


def test_a_file_that_was_posted_and_deleted_is_not_written_again(case: Path, run: Run) -> None:
    """What stands in the record is there, whether its file is or not."""
    one = about(stance="doubt")
    (path,) = accepted(case, one).written
    run("post", "--in", case)
    (case / path).unlink()
    with received(case) as store, pytest.raises(FaultsFound, match="was accepted on"):
        accept(case, store, one["id"], Wanted(), AT)


@pytest.mark.parametrize("place", ["entries/replies", "drafts", "drafts/hypotheses"])
def test_a_link_in_the_way_is_not_followed(case: Path, tmp_path: Path, place: str) -> None:
    """A folder that is a link elsewhere is told; nothing is written there or here."""
    outside = tmp_path / "outside"
    outside.mkdir()
    target = case / place
    if target.exists():
        shutil.rmtree(target)
    target.parent.mkdir(exist_ok=True)
    target.symlink_to(outside, target_is_directory=True)
    before = state(case)
    with pytest.raises(FaultsFound, match="a link or a file in its place"):
        accepted(case, about(stance="another-hypothesis"))
    assert list(outside.iterdir()) == []
    assert state(case) == before


def test_hostile_words_are_accepted_as_words(case: Path, tmp_path: Path, run: Run) -> None:
    """Every one, as every purpose: files in their places alone, the same text read back, everything posts, and what is
    published of it has no tag, handler or address that could do anything."""
    neighbour = tmp_path / "neighbour.md"
    neighbour.write_text("mine")
    before = state(case)
    stances = ["doubt", "new-evidence", "another-hypothesis"]
    bodies: dict[str, str] = {}
    for number, text in enumerate(TEXTS, 1):
        one = about(number, text=text, name=NAMES[number % len(NAMES)], stance=stances[number % 3], confidences={})
        for path in accepted(case, one).written:
            place, folder, name = path.split("/")
            assert place in ("entries", "drafts")
            assert (case / path).resolve() == (case.resolve() / place / folder / name)
            if folder == "replies":
                bodies[path] = text
    after = state(case)
    assert {path: after[path] for path in before} == before
    assert all(path.startswith(("entries/", "drafts/")) for path in after.keys() - before.keys())
    assert neighbour.read_text() == "mine"
    for path, text in bodies.items():
        document = read_file(case / path, case)
        assert document.body == text
        assert document.front["name"] in NAMES
    assert len(bodies) == len(TEXTS)
    code, _, err = run("post", "--in", case)
    assert (code, err) == (0, "")
    casebook = open_casebook(case)
    for ref, item in casebook.entries.items():
        found = Tags()
        found.feed(str(render(casebook, item.body, f"{ref}.md").html))
        assert found.wrong == [], ref


class Tags(HTMLParser):
    """Collects what no published text may have."""

    def __init__(self) -> None:
        super().__init__()
        self.wrong: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag not in TAGS:
            self.wrong.append(tag)
        for name, value in attrs:
            scheme = (value or "").partition(":")[0].strip().lower() if ":" in (value or "") else ""
            if name.startswith("on") or name == "style" or (name in ("href", "src") and scheme not in {"", *OUTWARD}):
                self.wrong.append(f"{name}={value}")


def test_the_search_for_tags_refuses_what_it_should() -> None:
    """It names a script, a handler, a style and an address that runs."""
    found = Tags()
    found.feed("<script>x</script><p onclick=x style=y><a href=' javascript:x'>z</a><a href='https://a.example'>b</a>")
    assert found.wrong == ["script", "onclick=x", "style=y", "href= javascript:x"]
