"""Replies that were accepted, on the site: the words made safe, credit as asked, the answer; nothing in them is run."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any
from unittest.mock import patch

import pytest
from markupsafe import Markup

from ledger.cli.place import Place
from ledger.cli.posting import post_and_report
from ledger.publishing.bodies import Body
from ledger.replies.composing import Wanted, compose
from ledger.replies.surroundings import surroundings
from ledger.replies.taking import checked
from tests import replying
from tests.hostile import NAMES, TEXTS
from tests.intakes import reply
from tests.replying import NOTE, QUESTION, Reader
from tests.sites import Page

SHARES = {"hypotheses/coil-spring": 0.3, "hypotheses/leaf-spring": 0.6, "none-of-these": 0.1}


def put(root: Path, entry: str, **changes: Any) -> None:
    """Accept a reply as the command does, under a name of its own."""
    given = {"about": NOTE, "confidences": {}, **changes}
    document, wrong = checked(reply(len(list((root / "entries").rglob("*.md"))), **given))
    assert document is not None, wrong
    composed = compose(document, "2031-06-01", surroundings(root), Wanted("reply", title=changes.get("title")))
    (text,) = composed.files.values()
    folder = root / "entries" / "replies"
    folder.mkdir(exist_ok=True)
    (folder / f"{entry}.md").write_text(text, encoding="utf-8")


@pytest.fixture(scope="module")
def posted(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A posted investigation."""
    return replying.lay_out(tmp_path_factory.mktemp("published") / "case")


@pytest.fixture
def root(posted: Path, tmp_path: Path) -> Path:
    """A copy of it."""
    return Path(shutil.copytree(posted, tmp_path / "case"))


def publish(root: Path) -> Path:
    """Post and build."""
    post_and_report(Place(root), quiet=True)
    return replying.publish(root)


def page_of(site: Path, ref: str) -> str:
    """The words of a page."""
    return Page((site / f"{ref}.html").read_text(encoding="utf-8")).text


def test_replies_stand_on_the_page_of_what_they_are_about(root: Path) -> None:
    """Named or as a reader, as was asked; with the answer; the oldest first; not at all where nobody consented."""
    put(root, "named", name="Ana Ω", credit="named", text="It is **the** pin.", sent="2031-05-01")
    put(root, "unnamed", name="Someone Else", credit="anonymous", text="Not the pin.", about=NOTE)
    put(root, "private", name="Nobody Known", credit="named", consent=False, text="Do not print this.")
    put(root, "asked", about=QUESTION, confidences=SHARES, text="A leaf, I say.", name="B. Fitter")
    file = root / "entries" / "replies" / "named.md"
    file.write_text(
        file.read_text(encoding="utf-8").replace("consent: true", "consent: true\nanswer: We looked, and it is."),
        "utf-8",
    )
    site = publish(root)
    note, question = page_of(site, NOTE), page_of(site, QUESTION)
    assert "What readers replied" in note
    assert "Ana Ω doubts" in note
    assert "It is the pin." in note
    assert "Answer: We looked, and it is." in note
    assert "A reader doubts" in note
    assert "Someone Else" not in note
    assert "Do not print this." not in note
    assert "Nobody Known" not in note
    assert "A leaf, I say." in question
    assert "What readers hold" in question
    assert "1 reader stated confidences" in question
    assert "60 %" in question
    assert "Answer" in page_of(site, "replies/named")
    assert not [one for one in site.rglob("*.html") if "Someone Else" in one.read_text(encoding="utf-8")]
    assert not [one for one in site.rglob("*") if one.is_file() and b"Do not print this." in one.read_bytes()]


def test_the_pool_stands_beside_the_confidences_and_does_not_touch_them(root: Path) -> None:
    """What readers hold is shown beside the ledger's confidences, which stay as they were to the last digit."""
    from ledger.casebook.opening import open_casebook

    def confidences() -> dict[str, float]:
        casebook = open_casebook(root, root / "witness.sqlite")
        return {one.rival: one.confidence for one in casebook.weighings[QUESTION].standings}

    before = confidences()
    for number in range(3):
        put(root, f"reader-{number}", about=QUESTION, confidences=SHARES, name=f"Reader {number}")
    post_and_report(Place(root), quiet=True)
    assert confidences() == before


