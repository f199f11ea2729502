"""The built site: strict, whole, the same each time, and asking nothing of anyone."""

from __future__ import annotations

import json
import re
import socket
import subprocess
import sys
import time
import urllib.request
from dataclasses import replace
from pathlib import Path
from urllib.parse import unquote, urlsplit

import pytest

from ledger import press
from ledger.errors import FaultsFound, WitnessError
from tests import casebook_entries, casebooks, sites
from tests.sites import Page

OUTWARD = {"https://club.example/newsletter/2031-08"}


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The site of the hand-made casebook, strictly built."""
    return sites.build(tmp_path_factory.mktemp("investigation"), casebooks.casebook())


@pytest.fixture(scope="module")
def built(site: Path) -> dict[str, Page]:
    """Every built page by path."""
    return {path.relative_to(site).as_posix(): Page(path.read_text(encoding="utf-8")) for path in site.rglob("*.html")}


def contents(site: Path) -> dict[str, bytes]:
    """Return every file of a site."""
    return {path.relative_to(site).as_posix(): path.read_bytes() for path in site.rglob("*") if path.is_file()}


def test_it_stands_where_the_configuration_says(site: Path) -> None:
    """The demo's configuration builds into build/site beside its own folder, and leaves its pages alone."""
    assert site.parts[-2:] == ("build", "site")
    assert (site / "index.html").is_file()
    assert (site.parents[1] / "site" / "mkdocs.yml").is_file()


def test_every_link_leads_somewhere(site: Path, built: dict[str, Page]) -> None:
    """Each address in each page names a file of the site, and each part of a page an id there."""
    lost = []
    for path, page in built.items():
        for tag, _, address, _ in page.addresses:
            parts = urlsplit(address)
            if parts.scheme or address.startswith("data:"):
                continue
            target = (site / path).parent / unquote(parts.path) if parts.path else site / path
            if target.is_dir():
                target /= "index.html"
            known = target.resolve().is_relative_to(site.resolve()) and target.is_file()
            name = target.resolve().relative_to(site.resolve()).as_posix() if known else ""
            if not known or (
                parts.fragment and name in built and parts.fragment not in built[name].ids | {"__search", "__drawer"}
            ):
                lost.append((path, tag, address))
    assert not lost


def test_nothing_is_fetched_from_elsewhere(built: dict[str, Page]) -> None:
    """Only links that an author wrote lead to other hosts; nothing that a browser fetches by itself does."""
    outward = []
    for page in built.values():
        for tag, name, address, attributes in page.addresses:
            if urlsplit(address).scheme not in ("", "data") or address.startswith("//"):
                assert (tag, name) == ("a", "href")
                assert attributes["rel"] == "noopener noreferrer"
                outward.append(address)
    assert set(outward) == OUTWARD


def test_style_sheets_stay_at_home(site: Path) -> None:
    """No style sheet imports anything or names an address on another host."""
    for path in site.rglob("*.css"):
        text = path.read_text(encoding="utf-8")
        assert "@import" not in text
        for address in re.findall(r"url\(\s*['\"]?([^'\")]+)", text):
            assert address.startswith("data:") or not urlsplit(address).netloc


def test_a_page_that_fetches_is_found_out() -> None:
    """The check on addresses sees pictures, scripts and styles of other hosts."""
    page = Page('<img src="https://evil.example/x"><link href="//evil.example/y"><p onclick="x()">')
    assert [address for _, _, address, _ in page.addresses] == ["https://evil.example/x", "//evil.example/y"]
    assert page.handlers


def test_the_same_casebook_builds_the_same_bytes(site: Path, tmp_path: Path) -> None:
    """Built again, at another time and in another place, every file of the site is the same."""
    again = sites.build(tmp_path / "elsewhere", casebooks.casebook())
    first, second = contents(site), contents(again)
    assert set(first) == set(second)
    assert [path for path in first if first[path] != second[path]] == []


def test_pages_name_no_program_and_no_machine(site: Path) -> None:
    """No page tells what made it, when, or where on whose machine."""
    for path, content in contents(site).items():
        assert str(site.parents[1]).encode() not in content, path
        if path.endswith(".html"):
            assert b'name="generator"' not in content
            assert b"Made with" not in content
    assert not (site / "sitemap.xml").exists()
    assert not list(site.glob("sitemap*"))


def marks(page: str) -> int:
    """Return how often a page says that the case is invented."""
    return len(re.findall(r'<(?:aside|p) class="wl-invented"', page))


