"""The one Jinja environment, and the filters that keep what a person wrote from being read as Markdown."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from functools import cache
from html import escape
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from ledger.publishing.bodies import clean, line, literal, prose
from ledger.publishing.figures import plain_label

BODY = re.compile(r"<!--body-->(.*?)<!--/body-->", re.DOTALL)
# The end of a cell, field, line of a list or heading, with what makes a sign needless there: no text at all, or
# something that ends with a sign.
ENDS = re.compile(
    r"(?:(?P<needless>(?:<t[dh](?:\s[^>]*)?>|[,.:;!?](?:\s*</\w+>)*|(?:</(?:table|ul|ol|dl|div|details)>\s*)+)\s*)|\s*)"
    r"</(?P<tag>dt|dd|td|th|li|summary|h\d)>(?=(?P<last>\s*</(?:tr|div|ul|ol)>)?)"
)
# The end of words that nothing else parts from the next ones.
CLOSES = re.compile(r"</(?:title|desc|text|label|p|div|figcaption)>(?=\S)")
# A stop after a title that ends a sentence by itself.
STOPS = re.compile(r"([.!?](?:</\w+>)+)\.(?=\s|<|$)")
SIGN = '<span class="wl-sep">{}</span>'
# Where one part of a cell ends and the next begins.
PARTS = re.compile(r'</span>\s*(?=<span class="wl-cell">)')
PARTED = f"{SIGN.format(';')}</span> "
# A block of HTML on a line of its own, and what stands in its place during a Markdown pass.
OPEN, CLOSE = '<div class="wl">', "</div>"
BLOCK = re.compile(f"^{OPEN}.*{CLOSE}$", re.MULTILINE)
LIFTED = re.compile(rf"{OPEN}(\d+){CLOSE}")


def plain(text: str) -> Markup:
    """Return text for a Markdown heading: every sign that could mean something there stands as a reference."""
    spaced = " ".join(clean(str(text)).split())
    return Markup(re.sub(r"[!-/:-@\[-`{-~]", lambda sign: f"&#{ord(sign[0])};", spaced))


def meta(text: str) -> Markup:
    """Return text as a quoted value of a page's front matter, escaped once, for the theme prints it as it stands."""
    return Markup(json.dumps(escape(" ".join(clean(str(text)).split())), ensure_ascii=False))


def block(html: str) -> Markup:
    """Return HTML as one block on a line of its own, which a Markdown pass copies and does not read.

    Between cells, fields and lines stand signs that are not drawn: the search and whoever hears the page read the
    text without them as one word. A title that ends with a sign ends its sentence. Bodies stay as they are; templates
    put them between comments, which no body has.
    """
    joined = re.sub(r"\s*\n\s*", " ", clean(str(html)).strip())
    parts = BODY.split(joined)
    parts[::2] = [_told(part) for part in parts[::2]]
    return Markup(f"\n{OPEN}{literal(''.join(parts))}{CLOSE}\n\n")


def _told(html: str) -> str:
    apart = CLOSES.sub(r"\g<0> ", PARTS.sub(PARTED, STOPS.sub(r"\1", html)))
    return ENDS.sub(_parted, apart)


def _parted(end: re.Match[str]) -> str:
    tag = end["tag"]
    sign = ";" if tag in ("td", "th", "dd", "li") else ":"
    return f"{end['needless'] or SIGN.format('.' if end['last'] else sign)}</{tag}> "


def lifted(markdown: str) -> tuple[str, list[str]]:
    """Return a page with its blocks taken out, and the blocks: a Markdown pass would only copy them, and slowly."""
    blocks: list[str] = []

    def taken(found: re.Match[str]) -> str:
        blocks.append(found[0])
        return f"{OPEN}{len(blocks) - 1}{CLOSE}"

    return BLOCK.sub(taken, markdown), blocks


def put_back(html: str, blocks: Sequence[str]) -> str:
    """Return a page with its blocks where they were taken from."""
    return LIFTED.sub(lambda found: blocks[int(found[1])], html)


@cache
def environment() -> Environment:
    """Return the environment of the page templates."""
    made = Environment(
        loader=PackageLoader("ledger.publishing", "templates"),
        auto_reload=False,
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    made.filters.update(plain=plain, meta=meta, block=block, prose=prose, line=line, label=plain_label)
    return made


def page(template: str, **values: Any) -> str:
    """Return the Markdown of one page."""
    text = environment().get_template(f"{template}.md.jinja").render(**values)
    return re.sub(r"\n{3,}", "\n\n", text).strip() + "\n"
