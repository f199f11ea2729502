"""From a casebook to the site beside bare MkDocs on the same finished files, and from an edit to the preview's screen.

Run: python -m pytest tests/benchmarks/bench_publishing.py -o addopts= --benchmark-only
"""

from __future__ import annotations

import shutil
from itertools import count, cycle
from pathlib import Path

import pytest
import yaml
from mkdocs.commands import build as mkdocs
from mkdocs.config import load_config

from ledger import press
from ledger.casebook.opening import open_casebook
from ledger.casebook.values import Casebook
from ledger.store.engine import open_store
from ledger.store.migrating import copy_file
from ledger.store.posting import post

ROOT = Path(__file__).parents[2]
AT = "2022-01-15T12:00:00Z"
EDITED = "evidence/bright-end-in-the-still"


def investigation(folder: Path, entries: int = 0) -> Path:
    """The demo, posted and computed; evidence notes are copied under other names until there are so many entries."""
    for part in ("entries", "site"):
        shutil.copytree(ROOT / part, folder / part)
    notes = [
        note for note in sorted((folder / "entries/evidence").glob("*.md")) if "others:" in note.read_text("utf-8")
    ]
    lacking = entries - len(list((folder / "entries").rglob("*.md")))
    for number, note in zip(range(lacking), cycle(notes), strict=False):
        text = f"{note.read_text('utf-8').rstrip()}\n\nSeen again, time {number}.\n"
        note.with_stem(f"{note.stem}-again-{number}").write_text(text, "utf-8")
    post(open_store(folder / "witness.sqlite"), folder / "entries", AT)
    casebook = open_casebook(folder)
    casebook.course()
    return folder


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo."""
    return investigation(tmp_path_factory.mktemp("demo"))


def test_from_a_casebook_to_the_site(benchmark, demo: Path):
    """Everything from an open casebook on: pages, drawings, tables, HTML, search index, files."""

    def opened() -> tuple[tuple[Path, Casebook], dict[str, object]]:
        return (demo / "site/mkdocs.yml", open_casebook(demo)), {}

    press.build(*opened()[0])
    site = benchmark.pedantic(press.build, setup=opened, rounds=3)
    assert (site / "index.html").is_file()


def test_bare_mkdocs_on_the_same_files(benchmark, demo: Path, tmp_path: Path):
    """The same pages and assets as files, the same theme and search, without this program."""
    with press._supplied(lambda: open_casebook(demo)):
        config = load_config(str(demo / "site/mkdocs.yml"))
        config = config.plugins.on_config(config)
        files = config.plugins.on_files(mkdocs.get_files(config), config=config)
    for file in files:
        place = tmp_path / "pages" / file.src_uri
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_bytes(file.content_bytes)
    given = yaml.safe_load((demo / "site/mkdocs.yml").read_text("utf-8"))
    given |= {"docs_dir": "pages", "site_dir": "built", "use_directory_urls": False, "nav": config.nav}
    given["plugins"] = [one for one in given["plugins"] if "witness" not in str(one)]
    (tmp_path / "mkdocs.yml").write_text(yaml.safe_dump(given, sort_keys=False), "utf-8")

    def built() -> None:
        mkdocs.build(load_config(str(tmp_path / "mkdocs.yml")))

    benchmark.pedantic(built, rounds=3, warmup_rounds=1)
    assert (tmp_path / "built/index.html").is_file()


@pytest.mark.parametrize("entries", [1000, 2000])
def test_it_grows_with_the_entries(benchmark, tmp_path: Path, entries: int):
    """The same of a ledger of so many entries, most of them notes: twice as many take twice as long."""
    folder = investigation(tmp_path / "demo", entries)
    press.build(folder / "site/mkdocs.yml", open_casebook(folder))
    casebook = open_casebook(folder)
    site = benchmark.pedantic(press.build, (folder / "site/mkdocs.yml", casebook), rounds=1)
    assert (site / "index.html").is_file()


@pytest.mark.parametrize("entries", [300, 2000])
def test_an_edit_reaches_the_preview(benchmark, tmp_path: Path, entries: int):
    """One entry is edited: the record's copy is posted to, all is weighed, its page is made. Aims: 1 s, and 4 s."""
    folder = investigation(tmp_path / "demo", entries)
    file, turns = folder / f"entries/{EDITED}.md", count()

    def fresh() -> Casebook:
        copy = copy_file(open_store(folder / "witness.sqlite").path, tmp_path / f"copy-{next(turns)}.sqlite")
        post(open_store(copy), folder / "entries", "2022-01-16T12:00:00Z")
        return open_casebook(folder, copy)

    def shown() -> bytes | None:
        file.write_text(f"{file.read_text('utf-8').rstrip()}\n\nEdited.\n", "utf-8")
        with press._supplied(fresh, previewing=True):
            return press.Laid(folder / "site/mkdocs.yml").get(f"{EDITED}.html")

    page = benchmark.pedantic(shown, rounds=3, warmup_rounds=1)
    assert page is not None
    assert b"Edited." in page
