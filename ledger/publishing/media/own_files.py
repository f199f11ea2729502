"""Which of the site's own files are left out: those of sources that may not be published, and those nobody links to.

The picture of a source stands on its page without metadata and with its credit; as a file beside the author's own pages
it would stand in the site once more, without either. A file that is no source's is the author's own business.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from html import escape
from pathlib import Path
from urllib.parse import quote

from ledger.casebook.originals import PICTURED, SOUND, Originals
from ledger.casebook.values import Casebook
from ledger.entries.models import Source
from ledger.handing.citing import FILMS, SOUNDS

PAGES = frozenset({".md", ".markdown", ".mdown", ".mkdn", ".mkd"})
WORDS = PAGES | {".html", ".htm", ".css", ".js"}
# What could tell who made it, when and where, and would be copied as it is.
SEALED = frozenset(f".{ending}" for ending in SOUNDS | FILMS) - {SOUND}


def left_out(casebook: Casebook, root: Path, own: Mapping[str, Path], settings: str) -> frozenset[str]:
    """Return the names of the files that are not to be published, of all that lie in the site's own folders.

    own       path by name
    settings  the words of the configuration, which may name a file too
    """
    originals = Originals(casebook, root)
    known = {name: path for name, path in own.items() if originals.of_a_source(path)}
    out = {name for name, path in known.items() if originals.withheld(path)}
    asked = [name for name, path in known.items() if name not in out and path.suffix.lower() not in PAGES]
    if asked:
        said = "\n".join((settings, *_bodies(casebook), *_words(own.values())))
        out |= {name for name in asked if Path(name).suffix.lower() in SEALED or not _named(Path(name).name, said)}
    return frozenset(out)


def shown_here(source: Source) -> bool:
    """Return whether something of a publishable source's file is shown on its page, by the file's name."""
    return source.file is not None and Path(source.file).suffix.lower() in PICTURED | {SOUND}


def _bodies(casebook: Casebook) -> Iterator[str]:
    for item in (*casebook.entries.values(), *casebook.withdrawn.values()):
        yield item.body


def _words(paths: Iterable[Path]) -> Iterator[str]:
    for path in paths:
        if path.suffix.lower() in WORDS:
            yield path.read_text(encoding="utf-8", errors="replace")


def _named(name: str, said: str) -> bool:
    ways = "|".join(re.escape(way) for way in sorted({name, quote(name), escape(name)}))
    return re.search(rf"(?<![\w.-])(?:{ways})(?![\w-]|\.\w)", said) is not None
