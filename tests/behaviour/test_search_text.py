"""What the search reads of a page, and who hears it: sentences that end once, and words that stand apart."""

from __future__ import annotations

import json
import re
from html import unescape
from pathlib import Path

import pytest

from ledger.publishing.rendering import block

TWICE = re.compile(r"[.!?:;,]\.(?![\d.])|\s\.\s|(?<!\.)\.\.(?![\d.])")
# Fewer letters before the capital are units and names, as in MecMovies.
TOGETHER = re.compile(r"[a-z]{3}[A-Z][a-z]{2}")


def read(html: str) -> str:
    """Return the text of HTML as the search has it."""
    return unescape(re.sub(r"<[^>]*>", "", html))


@pytest.mark.parametrize(
    ("html", "said"),
    [
        ('<p>In answer to <a href="x">Who?</a>. Judged once.</p>', "In answer to Who? Judged once."),
        ("<p>Now <small>kept.</small>.</p><p>Then</p>", "Now kept. Then"),
        ("<p>It is <b>so</b>.</p>", "It is so."),
        ("<ul><li>One</li><li>Two?</li><li>Three</li></ul><p>Four</p>", "One; Two? Three. Four"),
        ("<ul><li>One <ul><li>Two </li></ul></li><li>Three</li></ul>", "One Two. Three. "),
        ("<table><tr><td><table><tr><td>1</td></tr></table></td><td></td></tr></table>", "1. "),
        ("<h3>Head</h3><p>Text.</p>", "Head: Text."),
        ('<td><span class="wl-cell">a</span><span class="wl-cell">b</span></td>', "a; b; "),
        ("<svg><title>A</title><text>B</text><text>C</text></svg>", "A B C "),
        ("<div><!--body--><p>Who?</p>.<!--/body--></div>", "Who?."),
    ],
)
def test_sentences_are_joined_well(html: str, said: str) -> None:
    """A title that ends with a sign takes no stop; lines, cells and headings are told apart; bodies stay."""
    assert " ".join(read(str(block(html))).split()) == " ".join(said.split())


def test_the_demo_reads_well(demo_site: Path) -> None:
    """In the whole index of the search no stop stands twice, and no two words stand together."""
    index = json.loads((demo_site / "search" / "search_index.json").read_text("utf-8"))
    texts = [(one["location"], read(one["text"])) for one in index["docs"]]
    assert len(texts) > 400
    found = [
        (place, text[max(0, at.start() - 30) : at.end() + 20])
        for place, text in texts
        for pattern in (TWICE, TOGETHER)
        for at in pattern.finditer(text)
    ]
    assert found == []


def test_what_reads_badly_is_found_out() -> None:
    """The patterns know a double stop, a lost sign and two words in one."""
    for bad in ("share one?. Judged", "all draws.. Answers", "rear. . Fits", "as above . Length"):
        assert TWICE.search(bad), bad
    assert not TOGETHER.search("see MecMovies M6.13")
    assert TOGETHER.search("two wheelsFaces meet")
    for good in ("62..68 mm", "and so on… Then", "1.5 mm. Next"):
        assert not TWICE.search(good), good
