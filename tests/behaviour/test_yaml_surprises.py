"""Front matter that readers of YAML disagree about is refused, with the way to write it."""

from __future__ import annotations

import pytest
import yaml
from hypothesis import example, given
from hypothesis import strategies as st

from ledger.entries.scalars import Surprise, read_plain
from ledger.entries.yamlstrict import DEPTH, KEY_LENGTH, SIZE, Loaded, load

QUOTED = [
    "no",
    "No",
    "NO",
    "yes",
    "Yes",
    "on",
    "On",
    "off",
    "OFF",
    "y",
    "Y",
    "n",
    "N",
    "True",
    "TRUE",
    "False",
    "010",
    "-010",
    "089",
    "0x1F",
    "0o7",
    "0b101",
    "1:30",
    "190:20:30",
    "1:30.5",
    "5e-3",
    "1e5",
    "1_000",
    ".5",
    "-.5",
    "5.",
    "+5",
    "+0.5",
    ".inf",
    "-.inf",
    ".nan",
    ".NaN",
    "~",
    "null",
    "Null",
    "NULL",
    "=",
    "2031-05-17 10:00:00",
    "2031-05-17T10:00:00Z",
    "9" * 19,
    "1.0e999",
]


def one_fault(text: str) -> tuple[Loaded, str]:
    loaded = load(text, "entries/questions/forks.md")
    assert len(loaded.faults) == 1, loaded.faults
    return loaded, loaded.faults[0].remedy


@pytest.mark.parametrize("text", QUOTED)
def test_a_surprising_value_is_refused_and_its_remedy_reads_back(text: str) -> None:
    """The fault shows the quotes to write; written so, the text is read to the letter."""
    loaded, remedy = one_fault(f"title: fine\nmethod: {text}\n")
    assert (loaded.faults[0].line, loaded.faults[0].field, loaded.faults[0].given) == (3, "method", text)
    assert f'"{text}"' in remedy
    mended = load(f'method: "{text}"\n', "x")
    assert mended.faults == ()
    assert mended.data == {"method": text}


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("0x1F", "31"),
        ("0b101", "5"),
        ("5e-3", "0.005"),
        ("1_000", "1000"),
        (".5", "0.5"),
        ("-.5", "-0.5"),
        ("5.", "5.0"),
        ("+5", "5"),
        ("0o7", "7"),
        ("1e5", "100000.0"),
    ],
)
def test_the_number_that_was_meant_is_offered(text: str, number: str) -> None:
    """Where all would agree on the number, the remedy writes it out."""
    assert f"`{number}`" in one_fault(f"prior: {text}\n")[1]


@pytest.mark.parametrize(
    "text",
    [
        "62 ± 3 mm",
        "0.2..0.6",
        "55..61..68 mm",
        "2031-05-17",
        "2031-05",
        "very likely",
        "a-b",
        "1.2.3",
        "no doubt",
        "-",
        "12 mm",
        "nothing",
        "yes, it is",
        "x: y"[:1],
        "10:30 mm",
        "0.2 %",
        "http://example.org/a#b",
        "5 = 5",
        "e5",
        "1..2",
        "Infinity",
        "nan",
    ],
)
def test_plain_text_stays_text(text: str) -> None:
    """Quantities, ranges, dates and ordinary words need no quotes."""
    loaded = load(f"a: {text}\n", "x")
    if text == "-":
        assert loaded.faults
    else:
        assert loaded.data == {"a": text}
        assert loaded.faults == ()


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("0", 0),
        ("-0", 0),
        ("812", 812),
        ("-7", -7),
        ("0.5", 0.5),
        ("-0.25", -0.25),
        ("1.5e3", 1500.0),
        ("1.0E-5", 1e-5),
        ("true", True),
        ("false", False),
        ('"010"', "010"),
        ("'no'", "no"),
        ("|\n  a\n  b\n", "a\nb\n"),
    ],
)
def test_strict_forms_are_read(text: str, value: object) -> None:
    """Whole numbers, decimals, truths and quoted text are what they look like."""
    loaded = load(f"a: {text}\n", "x")
    assert loaded.faults == ()
    assert loaded.data == {"a": value}
    assert type(loaded.data["a"]) is type(value)


