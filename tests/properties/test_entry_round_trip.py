"""What is written is read back the same, for every kind of entry and any text in it."""

from __future__ import annotations

from typing import Any

import pytest
import yaml
from hypothesis import example, given
from hypothesis import strategies as st

from ledger.entries.checking import check_ledger
from ledger.entries.models import FOLDERS, MODELS
from ledger.entries.reading import read_text
from ledger.entries.references import references
from ledger.entries.writing import write
from ledger.entries.yamlstrict import DEPTH, KEY_LENGTH, load
from tests import drawn_entries, drawn_ledgers, drawn_words


def same(left: Any, right: Any) -> bool:
    """Return whether two values are equal and of equal types throughout, keys in equal order."""
    if type(left) is not type(right):
        return False
    if isinstance(left, dict):
        return list(left) == list(right) and all(same(left[key], right[key]) for key in left)
    if isinstance(left, list):
        return len(left) == len(right) and all(map(same, left, right))
    return bool(left == right)


def words(data: Any) -> Any:
    """Return data with every number and truth replaced by a blank, so that texts alone are compared."""
    if isinstance(data, dict):
        return {key: words(value) for key, value in data.items()}
    if isinstance(data, list):
        return [words(item) for item in data]
    return data if isinstance(data, str) else None


def blank(read: Any, pattern: Any) -> Any:
    """Return what another reader read, blanked where the pattern has no text."""
    if isinstance(pattern, dict):
        return {key: blank(value, pattern[key]) for key, value in read.items()}
    if isinstance(pattern, list):
        return [blank(item, other) for item, other in zip(read, pattern, strict=True)]
    return read if isinstance(pattern, str) else None


def plain_data() -> st.SearchStrategy[dict[str, Any]]:
    """Any front matter at all."""
    keys = drawn_words.texts().filter(lambda key: len(key) <= KEY_LENGTH)
    limit = 10**18 - 1
    numbers = st.one_of(st.integers(-limit, limit), st.floats(allow_nan=False, allow_infinity=False))
    leaf = st.one_of(drawn_words.texts(), numbers, st.booleans())
    deep = st.recursive(
        leaf, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(keys, inner, max_size=3), max_leaves=15
    )
    return st.dictionaries(keys, deep, min_size=1, max_size=5)


@pytest.mark.parametrize("kind", sorted(MODELS))
def test_every_kind_is_read_back_equal(kind: str) -> None:
    """Front matter keeps values, types and order; the body keeps every byte; the entry is accepted."""

    @given(drawn_entries.fronts(kind), drawn_words.bodies(), drawn_words.names())
    def holds(front: dict[str, Any], body: str, name: str) -> None:
        text = write(front, body)
        document = read_text(text, FOLDERS[kind], name)
        assert same(document.front, front)
        assert document.body == body
        assert document.text == text
        assert write(document.front, document.body) == text

    holds()


@given(plain_data())
@example({"a": "x\n---\ny", "---": "---", "...": ["---"]})
@example({"a": ["", [], {}, [[]], {"b": {}}, [1, [2.5, []]]]})
@example({"a": [{"b": ["c", {"d": "e\nf\n"}]}, [["g"]]]})
def test_any_plain_data_is_read_back_equal(data: dict[str, Any]) -> None:
    """The writer quotes whatever the strict reader would misread, and no line closes the front matter early."""
    text = write(data, "body")
    front = text.removeprefix("---\n").removesuffix("---\nbody")
    assert "---" not in front.split("\n")
    loaded = load(front, "x")
    assert loaded.faults == ()
    assert same(loaded.data, data)


@given(plain_data())
def test_another_reader_finds_the_same_text(data: dict[str, Any]) -> None:
    """PyYAML's own loader, written apart from ours, finds the same keys and texts."""
    front = write(data, "").removeprefix("---\n").removesuffix("---\n")
    assert blank(yaml.load(front, yaml.BaseLoader), words(data)) == words(data)


@given(drawn_words.prose())
def test_ordinary_words_are_not_quoted(text: str) -> None:
    """Quotes are spent only where needed: what is read back equal without them has none."""
    line = write({"a": text}, "").split("\n")[1]
    bare = load(f"a: {text}\n", "x")
    if line.startswith('a: "') and not bare.faults:
        assert bare.data != {"a": text} or "\t" in text or text[0] in "?:-" or text.startswith("...") or text[-1] == ":"


@pytest.mark.parametrize(
    ("value", "line"),
    [
        ("62 ± 3 mm", "a: 62 ± 3 mm"),
        ("0.2..0.6", "a: 0.2..0.6"),
        ("-5..5 mm", "a: -5..5 mm"),
        ("30: 0.2, 31: 0.7", 'a: "30: 0.2, 31: 0.7"'),
        ("no", 'a: "no"'),
        ("2031-05-17", "a: 2031-05-17"),
        (0.00001, "a: 1.0e-05"),
        (5.0, "a: 5.0"),
        (True, "a: true"),
        ("12", 'a: "12"'),
        ("it's", "a: it's"),
        ('a "word"', 'a: a "word"'),
        ([812, 440.5], "a: [812, 440.5]"),
        ([[1, 2], [3, 4]], "a: [[1, 2], [3, 4]]"),
        (["x", "z"], "a:\n  - x\n  - z"),
        ({"b": {"c": 1}}, "a:\n  b:\n    c: 1"),
        ([{"b": 1, "c": "d"}], "a:\n  - b: 1\n    c: d"),
        ("one\ntwo", "a: |-\n  one\n  two"),
        ("one\n\ntwo\n", "a: |\n  one\n\n  two"),
        ([], "a: []"),
        ({}, "a: {}"),
        ("", 'a: ""'),
    ],
)
def test_the_form_of_what_is_written(value: object, line: str) -> None:
    """Files look as a person would write them."""
    assert write({"a": value}, "") == f"---\n{line}\n---\n"


@pytest.mark.parametrize(
    "value",
    [
        None,
        float("nan"),
        float("inf"),
        10**18,
        "\ud800",
        b"x",
        {1: 2},
        {"k" * (KEY_LENGTH + 1): 1},
        {"a": None},
        [None],
    ],
)
def test_what_cannot_be_read_back_is_not_written(value: object) -> None:
    """The writer refuses rather than write what the reader would refuse."""
    with pytest.raises(ValueError, match=r".+"):
        write({"a": value}, "")


def test_depth_is_limited_as_in_reading() -> None:
    """The deepest data the writer writes is the deepest the reader reads."""
    data: Any = 1
    for _ in range(DEPTH - 1):
        data = [data]
    text = write({"a": data}, "")
    assert load(text[4:-4], "x").faults == ()
    for deeper in ([data], [{"b": data}], {"b": data}):
        with pytest.raises(ValueError, match="levels"):
            write({"a": deeper}, "")


@given(drawn_ledgers.ledgers())
def test_coherent_ledgers_have_no_fault(ledger: drawn_ledgers.Ledger) -> None:
    """Whole ledgers written and read back keep every rule, and every reference they make leads somewhere."""
    documents = {}
    for (folder, name), (front, body) in ledger.items():
        document = read_text(write(front, body), folder, name)
        documents[document.ref] = document
    assert check_ledger(documents, set(documents)).faults == ()
    for document in documents.values():
        for path, ref in references(document.entry, document.lines):
            assert ref in documents
            assert path in document.lines or path.rpartition(".")[0] in document.lines
