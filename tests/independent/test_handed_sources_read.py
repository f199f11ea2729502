"""The bibliographies as others read them: bibtexparser with its LaTeX decoder, and citeproc-py, which sets them.

The published schema of CSL's input data comes with no package that could be installed for the tests; what citeproc-py
brings of the standard are its lists of types and variables, and it complains of items that are not in the second.
"""

from __future__ import annotations

import json
import re
import warnings
from dataclasses import replace
from importlib import resources
from typing import Any

import bibtexparser
import pytest
from bibtexparser.middlewares import LatexDecodingMiddleware
from citeproc import Citation, CitationItem, CitationStylesBibliography, CitationStylesStyle, formatter
from citeproc.source.json import CiteProcJSON

from ledger.casebook.values import Casebook
from ledger.entries.models import Source
from ledger.handing import as_bibtex, as_csl
from tests.casebook_entries import FRONTS
from tests.casebooks import casebook, item

MEDIA = {"photograph", "recording", "document", "patent", "rules", "book", "conversation", "specimen"}
STANDARD_TYPES = {"article", "book", "booklet", "conference", "inbook", "incollection", "inproceedings", "manual",
                  "mastersthesis", "misc", "phdthesis", "proceedings", "techreport", "unpublished"}  # fmt: skip


def of(sources: dict[str, dict[str, Any]], invented: bool = False) -> Casebook:
    """Return a casebook of these sources; fields left out are the same for all."""
    usual = {"title": "A view", "medium": "book", "author": "A. Person", "date": "2031", "rights": "by leave",
             "reliability": "B"}  # fmt: skip
    box = {**FRONTS["investigation/box"], "invented": invented}
    made = {f"sources/{name}": item(f"sources/{name}", {**usual, **front}) for name, front in sources.items()}
    entries = {"investigation/box": item("investigation/box", box), **made}
    return replace(
        casebook(), entries=entries, withdrawn={}, results={}, weighings={}, used_by={}, findings=(), refused={}
    )


def parsed(text: str) -> dict[str, dict[str, str]]:
    """Return the fields of every entry by key as bibtexparser reads and decodes them; nothing may fail or be left."""
    library = bibtexparser.parse_string(text, append_middleware=[LatexDecodingMiddleware(keep_math_mode=False)])
    assert library.failed_blocks == []
    assert len(library.blocks) == len(library.entries)
    # The decoder has the modifier letter for \textasciicircum, where TeX prints a circumflex.
    return {
        entry.key: {"type": entry.entry_type, **{key: str(field.value).replace("ˆ", "^") for key, field in
                                                 entry.fields_dict.items()}}
        for entry in library.entries
    }  # fmt: skip


def bibtex(book: Casebook) -> dict[str, dict[str, str]]:
    """Return the BibTeX of a casebook as it is read."""
    return parsed(as_bibtex.files(book)[as_bibtex.NAME].decode())


def csl(book: Casebook) -> list[dict[str, Any]]:
    """Return the CSL items of a casebook."""
    items: list[dict[str, Any]] = json.loads(as_csl.files(book)[as_csl.NAME])
    return items


def bibliography(items: list[dict[str, Any]]) -> list[str]:
    """Return the items as citeproc-py sets them in a Harvard style, whatever it finds odd being an error."""
    with warnings.catch_warnings(action="error"):
        source = CiteProcJSON(items)
        style = CitationStylesStyle("harvard-cite-them-right", validate=False)
        made = CitationStylesBibliography(style, source, formatter.plain)
        for one in items:
            made.register(Citation([CitationItem(one["id"])]))
        return ["".join(line) for line in made.bibliography()]


def test_bibtexparser_reads_every_standing_source() -> None:
    """Key, author, title, medium and date come out as they stand in the ledger."""
    made = casebook()
    found = bibtex(made)
    assert list(found) == [one.name for one in made.of_kind("source")]
    letter = found["club-letter"]
    assert (letter["author"], letter["title"], letter["howpublished"]) == (
        "an owner", "A letter in a club's newsletter that retells the foreman", "Document",
    )  # fmt: skip
    assert (letter["year"], letter["month"]) == ("2031", "aug")
    assert "day" not in letter
    assert letter["url"] == "https://club.example/newsletter/2031-08"
    assert letter["note"] == (
        "Rights: quoted in short. Retells: A retired foreman remembers the assembly line. "
        "Invented with the whole case: it exists nowhere else."
    )
    assert found["handbook"]["note"].startswith("pages 41 to 44. Rights: quoted in short.")
    assert found["foreman"]["day"] == "11"


@pytest.mark.parametrize("medium", sorted(MEDIA))
def test_every_medium_has_a_type_of_each_standard(medium: str) -> None:
    """BibTeX's are those of its manual; CSL's are those of the list that citeproc-py brings."""
    book = of({"one": {"medium": medium}})
    assert bibtex(book)["one"]["type"] in STANDARD_TYPES
    listed = resources.files("citeproc") / "data" / "schema" / "schemas" / "styles" / "csl-types.rnc"
    types = set(re.findall(r'"([a-z_-]+)"', listed.read_text("utf-8")))
    assert {"book", "patent"} <= types
    assert csl(book)[0]["type"] in types
    assert set(as_bibtex.TYPES) == set(as_csl.TYPES) == MEDIA == set(_media())


def _media() -> tuple[str, ...]:
    known: tuple[str, ...] = Source.model_fields["medium"].annotation.__args__  # type: ignore[union-attr]
    return known