@pytest.mark.parametrize(
    ("text", "line", "field", "remedy"),
    [
        ("a: &x 1\n", 2, "a", "Take `&x` out"),
        ("a: 1\nb: *x\n", 3, "b", '"*x"'),
        ("<<: {a: 1}\n", 2, "<<", "Write the fields out"),
        ("<<: *x\n", 2, "<<", "Write the fields out"),
        ("a: !!str 5\n", 2, "a", "Take the tag out"),
        ("a: ! 5\n", 2, "a", "Take the tag out"),
        ("a: !!map {b: 1}\n", 2, "a", "Take the tag out"),
        ("&x a: 1\n", 2, "a", "Take `&x` out"),
        ("a: 1\nb: 2\na: 3\n", 4, "a", "Keep one"),
        ('a: 1\n"a": 3\n', 3, "a", "Keep one"),
        ("m:\n  1: 2\n  '1': 3\n", 4, "m.1", "Keep one"),
        ("? [a, b]\n: 1\nc: 2\n", 2, "", "`name: value`"),
        ("{a: b}: 1\n", 2, "", "`name: value`"),
        ("m:\n  no: 0.3\n", 3, "m.no", '"no" in quotes'),
        ("0.5: 1\n", 2, "0.5", '"0.5" in quotes'),
        ("010: 1\n", 2, "010", '"010" in quotes'),
        ("true: 1\n", 2, "true", '"true" in quotes'),
        ("a:\n", 2, "a", "take the field out"),
        ("a: []\nb: [1, ~]\n", 3, "b.2", '"~" in quotes'),
        ("m: [{k: 1}, {k: off}]\n", 2, "m.2.k", "`false`"),
        ("m: {label: groove, box}\n", 2, "m.box", "take the field out"),
        ("a" * (KEY_LENGTH + 1) + ": 1\n", 2, "a" * 60 + "…", "shorter name"),
        ("a: 1\n---\nb: 2\n", 3, "", "one pair"),
        ("%YAML 1.1\n---\na: 1\n", 2, "", "Take the line out"),
        ("a: 1\n...\nb: 2\n", 4, "b", "three dots"),
        ("- a\n", 2, "", "colon"),
        ("text\n", 2, "", "colon"),
        ("a: 1\nb: x\u2028y\n", 3, "", "escape"),
        ("a: \ud800\n", 2, "a", "escape"),
        ("a: b\x07\n", 2, "a", "escape"),
        ("quantity: 30: 0.2, 31: 0.7\n", 2, "quantity", "quotes"),
        ("a: 1\n\tb: 2\n", 3, "b", "spaces"),
        ("a: [1, 2\n", 2, "a", "bracket"),
        ("a: {b: 1\nc: 2\n", 2, "a", "brace"),
        ("a: 'it's'\n", 2, "a", "quotes"),
        ("title: one\nunfinished\nb: 1\n", 3, "", "colon"),
        ('a: "\\q"\n', 2, "a", "backslash"),
        ("a: @x\n", 2, "a", "quote text"),
        ("a: 1\n  b: 2\n", 3, "b", "quotes"),
    ],
)
def test_what_yaml_allows_and_we_do_not(text: str, line: int, field: str, remedy: str) -> None:
    """Each is one fault, at its line, with its remedy."""
    loaded, said = one_fault(text)
    assert (loaded.faults[0].line, loaded.faults[0].field) == (line, field)
    assert remedy in said
    assert loaded.faults[0].given
    assert loaded.faults[0].expected


