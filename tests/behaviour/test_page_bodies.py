"""Bodies: what a person wrote, made safe, linked and copied unchanged through the site's own Markdown pass."""

from __future__ import annotations

import html
import re
from dataclasses import replace

import markdown
import pytest

from ledger.calculators.register import REGISTER
from ledger.publishing import bodies
from tests import casebook_calculators, casebooks
from tests.casebooks import pages_of
from tests.sites import Page

HERE = "evidence/sleeve-groove.md"
PASSES = [
    ["toc", "tables", "fenced_code"],
    ["toc", "tables", "fenced_code", "attr_list", "md_in_html", "admonition", "footnotes", "def_list", "abbr"],
    ["pymdownx.superfences", "pymdownx.snippets", "pymdownx.inlinehilite", "pymdownx.emoji", "pymdownx.details"],
]
HOSTILE = [
    "[x](javascript:alert(1))",
    "[x](JaVaScRiPt:alert(1))",
    "[x](java\nscript:alert(1))",
    "<a href=' &#106;avascript:alert(1)'>x</a>",
    "[x](data:text/html,<script>alert(1)</script>)",
    "[x](//evil.example/x)",
    "<script>alert(1)</script>",
    "<scr<script>ipt>alert(1)</script>",
    "<img src=x onerror=alert(1)>",
    "![x](https://evil.example/pixel.png)",
    "<svg onload=alert(1)><script>alert(1)</script></svg>",
    "<math><mtext><table><mglyph><style><img src=x onerror=alert(1)>",
    "<iframe src=https://evil.example></iframe>",
    "<style>@import 'https://evil.example/x.css'</style>",
    "<p style='background:url(https://evil.example/x)'>x</p>",
    "<form action=https://evil.example><input name=q></form>",
    "<link rel=stylesheet href=https://evil.example/x.css>",
    "<base href=https://evil.example/>",
    "<meta http-equiv=refresh content='0;url=https://evil.example'>",
    "<video src=https://evil.example/x.mp4 autoplay></video>",
    "<div id=__search name=x class=md-overlay>x</div>",
    "<!--><script>alert(1)</script>-->",
    "\x02wzxhzdk:0\x03 \x02klzzwxh:0000\x03",
]
AWKWARD = [
    "{{ 7*7 }} {% raw %} {# x #}",
    "a line\n</div>\n</div>\n\n# not a heading of the page\n\n<div>\n\nunbalanced <b>tags\n\n<p>left",
    "text\n\n    indented code\n\n    ``` not a fence\n\n\ttab\there",
    '~~~\n```\n# no heading\n```\n--8<-- "/etc/passwd"\n~~~',
    "```\n{{ 7*7 }}\n\n\n</div></div>\n  two  spaces\n```",
    "* a\n\n    * b\n\n        * c",
    "&lt;script&gt; &amp;amp; &#60;b&#62; < > \" '",
    "[TOC]\n\n*[HTML]: words\n\n[^1]: note\n\n!!! note\n    words",
    "| a | b |\n|:--|--:|\n| `x | y` | 2 |",
    "---\ntitle: other\n---\n\ntext",
    "line  \nbreak\\\nand `code {{ x }}`",
    ">" * 400 + " deep",
    "",
]


def built(body: str, extensions: list[str], title: str | None = None) -> str:
    """Return the HTML of one entry's page after the site's Markdown pass, without its front matter."""
    made = pages_of(casebooks.with_body(body, title=title), casebook_calculators.REGISTER)[HERE]
    text = re.sub(r"\A---\n.*?\n---\n", "", made, flags=re.DOTALL)
    return str(markdown.markdown(text, extensions=extensions))


@pytest.mark.parametrize("extensions", PASSES, ids=["plain", "much", "pymdownx"])
@pytest.mark.parametrize("body", HOSTILE + AWKWARD)
def test_a_body_passes_through_unread(body: str, extensions: list[str]) -> None:
    """The site's Markdown pass copies a body as it was made: no sign in it is read a second time."""
    made = bodies.render(casebooks.with_body(body), body, HERE).html
    page = built(body, extensions)
    if made:
        assert f'<div class="wl-body">{made}</div>' in page
    assert page.count("<div") == page.count("</div>")
    assert page.count("<h1") == 1


@pytest.mark.parametrize("body", HOSTILE)
def test_nothing_in_a_body_runs_or_fetches(body: str) -> None:
    """Scripts, handlers, styles, forms, frames, ids, addresses that run, and pictures elsewhere do not get through."""
    page = Page(str(bodies.render(casebooks.casebook(), body, HERE).html))
    text = bodies.render(casebooks.casebook(), body, HERE).html
    assert not page.handlers
    assert not page.ids
    assert not page.addresses
    assert not re.search(r"<(script|style|iframe|form|input|link|meta|base|svg|math|video|object|embed)", text)
    assert "style=" not in text
    assert "class=" not in text
    assert "\x02" not in text


@pytest.mark.parametrize("extensions", PASSES, ids=["plain", "much", "pymdownx"])
@pytest.mark.parametrize(
    "title",
    [
        "<script>alert(1)</script>",
        "a *b* _c_ `d` [e](f) {#g} {: .h}",
        "# 1. not a list #",
        "{{ 7*7 }}",
        "a\n\nb",
        "62 & 63 < 64 \"q\" 'r'",
        "\x02wzxhzdk:0\x03 x",
        "~~~",
    ],
)
def test_a_title_is_shown_as_it_was_written(title: str, extensions: list[str]) -> None:
    """No sign in a title is read as Markdown, markup or a template."""
    heading = re.search(r"<h1[^>]*>(.*?)</h1>", built("", extensions, title), re.DOTALL)
    assert heading is not None
    assert html.unescape(heading[1]) == " ".join(bodies.clean(title).split())


