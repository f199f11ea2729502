"""Titles and file names for what readers wrote: from its first words, and from nothing that could do anything."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection
from html import unescape

from ledger.entries.fields import NONE_OF_THESE, OTHERS

LONGEST_TITLE, LONGEST_NAME = 72, 60
_PICTURE = re.compile(r"!\[([^\]]*)\]\([^)]*\)")
_LINK = re.compile(r"\[([^\]]+)\](?:\([^)]*\)|\[[^\]]*\])")
_TAG = re.compile(r"<!--.*?(?:-->|$)|</?[A-Za-z][^<>]*>?", re.DOTALL)
_MARKUP = re.compile(r"^[ \t]*(?:[#>|*+-]+|\d+[.)])[ \t]+|[*_`~]{1,3}(?=\S)|(?<=\S)[*_`~]{1,3}", re.MULTILINE)
_SENTENCE = re.compile(r"(?<=[^\s.][.!?…])[\s\"'”’)]+")
# Letters that fall apart into no plain one, as they are written where they cannot be had.
_PLAIN = str.maketrans({"ß": "ss", "æ": "ae", "ø": "o", "œ": "oe", "ð": "d", "þ": "th", "ł": "l", "đ": "d", "ı": "i"})
# Names that some systems keep for devices, whatever their ending.
_KEPT = {"con", "prn", "aux", "nul", *(f"{port}{number}" for port in ("com", "lpt") for number in range(10))}
_NO_NAMES = _KEPT | {OTHERS, NONE_OF_THESE, "index"}


def title_of(text: str, otherwise: str) -> str:
    """Return a title from the first sentence of Markdown, of one line, without markup and signs that steer."""
    for line in text.splitlines():
        bare = _TAG.sub(" ", _LINK.sub(r"\1", _PICTURE.sub(r"\1", line)))
        said = plain(unescape(_MARKUP.sub("", bare)))
        if any(sign.isalnum() for sign in said):
            return _short(_SENTENCE.split(said, maxsplit=1)[0].rstrip(" .:;,"))
    return otherwise


def plain(text: str) -> str:
    """Return text on one line, without control characters and others that are not seen but steer."""
    seen = (" " if sign.isspace() else sign for sign in text if sign.isspace() or sign.isprintable())
    return " ".join("".join(seen).split())


def name_of(words: str, otherwise: str, taken: Collection[str]) -> str:
    """Return a name from words, in small letters, digits and hyphens, that is not taken."""
    spelled = unicodedata.normalize("NFKD", words.lower().translate(_PLAIN))
    stem = ""
    for part in re.findall("[a-z0-9]+", re.sub(r"[\u0300-\u036f'’]", "", spelled)):
        if len(stem) + len(part) + 1 > LONGEST_NAME:
            break
        stem = f"{stem}-{part}" if stem else part
    stem = stem or otherwise
    name, number = f"{stem}-reply" if stem in _NO_NAMES else stem, 1
    while name in taken:
        number += 1
        name = f"{stem}-{number}"
    return name


def _short(said: str) -> str:
    if len(said) <= LONGEST_TITLE:
        return said
    cut = said[:LONGEST_TITLE].rpartition(" ")[0]
    return f"{cut if len(cut) > LONGEST_TITLE // 2 else said[: LONGEST_TITLE - 1]}…"