def test_all_surprises_of_a_file_are_told_at_once() -> None:
    """Reading goes on after a fault, and keeps what it can."""
    loaded = load("a: no\nb: [010, 2, 5e-3]\nc: *x\nd: fine\n? {e: 1}\n: {f: ~}\na: 2\n", "x")
    assert [(fault.line, fault.field) for fault in loaded.faults] == [
        (2, "a"),
        (3, "b.1"),
        (3, "b.3"),
        (4, "c"),
        (6, ""),
        (7, "?1.f"),
        (8, "a"),
    ]
    assert loaded.complete
    assert loaded.data["d"] == "fine"


def test_faults_before_broken_syntax_are_kept() -> None:
    """What was seen before the syntax broke is told along with the break."""
    loaded = load("a: no\nb: [1, 2\nc: 3\n", "x")
    assert [fault.line for fault in loaded.faults] == [2, 3]
    assert not loaded.complete


@pytest.mark.parametrize("opening", ["[", "{a: ", "- ", "? "])
def test_depth_is_limited(opening: str) -> None:
    """Nesting thousands deep ends at the limit, with a fault that says so, and exhausts nothing."""
    loaded = load("a:\n  " + opening * 40_000, "x")
    assert "flatter" in loaded.faults[-1].remedy
    assert not loaded.complete


def test_the_deepest_permitted_nesting_is_read() -> None:
    """The limit itself is permitted; one more is not."""
    levels = DEPTH - 1
    assert load("a: " + "[" * levels + "]" * levels + "\n", "x").faults == ()
    assert len(load("a: " + "[" * (levels + 1) + "]" * (levels + 1) + "\n", "x").faults) == 1


def test_size_is_limited() -> None:
    """Front matter beyond the limit is not parsed at all."""
    assert load("a: " + "x" * (SIZE - 10), "x").faults == ()
    assert one_fault("a: " + "x" * SIZE)[0].data == {}
    assert one_fault("a: " + "é" * (SIZE // 2 + 1))[0].data == {}


def test_whole_numbers_as_keys_are_text() -> None:
    """A grade written bare as a key is the same as in quotes."""
    assert load("1: a\n-2: b\n", "x").data == {"1": "a", "-2": "b"}


def test_lines_count_from_the_top_of_the_file() -> None:
    """Each field's line is the file's, counted with the opening `---`; items of lists count from one."""
    lines = load("a: 1\nm:\n  - {k: 1}\n  -\n    k: 2\n", "x").lines
    assert lines["a"] == 2
    assert lines["m.1.k"] == 4
    assert lines["m.2.k"] == 6
    assert load("a: 1\r\nb: 2\r\n", "x").lines == {"a": 2, "b": 3}


@given(
    st.one_of(
        st.text("0123456789+-._eExXobBaFyYnNsSoOfFtTrRuUlLiI:~=<", max_size=10), st.from_regex(r"[-+]?[0-9_.:eE]{1,8}")
    )
)
@example("0.2..0.6")
@example("1.5e+3")
def test_whatever_another_reader_takes_for_a_number_we_do_too_or_refuse(text: str) -> None:
    """What PyYAML's own resolver reads as no text is refused, or read as the same value; dates alone are text here."""
    ours = read_plain(text)
    if type(ours) is Surprise:
        return
    loader = yaml.SafeLoader("")
    tag = loader.resolve(yaml.ScalarNode, text, (True, False))
    if tag == "tag:yaml.org,2002:timestamp":
        assert ours == text
    elif tag != "tag:yaml.org,2002:str":
        assert ours == loader.construct_object(yaml.ScalarNode(tag, text))


@given(st.text("ab:-{}[]&*!|>'\"#,? \n\t<%@`~01.", max_size=40))
def test_any_front_matter_gives_data_or_faults(text: str) -> None:
    """Nothing is raised, and where another reader refuses, so do we."""
    loaded = load(text, "x")
    assert loaded.complete or loaded.faults
    if not loaded.faults:
        assert list(yaml.load(text, yaml.CBaseLoader)) == list(loaded.data)
