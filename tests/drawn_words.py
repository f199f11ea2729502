"""Words drawn for tests: awkward and hostile texts, bodies, names of entries and references to them."""

from __future__ import annotations

from hypothesis import strategies as st

from ledger.entries import fields

SURPRISES = (
    "no",
    "Yes",
    "off",
    "010",
    "0x1F",
    "1:30",
    "5e-3",
    "1_000",
    ".5",
    "5.",
    ".inf",
    "~",
    "null",
    "+5",
    "=",
    "<<",
    "true",
    "2031-05-17",
    "12",
    "-0",
    "0.25",
)
AWKWARD = SURPRISES + (
    "a: b",
    "a:",
    "# not a comment",
    "a #b",
    " leads",
    "trails ",
    "it's",
    '"said"',
    "back\\slash",
    "- item",
    "-5 mm",
    "? x",
    "*star",
    "&and",
    "!bang",
    "%",
    "@",
    "`tick`",
    "{",
    "]",
    "a, b",
    "|",
    ">",
    "---",
    "...",
    "a\n---\nb",
    "two\nlines",
    "two\nlines\n",
    "\nlater",
    "a\n  deeper\n",
    "a\n \nb",
    "cr\r\nlf",
    "\ttab",
    "nbsp\u00a0",
    "\u2028",
    "\x85",
    "\ufeffmark",
    "\x07",
    "größe ± 3 µm",
    "日本",
    "\U0001f529",
    "e\u0301",
)
OBEYED = (
    "=1+1",
    '=HYPERLINK("http://a.example";"x")',
    "@SUM(A1)",
    "\t=1",
    "\r\n-1",
    "'=1",
    "\\input{x}",
    "}}\n@misc{other,",
    "@comment{",
    "100 % of $x_1$ & more #5",
    "Doe, J. and others",
    "a -- b --- ``c''",
    '"},{"ref": "x',
    "</script><b>x</b>",
    "ledger:x prov:y _:z",
    "NaN",
    "null",
)


def texts() -> st.SearchStrategy[str]:
    """Any text, awkward ones often."""
    return st.one_of(st.sampled_from(AWKWARD), st.text(max_size=20), st.sampled_from(("A groove", "seen twice")))


def prose() -> st.SearchStrategy[str]:
    """Text with at least one visible sign."""
    return texts().map(lambda text: text if text.strip() else text + "x")


def hostile() -> st.SearchStrategy[str]:
    """Words that some reader of some form would obey: spreadsheets, TeX, BibTeX, JSON, markup."""
    signs = st.text("=+-@'\"\\{}$%&#_^~<>|`,;:!?()[]/ab1 \t\r\n\u00a0\u2028\ufeff＝é日", min_size=1, max_size=12)
    return st.one_of(st.sampled_from(OBEYED), signs, prose()).map(lambda text: text if text.strip() else text + "x")


def bodies() -> st.SearchStrategy[str]:
    """Markdown of any kind, with its line ends."""
    parts = st.sampled_from(
        ("The groove is bright.\n", "\n", "\r\n", "---\n", "# Head\r\n", "no end", "  two\t\n", "\ufeff")
    )
    return st.lists(st.one_of(parts, texts()), max_size=4).map("".join)


def names() -> st.SearchStrategy[str]:
    """Valid names of entries, some of which YAML would take for something else."""
    word = st.text("abcdeghkmt0123456789", min_size=1, max_size=6)
    made = st.lists(word, min_size=1, max_size=3).map("-".join)
    return st.one_of(made, st.sampled_from(("no", "010", "12", "5e-3", "on", "null", "1e5", "sleeve-groove")))


def references(folder: str) -> st.SearchStrategy[str]:
    """References to entries of a folder, short or in full."""
    return st.one_of(names(), names().map(lambda name: f"{folder}/{name}"))


def answers() -> st.SearchStrategy[str]:
    """Rivals of a question, short or in full, and none of them."""
    return st.one_of(references("hypotheses"), st.just(fields.NONE_OF_THESE))