@pytest.mark.parametrize(
    ("file", "expected"), [("a.WAV", "song"), ("b.mp4", "motion_picture"), ("c.txt", "document"), (None, "document")]
)
def test_a_recording_is_sound_or_film_where_its_file_tells(file: str | None, expected: str) -> None:
    """Nothing is guessed where there is no file, or one of another ending."""
    front = {"medium": "recording"} | ({"file": file} if file else {})
    assert csl(of({"one": front}))[0]["type"] == expected


HOSTILE = (
    r"\input{/etc/passwd}",
    "100 % of $x_1$ & more #5 ~ ^2",
    "{", "}", "}}\n@misc{other,", "@comment{", "@string{a = b}", "\\", "\\\\'",
    "Doe, J. and others", " and ", "it''s ``so'' -- and --- ,,so''", "<b>|x|</b>", '"quoted" title',
    "ÄÖß é 日本 \U0001f529 e\u0301", "two\nlines\r\n\tand\u2028more\u00a0", "\x07bell", "?`!`", "=1+1",
)  # fmt: skip


@pytest.mark.parametrize("words", HOSTILE)
def test_hostile_words_stay_words(words: str) -> None:
    """What TeX or BibTeX would obey comes back as it stood, on one line; the entry after it is still there."""
    book = of({"one": {"title": words, "author": words, "rights": words, "locator": words}, "two": {}})
    found = bibtex(book)
    assert list(found) == ["one", "two"]
    plain = as_bibtex.printable(words)
    assert "\n" not in plain
    assert found["one"]["title"] == found["one"]["author"] == plain
    assert found["one"]["note"] == as_bibtex.printable(f"{words}. Rights: {words}.")
    items = csl(book)
    assert items[0]["title"] == words
    assert items[0]["author"] == [{"literal": words}]


def test_words_that_are_not_escaped_are_refused() -> None:
    """The reader that is asked here does find what unescaped words do: a brace too many, or a percent sign."""
    text = as_bibtex.files(of({"one": {"title": "100 wide"}, "two": {}}))[as_bibtex.NAME].decode()
    assert parsed(text)["one"]["title"] == "100 wide"
    with pytest.raises(AssertionError):
        parsed(text.replace("100 wide", "100 { wide"))
    assert parsed(text.replace("100 wide", "100 % wide"))["one"]["title"] != "100 % wide"
    assert parsed(text.replace("100 wide", r"\textbf 100 wide"))["one"]["title"] != r"\textbf 100 wide"


def test_citeproc_sets_every_source() -> None:
    """Author, year and title of every item stand in the bibliography; ids are the keys of the BibTeX file."""
    items = csl(casebook())
    lines = bibliography(items)
    assert [one["id"] for one in items] == list(bibtex(casebook()))
    for one, line in zip(items, lines, strict=True):
        assert one["author"][0]["literal"] in line
        assert str(one["issued"]["date-parts"][0][0]) in line
        assert one["title"] in line


@pytest.mark.parametrize(("date", "parts"), [("2031", [2031]), ("2031-05", [2031, 5]), ("2031-05-17", [2031, 5, 17])])
def test_dates_are_as_precise_as_they_are_known(date: str, parts: list[int]) -> None:
    """A year has no month made up, a month no day; both readers find just what is known."""
    book = of({"one": {"date": date}})
    items = csl(book)
    assert items[0]["issued"] == {"date-parts": [parts]}
    (reference,) = CiteProcJSON(items).values()
    assert [reference.issued[part] for part in ("year", "month", "day")[: len(parts)]] == parts
    assert set(reference.issued) - {"circa"} == set(("year", "month", "day")[: len(parts)])
    found = bibtex(book)["one"]
    assert [found[part] for part in ("year", "month", "day") if part in found] == ["2031", "may", "17"][: len(parts)]


@pytest.mark.parametrize(
    "fault",
    [
        {"reliability": "B"},
        {"author": [{"literal": "A", "age": "60"}]},
        {"issued": {"date-parts": [[]]}},
        {"author": [{"literal": "A"}], "autor": "B"},
    ],
)
def test_citeproc_refuses_a_planted_fault(fault: dict[str, Any]) -> None:
    """An item with a variable that CSL has not, or with half a name or date, is not read without complaint."""
    items = csl(of({"one": {}}))
    assert bibliography(items)
    with pytest.raises((UserWarning, TypeError)):
        bibliography([{**items[0], **fault}])


def test_invented_sources_say_so_and_withdrawn_ones_are_not_cited() -> None:
    """Whoever imports the demo's sources sees in each that it exists nowhere; nothing stands on a withdrawn source."""
    book = of({"one": {}, "two": {}}, invented=True)
    assert all("exists nowhere else" in one["note"] for one in csl(book))
    assert all("exists nowhere else" in one["note"] for one in bibtex(book).values())
    assert not any("exists nowhere" in one["note"] for one in csl(of({"one": {}})))
    gone = item("sources/gone", {**FRONTS["sources/handbook"], "withdrawn": "It was a forgery."})
    assert [one["id"] for one in csl(replace(book, withdrawn={"sources/gone": gone}))] == ["one", "two"]


@pytest.mark.parametrize("locator", ["https://a.example/x y", "https://a.example/{x}", "javascript:alert(1)", "page 3"])
def test_only_an_address_of_the_web_is_given_as_one(locator: str) -> None:
    """Whatever else a locator is stands in the note, as words."""
    book = of({"one": {"locator": locator}})
    assert "URL" not in csl(book)[0]
    assert "url" not in bibtex(book)["one"]
    assert csl(book)[0]["note"].startswith(f"{locator}.")
