"""Links in the text of entries: those that name an entry lead to one that is there.

A link names an entry by its ref alone, `[words](evidence/sleeve-groove)`. Links are looked for as Markdown has them:
inline, by definitions, and as HTML; not in pictures, comments, code between backticks, or fenced code. Code that is
only indented is not told from an item of a list, so a link in it counts.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from ledger.entries.document import Document
from ledger.entries.fields import KINDS
from ledger.entries.models import Reply
from ledger.entries.view import View, bare
from ledger.errors import Fault, nearest

FIELD = "text"
_FENCE = re.compile(r"^ {0,3}(`{3,}|~{3,})", re.MULTILINE)
_REST = re.compile(r"[ \t\r]*$", re.MULTILINE)
_SPAN = re.compile(r"(?<!`)(`+)(?!`)((?:(?!\n[ \t]*\n)[\s\S])*?)(?<!`)\1(?!`)")
_LINK = re.compile(
    r"""
    (?<![!\\])\[ (?:[^\[\]]|\[[^\[\]]*\])* \]\( \s* <? (?P<inline>[^()\s<>]+)
    | ^[ ]{0,3}\[ [^\[\]\n]+ \]: [ \t]* <? (?P<definition>[^\s<>]+)
    | <a\s [^<>]{0,300}? href \s* = \s* ["'] (?P<html>[^"'<>\s]+)
    """,
    re.VERBOSE | re.MULTILINE,
)
_ABOVE = re.compile(r"(?:\.{0,2}/|entries/)+")
_NO_NAME = re.compile(r"[.:?]")


def links(body: str) -> Iterator[tuple[int, str]]:
    """Yield the place and the target of every link in a text."""
    if "](" not in body and "]:" not in body and "href" not in body:
        return
    for found in _LINK.finditer(_prose(body)):
        kind = found.lastgroup or "inline"
        yield found.start(kind), found[kind]


def named(target: str) -> str | None:
    """Return the ref that a link's target names or tries to name; None for web addresses and files of the site."""
    path = target.partition("#")[0]
    if above := _ABOVE.match(path):
        path = path[above.end() :]
    folder, _, name = path.removesuffix(".md").partition("/")
    return f"{folder}/{name}" if folder in KINDS and name and "/" not in name and not _NO_NAME.search(name) else None


def check_bodies(view: View, renamed: Mapping[str, str]) -> None:
    """Add the faults and warnings of all links to entries; only what is new or changed can be at fault.

    The text of a reply is its reader's, and not the author's to mend: it is warned of.
    """
    names: dict[str, list[str]] = {}
    for document in view.documents.values():
        if not document.standing:
            continue
        for place, target in links(document.body):
            ref = named(target)
            if ref is None or ref in view.unread:
                continue
            there = view.documents.get(ref)
            if there is None and ref not in renamed:
                if not names:
                    for each in (*view.documents, *view.unread):
                        names.setdefault(each.partition("/")[0], []).append(bare(each))
                _astray(view, document, place, target, ref, names)
            elif there is None:
                expected = f"`{renamed[ref]}`: it was renamed"
                _tell(view.warnings, document, place, target, expected, f"Write `{renamed[ref]}`.")
            elif not there.standing:
                given = f"{target}`, withdrawn: `{there.entry.withdrawn}"
                remedy = "Name another entry, or say in the text that it was withdrawn."
                _tell(view.warnings, document, place, given, "a standing entry", remedy)
            elif target != ref:
                _loosely(view, document, place, target, ref)


def _astray(view: View, document: Document, place: int, target: str, ref: str, names: Mapping[str, list[str]]) -> None:
    folder, _, name = ref.partition("/")
    close = nearest(name, sorted(names.get(folder, ())), 1)
    plain = "" if target == ref else " A link names an entry by folder and name alone, without `.md` or `#`."
    remedy = f"Write `{folder}/{close[0]}` if you mean that.{plain}" if close else f"Add {ref}.md, or unlink it.{plain}"
    changed = document.ref in view.changed and not isinstance(document.entry, Reply)
    _tell(view.faults if changed else view.warnings, document, place, target, f"an entry in {folder}/", remedy)


def _loosely(view: View, document: Document, place: int, target: str, ref: str) -> None:
    """Tell of a link that a site could not follow, or not to the letter."""
    path, hash_sign, _ = target.partition("#")
    remedy = f"Write `{ref}`" + (": the page of an entry has no such part." if hash_sign else ".")
    followed = path.removesuffix(".md") == ref or document.ref not in view.changed or isinstance(document.entry, Reply)
    _tell(view.warnings if followed else view.faults, document, place, target, f"`{ref}`", remedy)


def _tell(told: list[Fault], document: Document, place: int, given: str, expected: str, remedy: str) -> None:
    start = len(document.text) - len(document.body) + place
    line = document.text.count("\n", 0, start) + 1
    told.append(Fault(document.file, line, FIELD, f"a link to `{given}`", expected, remedy))


def _prose(body: str) -> str:
    """Return the text with comments and code blanked out, every other sign in its place."""
    if "<!--" in body:
        body = _blanked(body, _comments(body))
    if "```" in body or "~~~" in body:
        body = _blanked(body, _fenced(body))
    return _blanked(body, (found.span() for found in _SPAN.finditer(body))) if "`" in body else body


def _blanked(body: str, spans: Iterator[tuple[int, int]]) -> str:
    pieces, last = [], 0
    for start, end in spans:
        pieces += [body[last:start], re.sub(r"[^\n]", " ", body[start:end])]
        last = end
    return "".join((*pieces, body[last:]))


def _comments(body: str) -> Iterator[tuple[int, int]]:
    start = body.find("<!--")
    while start >= 0 and (end := body.find("-->", start)) >= 0:
        yield start, end + 3
        start = body.find("<!--", end)


def _fenced(body: str) -> Iterator[tuple[int, int]]:
    start: re.Match[str] | None = None
    for found in _FENCE.finditer(body):
        if start is None:
            start = found
        elif found[1].startswith(start[1]) and _REST.match(body, found.end()):
            yield start.start(), found.end()
            start = None
    if start is not None:
        yield start.start(), len(body)
