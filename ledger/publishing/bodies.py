"""Bodies of entries: Markdown to HTML that is safe to publish and that no later pass can read as anything else."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from html import escape
from typing import Protocol
from urllib.parse import urlsplit
from xml.etree.ElementTree import Element

import nh3
from markdown import Markdown
from markdown.treeprocessors import Treeprocessor
from markupsafe import Markup

from ledger.casebook.consent import published
from ledger.casebook.items import Finding, Item
from ledger.casebook.values import Casebook
from ledger.publishing.addresses import address, entry_named, page_of

OUTWARD = frozenset({"http", "https", "mailto"})
TAGS = {
    "a", "abbr", "b", "blockquote", "br", "caption", "cite", "code", "dd", "del", "details", "div", "dl", "dt", "em",
    "figcaption", "figure", "h3", "h4", "h5", "h6", "hr", "i", "img", "ins", "kbd", "li", "mark", "ol", "p", "pre", "q",
    "s", "small", "span", "strong", "sub", "summary", "sup", "table", "tbody", "td", "th", "thead", "tr", "u", "ul",
    "var",
}  # fmt: skip
ATTRIBUTES = {
    "a": {"href", "title"},
    "abbr": {"title"},
    "img": {"src", "alt", "title"},
    "ol": {"start"},
    "td": {"align", "colspan", "rowspan"},
    "th": {"align", "colspan", "rowspan", "scope"},
}
UNSEEN = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\u0080-\u009f\ufdd0-\ufdef\ufffe\uffff\ud800-\udfff]")
# Quotes in quotes and lists in lists beyond any writing: what comes of them depends on how deep the program stands.
TOO_DEEP = re.compile(r"^(?:[ \t]*>){20}|^(?:[ ]{4}|\t){20}[ \t]*(?:[-+*>]|\d+\.)\s", re.MULTILINE)
NESTING = re.compile(r"[\[\]()]|</[a-z]|<(?!(?:br|col|hr|img|input|wbr)\b)[a-z]", re.IGNORECASE)
CLOSING = {"]": "[", ")": "(", "</": "<"}
MOST_NESTED = 100
# A letter with an index, and what no index is looked for in: tags and code.
INDEX = re.compile(r"(?<![^\W\d])([^\W\d_])_(\w+)")
AS_IT_STANDS = re.compile(r"(<code>.*?</code>|<[^>]*>)", re.DOTALL)
# Texts whose HTML is kept: the same words stand on many pages.
KEPT = 8192
MEANT_LITERALLY = {ord(sign): f"&#{ord(sign)};" for sign in "`{}~$\n\t"}


class Reachable(Protocol):
    """What links may lead to, by ref: of a casebook, or of entry files alone."""

    @property
    def entries(self) -> Mapping[str, Item]:
        """Return what stands."""

    @property
    def withdrawn(self) -> Mapping[str, Item]:
        """Return what was withdrawn."""


@dataclass(frozen=True)
class Body:
    """A body as one line of HTML, and the targets in it that lead nowhere."""

    html: Markup
    astray: tuple[str, ...]


def clean(text: str) -> str:
    """Return text without control characters and other code points that are no text."""
    return UNSEEN.sub("", text)


def literal(html: str) -> str:
    """Return HTML on one line without signs that Markdown or a template could read: they stand as references."""
    return html.translate(MEANT_LITERALLY)


class _Demote(Treeprocessor):
    """A page has one first heading, its title: headings of a body begin at the third rank."""

    def run(self, root: Element) -> None:
        for element in root.iter():
            if re.fullmatch("h[1-6]", element.tag):
                element.tag = f"h{min(int(element.tag[1]) + 2, 6)}"


def render(casebook: Reachable, body: str, here: str, pictures: frozenset[str] = frozenset()) -> Body:
    """Render one body for the page `here`.

    A link whose target is the ref of an entry leads to its page; one that leads nowhere keeps its words and loses its
    target. A picture is shown only if it is among the site's own files (`pictures`, paths from the site's root).
    """
    astray: list[str] = []

    def attribute(tag: str, name: str, value: str) -> str | None:
        if (tag, name) == ("a", "href"):
            found = _target(casebook, here, value, pictures)
        elif (tag, name) == ("img", "src"):
            found = address(here, value) if value in pictures else None
        else:
            return value
        if found is None:
            astray.append(value)
        return found

    html = nh3.clean(
        _html(clean(body)),
        tags=TAGS,
        attributes=ATTRIBUTES,
        attribute_filter=attribute,
        url_schemes=set(OUTWARD),
        link_rel="noopener noreferrer",
    )
    return Body(Markup(literal(clean(html).strip("\n"))), tuple(dict.fromkeys(astray)))


@lru_cache(maxsize=KEPT)
def prose(text: str) -> Markup:
    """Return the prose of a calculator as HTML: Markdown without links and pictures, `T_s` with its index set low."""
    html = nh3.clean(_html(clean(text)), tags=TAGS - {"a", "img"}, attributes={})
    parts = AS_IT_STANDS.split(html)
    parts[::2] = [INDEX.sub(r"\1<sub>\2</sub>", part) for part in parts[::2]]
    return Markup(literal(clean("".join(parts)).strip("\n")))


def line(text: str) -> Markup:
    """Return one line of such prose, without a paragraph around it."""
    html = prose(text)
    alone = html.count("<p>") == 1 and html.startswith("<p>") and html.endswith("</p>")
    return Markup(html[3:-4]) if alone else html


@lru_cache(maxsize=KEPT)
def _html(body: str) -> str:
    if TOO_DEEP.search(body) or _nested(body) > MOST_NESTED:
        return f"<pre>{escape(body)}</pre>"
    try:
        return str(_reader().reset().convert(body))
    except RecursionError:
        # What it had begun stays in its parts.
        _reader.cache_clear()
        return f"<pre>{escape(body)}</pre>"


def _nested(body: str) -> int:
    """Return how deep brackets and tags are open at most, closed or not: each may take Markdown the whole text."""
    deepest, depth = 0, {"[": 0, "(": 0, "<": 0}
    for opened in NESTING.finditer(body):
        sign = opened[0] if len(opened[0]) == 1 else opened[0][:-1]
        if sign in CLOSING:
            depth[CLOSING[sign]] = max(0, depth[CLOSING[sign]] - 1)
        else:
            depth[sign] += 1
            deepest = max(deepest, depth[sign])
    return deepest


@cache
def _reader() -> Markdown:
    markdown = Markdown(
        extensions=["tables", "fenced_code", "sane_lists"], extension_configs={"tables": {"use_align_attribute": True}}
    )
    markdown.treeprocessors.register(_Demote(markdown), "demote", 0)
    return markdown


def _target(casebook: Reachable, here: str, target: str, files: frozenset[str]) -> str | None:
    try:
        parts = urlsplit(target)
    except ValueError:
        return None
    if parts.scheme:
        return target if parts.scheme.lower() in OUTWARD else None
    if parts.netloc or target.startswith("/"):
        return None
    ref = entry_named(parts.path)
    item = casebook.entries.get(ref or "") or casebook.withdrawn.get(ref or "")
    if ref is not None and item is not None and published(item):
        return address(here, page_of(ref), parts.fragment)
    return address(here, parts.path, parts.fragment) if parts.path in files else None


def findings(casebook: Casebook, pictures: frozenset[str] = frozenset()) -> tuple[Finding, ...]:
    """Return a finding for every target in a standing entry's body that leads nowhere."""
    return tuple(
        Finding(
            (ref,),
            f"`{target}` in the text of {ref} leads nowhere: name an entry, a web address or a file of the site.",
        )
        for ref, item in casebook.entries.items()
        if published(item)
        for target in render(casebook, item.body, page_of(ref), pictures).astray
    )