@pytest.fixture(scope="module")
def hostile(posted: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A site on which every text of the corpus is a reply, an answer and a title, and every name one."""
    root = Path(shutil.copytree(posted, tmp_path_factory.mktemp("hostile") / "case"))
    folder = root / "entries" / "replies"
    folder.mkdir(exist_ok=True)
    around = surroundings(root)
    for number, text in enumerate((*TEXTS, *NAMES)):
        named = number >= len(TEXTS)
        given = {"text": "By name." if named else text, "name": text if named else "A. Reader", "credit": "named"}
        document, wrong = checked(reply(number, about=NOTE, confidences={}, **given))
        assert document is not None, wrong
        (made,) = compose(document, "2031-06-01", around, Wanted("reply")).files.values()
        if named:
            made = made.replace("consent: true", f"consent: true\nanswer: {json.dumps(text, ensure_ascii=False)}")
        (folder / f"hostile-{number}.md").write_text(made, encoding="utf-8")
    return publish(root)


def harm(chromium: Any, site: Path, paths: Iterator[Path] | list[Path], allowed: tuple[str, ...] = ()) -> list[str]:
    """Open pages and return everything in them that ran, asked, or complained."""
    reader = Reader(chromium, 1600)
    found = []
    for path in paths:
        reader.page.goto(path.as_uri(), wait_until="load")
        for handler in ("pointerenter", "mouseover", "focus", "toggle", "click"):
            reader.page.evaluate(
                "name => { for (const one of document.querySelectorAll('.wl-said *, .wl-body *'))"
                " if (one.localName !== 'a') one.dispatchEvent(new Event(name)) }",
                handler,
            )
        if reader.was_run():
            found.append(f"{path.name} ran something")
    found += reader.abroad(*allowed) + reader.complaints + reader.dialogs
    outside = [one for one in reader.asked if one.startswith("file:") and not one.startswith(site.as_uri())]
    reader.close()
    return found + outside


def test_nothing_of_the_corpus_runs_on_the_built_site(chromium: Any, hostile: Path) -> None:
    """On every page that shows them no string of the corpus runs, asks another host, complains or leaves the site."""
    shown = [
        hostile / f"{NOTE}.html",
        hostile / "replies" / "index.html",
        *sorted((hostile / "replies").glob("*.html")),
    ]
    assert len(shown) > len(TEXTS) + len(NAMES)
    assert harm(chromium, hostile, shown) == []


def test_every_word_of_the_corpus_is_on_the_page(hostile: Path) -> None:
    """What was made safe was not taken away: names stand on the page sign by sign, as text."""
    words = page_of(hostile, NOTE)
    for name in NAMES:
        assert " ".join(name.split()) in words, name


def test_no_page_of_the_corpus_holds_what_could_run(hostile: Path) -> None:
    """No handler, no address that runs, no frame, no form: read by a parser, apart from any policy."""
    for path in [hostile / f"{NOTE}.html", *(hostile / "replies").glob("*.html")]:
        page = Page(path.read_text(encoding="utf-8"))
        assert page.handlers == [], path
        for tag, name, address, _ in page.addresses:
            assert tag in ("a", "link", "script", "img"), (path, tag)
            scheme = address.strip().lower().partition(":")[0]
            assert scheme not in ("javascript", "data", "vbscript", "file"), (path, name, address)
            assert tag == "a" or not address.startswith(("http", "//")), (path, address)


def test_the_corpus_is_found_by_the_search_and_does_not_run_there(chromium: Any, hostile: Path) -> None:
    """The search shows pieces of replies as text; nothing in them runs."""
    reader = Reader(chromium, 1600)
    reader.page.goto((hostile / "index.html").as_uri())
    reader.page.click(".md-search__input")
    reader.page.keyboard.type("alert", delay=20)
    reader.page.wait_for_selector(".md-search-result__item")
    reader.page.wait_for_timeout(300)
    assert not reader.was_run()
    assert reader.abroad() == []
    assert reader.complaints == []
    reader.close()


def test_the_corpus_wrote_no_file_elsewhere(hostile: Path) -> None:
    """Accepting, posting and publishing the corpus left files only where they belong."""
    root = hostile.parents[1]
    assert {one.name for one in root.parent.iterdir()} == {"case"}
    assert {one.name for one in (root / "entries" / "replies").iterdir()} == {
        f"hostile-{number}.md" for number in range(len(TEXTS) + len(NAMES))
    }
    assert {one.parent for one in (hostile / "replies").iterdir()} == {hostile / "replies"}


def test_a_page_without_sanitising_is_refused(chromium: Any, root: Path) -> None:
    """The check sees a template that prints a reply as it came: complaints of the policy, running without it."""
    put(root, "planted", text="Look: <img src=x onerror=alert(1)><script>alert(2)</script>")
    run: Callable[[Path], list[str]] = lambda site: harm(chromium, site, [site / f"{NOTE}.html"])  # noqa: E731
    assert run(publish(root)) == []
    with patch("ledger.publishing.replying.section.render", lambda casebook, body, *rest: Body(Markup(body), ())):
        assert any("Content Security Policy" in one for one in run(publish(root)))
        with patch("ledger.press.guarded", lambda html, *rest: html):
            assert f"{Path(NOTE).name}.html ran something" in run(publish(root))