@pytest.fixture(scope="module")
def addressed(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """Every page of a site whose address is known, with a page of one's own."""
    config = sites.investigation(tmp_path_factory.mktemp("addressed"))
    (config.parent / "pages" / "thanks.md").write_text("# Thanks\n")
    config.write_text(config.read_text() + "site_url: https://ledger.example/case\n")
    site = press.build(config, casebooks.casebook())
    return {path.relative_to(site).as_posix(): path.read_text(encoding="utf-8") for path in site.rglob("*.html")}


def test_every_page_says_that_the_case_is_invented(addressed: dict[str, str]) -> None:
    """At the top of every page, also of one's own and of the one for lost readers, and in its footer."""
    assert {"thanks.html", "404.html", "index.html", "questions/forks.html"} <= set(addressed)
    assert {path for path, page in addressed.items() if marks(page) != 2} == set()


def cards(page: str) -> dict[str, str]:
    """Return what a page says of itself to whoever shares it, by name."""
    return dict(re.findall(r'<meta property="(og:\w+)" content="([^"]*)">', page))


def test_pages_of_a_known_address_have_canonical_links_and_cards(addressed: dict[str, str], site: Path) -> None:
    """Each names its one address, and a question tells its answer; without a known address no page claims any."""
    for path, page in addressed.items():
        if path != "404.html":
            wanted = f"https://ledger.example/case/{path}"
            assert re.findall(r'<link rel="canonical" href="([^"]*)">', page) == [wanted], path
            assert cards(page)["og:url"] == wanted
            assert cards(page)["og:title"]
    question = cards(addressed["questions/forks.html"])
    assert question["og:title"] == "What moves the forks?"
    assert question["og:description"].startswith("Leading: A turning drum with four tracks, 78 % confidence (")
    assert "https://ledger.example/case/editions.xml" in addressed["index.html"]
    for path in site.rglob("*.html"):
        page = path.read_text(encoding="utf-8")
        assert "canonical" not in page
        assert cards(page) == {}


def test_a_real_case_has_no_such_mark(tmp_path: Path) -> None:
    """No page of a case that is not invented says that it is."""
    book = casebooks.casebook()
    real = casebooks.item("investigation/box", {**casebook_entries.FRONTS["investigation/box"], "invented": False})
    site = sites.build(tmp_path, replace(book, entries={**book.entries, "investigation/box": real}))
    assert not any(marks(path.read_text(encoding="utf-8")) for path in site.rglob("*.html"))


def test_the_search_reads_words_apart(site: Path) -> None:
    """In what the search shows of a page no label runs into its value and no cell into the next."""
    index = json.loads((site / "search" / "search_index.json").read_text(encoding="utf-8"))
    said = " ".join(re.sub(r"<[^>]+>", " ", one["text"]) for one in index["docs"])
    assert "Source: Photograph of the box on a bench, from the left" in said
    assert "Output; Value." in said
    assert not re.search(r"SourcePhotograph|OutputValue|Credibility\d", said)


def test_titles_are_shown_as_written(tmp_path: Path) -> None:
    """Signs in a title reach heading, window title, navigation and search index as text."""
    title = "<script>alert(1)</script> & {{ 7*7 }} *x*"
    site = sites.build(tmp_path, casebooks.with_body("", "questions/forks", title))
    page = (site / "questions" / "forks.html").read_text(encoding="utf-8")
    assert "<script>alert(1)" not in page
    assert "49" not in re.findall(r"<title>(.*?)</title>", page)[0]
    assert page.count("&lt;script&gt;alert(1)&lt;/script&gt;") >= 3
    assert "<script>alert" not in (site / "index.html").read_text(encoding="utf-8")


def test_pages_of_ones_own_come_after(tmp_path: Path) -> None:
    """A page in the pages folder takes part in the site and may link to what the ledger makes."""
    config = sites.investigation(tmp_path)
    (config.parent / "pages" / "thanks.md").write_text("# Thanks\n\nTo [the readers](replies/index.md).\n")
    site = press.build(config, casebooks.casebook())
    home = (site / "index.html").read_text(encoding="utf-8")
    assert home.index("How to read this") < home.index("Thanks")
    assert 'href="replies/index.html"' in (site / "thanks.html").read_text(encoding="utf-8")


def test_a_broken_link_of_ones_own_stops_the_build(tmp_path: Path) -> None:
    """Strict means strict: the build does not pass, no site is put in place, and the error names page and target."""
    config = sites.investigation(tmp_path)
    (config.parent / "pages" / "thanks.md").write_text("# Thanks\n\nTo [nobody](replies/nobody.md).\n")
    with pytest.raises(WitnessError, match=r"replies/nobody\.md"):
        press.build(config, casebooks.casebook())
    assert not (tmp_path / "build").exists()


def test_a_broken_anchor_of_ones_own_stops_the_build(tmp_path: Path) -> None:
    """A link to a part of a page that is not there does not pass."""
    config = sites.investigation(tmp_path)
    (config.parent / "pages" / "thanks.md").write_text("# Thanks\n\nSee [it](reading.md#nothing-here).\n")
    with pytest.raises(WitnessError, match="nothing-here"):
        press.build(config, casebooks.casebook())


def test_a_page_in_the_way_is_refused(tmp_path: Path) -> None:
    """A page of one's own does not silently take the place of one that the ledger makes."""
    config = sites.investigation(tmp_path)
    (config.parent / "pages" / "index.md").write_text("# Mine\n")
    with pytest.raises(WitnessError, match=r"pages/index\.md stands where"):
        press.build(config, casebooks.casebook())


def test_the_configured_ledger_is_opened(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without a casebook the ledger named in the configuration is opened, seen from the configuration's folder."""
    asked = []

    def opened(root: Path, store: Path) -> object:
        asked.append((root, store))
        return casebooks.casebook()

    monkeypatch.setattr(press, "open_casebook", opened)
    press.build(sites.investigation(tmp_path))
    assert asked == [(tmp_path, tmp_path / "witness.sqlite")]


def test_faults_of_the_ledger_come_through(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What the ledger complains of is what the person reads."""

    def refused(root: Path, store: Path) -> object:
        raise WitnessError("the chain does not verify")

    monkeypatch.setattr(press, "open_casebook", refused)
    with pytest.raises(WitnessError, match="the chain does not verify"):
        press.build(sites.investigation(tmp_path))


def test_a_misspelt_option_is_named(tmp_path: Path) -> None:
    """An option the plugin does not know stops the build by name."""
    config = sites.investigation(tmp_path)
    config.write_text(config.read_text().replace("ledger: ../", "leger: ../"))
    with pytest.raises(WitnessError, match="leger"):
        press.build(config, casebooks.casebook())


def test_the_theme_keeps_its_notice_to_itself() -> None:
    """Importing the press prints nothing."""
    done = subprocess.run(
        [sys.executable, "-c", "import ledger.press"], cwd=sites.ROOT, capture_output=True, text=True, check=True
    )
    assert done.stdout + done.stderr == ""


PREVIEW = """
from pathlib import Path
from unittest.mock import Mock
from tests import casebooks, conftest
keep = []
conftest.pytest_configure(Mock(add_cleanup=keep.append))
from ledger import press
press.serve(Path({config!r}), {address!r}, Path({watched!r}), casebooks.casebook)
"""


def test_a_preview_is_served_and_stops(tmp_path: Path) -> None:
    """The preview answers at its address with the pages of the casebook it is given."""
    config = sites.investigation(tmp_path)
    (tmp_path / "entries").mkdir()
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        address = f"127.0.0.1:{free.getsockname()[1]}"
    script = PREVIEW.format(config=str(config), address=address, watched=str(tmp_path / "entries"))
    process = subprocess.Popen([sys.executable, "-c", script], cwd=sites.ROOT, stderr=subprocess.PIPE, text=True)
    try:
        page = _fetch(f"http://{address}/index.html", process)
        assert "The sealed gearbox" in page
    finally:
        process.terminate()
        heard = process.communicate(timeout=30)[1]
    assert "entries" in heard
    assert f"Serving on http://{address}/" in heard


def _fetch(address: str, process: subprocess.Popen[str]) -> str:
    for _ in range(300):
        if process.poll() is not None:
            break
        try:
            with urllib.request.urlopen(address, timeout=5) as answer:
                return str(answer.read().decode())
        except OSError:
            time.sleep(0.2)
    raise AssertionError("the preview never answered")


def test_a_taken_address_is_said(tmp_path: Path) -> None:
    """A preview at an address that is taken names the address and what to do."""
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        address = f"127.0.0.1:{taken.getsockname()[1]}"
        with pytest.raises(WitnessError, match="Choose another address"):
            press.serve(sites.investigation(tmp_path), address, None, casebooks.casebook)


def test_faults_in_a_preview_are_refused(tmp_path: Path) -> None:
    """A preview whose first casebook has faults does not start."""

    def faulty() -> object:
        raise FaultsFound([])

    with pytest.raises(WitnessError, match="The preview has stopped"):
        press.serve(sites.investigation(tmp_path), "127.0.0.1:0", None, faulty)  # type: ignore[arg-type]