def test_code_keeps_its_lines() -> None:
    """A block of code keeps its line breaks, blank lines and indents."""
    made = bodies.render(casebooks.casebook(), "```\na\n\n  b\tc\n```", HERE).html
    assert "a\n\n  b" in html.unescape(made)
    assert "\n" not in made


def test_a_link_to_an_entry_leads_to_its_page() -> None:
    """A Markdown link whose target is the ref of an entry leads to its page, seen from this one."""
    book = casebooks.casebook()
    made = bodies.render(book, "[w](measurements/hub-width) and [s](sources/foreman.md)", HERE)
    assert 'href="../measurements/hub-width.html"' in made.html
    assert 'href="../sources/foreman.html"' in made.html
    assert made.astray == ()
    assert 'href="measurements/hub-width.html"' in bodies.render(book, "[w](measurements/hub-width)", "index.md").html


def test_a_link_to_nothing_keeps_its_words_and_is_reported() -> None:
    """A target that leads nowhere is dropped, its words stay, and a finding names entry and target."""
    book = casebooks.with_body("[lost words](evidence/nowhere)")
    made = bodies.render(book, "[lost words](evidence/nowhere)", HERE)
    assert "lost words" in made.html
    assert "href" not in made.html
    found = [one for one in bodies.findings(book) if one.about == ("evidence/sleeve-groove",)]
    assert len(found) == 1
    assert "evidence/nowhere" in found[0].message


def test_a_reply_without_consent_is_no_target() -> None:
    """A link to a reply that may not be published leads nowhere."""
    assert bodies.render(casebooks.casebook(), "[x](replies/held-back)", HERE).astray == ("replies/held-back",)


def test_outward_links_are_links_only() -> None:
    """A link to another host stays a link, tells that host nothing of the page, and fetches nothing."""
    made = bodies.render(casebooks.casebook(), "[x](https://archive.example/a)", HERE).html
    assert 'href="https://archive.example/a"' in made
    assert 'rel="noopener noreferrer"' in made


def test_pictures_of_the_site_are_shown_and_no_others() -> None:
    """A picture is shown if it is among the site's own files."""
    book, known = casebooks.casebook(), frozenset({"pictures/hub.png"})
    assert 'src="../pictures/hub.png"' in bodies.render(book, "![hub](pictures/hub.png)", HERE, known).html
    other = bodies.render(book, "![hub](pictures/other.png)", HERE, known)
    assert "src=" not in other.html
    assert "hub" in other.html
    assert other.astray == ("pictures/other.png",)


def test_headings_of_a_body_stand_below_the_title() -> None:
    """A body's first heading is of the third rank, for the page's title is its only first."""
    made = bodies.render(casebooks.casebook(), "# One\n\n## Two\n\n###### Six", HERE).html
    assert "<h3>One</h3>" in made
    assert "<h4>Two</h4>" in made
    assert "<h6>Six</h6>" in made


def test_a_calculator_speaks_markdown() -> None:
    """Formula, sources, assumptions and cautions of a calculator are read as Markdown, and indices are set low."""
    spoken = {
        "formula": "*T_J* = *J*·Δω/Δ*t*, so\n\n- steadily *T_s*,\n- with `a_b` and ω_in.",
        "sources": ("*F* = *m*·*a*.",),
        "assumptions": ("Leave `kept` at one.",),
        "cautions": ("A *loud* one <script>alert(1)</script>[x](https://evil.example).",),
    }
    axial = replace(casebook_calculators.AXIAL, **spoken)
    made = pages_of(casebooks.casebook(), {**casebook_calculators.REGISTER, axial.name: axial})
    page = made["calculators/axial-length.md"]
    for words in ("<em>T<sub>J</sub></em>", "<li>steadily <em>T<sub>s</sub></em>,</li>", "<code>a_b</code>",
                  "ω<sub>in</sub>", "<em>F</em> = <em>m</em>", "<code>kept</code>", "A <em>loud</em> one"):  # fmt: skip
        assert words in page
        assert "*" not in page
    assert "<script" not in page
    assert "evil" not in page
    assert "A <em>loud</em> one" in made["questions/forks.md"]
    assert "A <em>loud</em> one" in made["calculations/drum-length.md"]


def test_every_known_calculator_is_without_raw_signs() -> None:
    """No page of a calculator shows a star or a backtick that was meant as Markdown."""
    for path, page in pages_of(casebooks.casebook(), REGISTER).items():
        if path.startswith("calculators/"):
            said = html.unescape(re.sub(r"<[^>]+>", "", page))
            assert not re.search(r"\*\w[^*\n]*\*|`", said), path


@pytest.mark.parametrize("body", ["[" * 150 + "]" * 150, "![" * 150, "[a](" * 150, "<div>" * 150, "<a " * 150])
def test_what_is_nested_beyond_any_writing_is_shown_as_it_stands(body: str) -> None:
    """Markdown looks through the whole text for each bracket: a small file could hold a build for hours."""
    assert bodies._html(body) == f"<pre>{html.escape(body)}</pre>"


def test_many_brackets_and_breaks_side_by_side_are_prose() -> None:
    """Only what lies within each other counts, and tags that never close do not."""
    body = "line<br>\n[a](https://a.example) (b) " * 300
    assert bodies._html(body).count("<a ") == 300
