"""Links in the text of entries lead to entries, and a fault or a warning tells where they do not."""

from __future__ import annotations

from pathlib import Path

import pytest

from ledger.entries.bodies import links, named
from ledger.errors import FaultsFound
from ledger.store.engine import Store, open_store
from ledger.store.posting import post
from tests.ledger_files import SMALL, put

AT = "2031-05-17T09:00:00Z"
NOTE = SMALL["evidence/sleeve-groove"]
LINES = NOTE.count("\n")


@pytest.fixture
def entries(tmp_path: Path) -> Path:
    return put(tmp_path / "entries", SMALL)


@pytest.fixture
def store(tmp_path: Path, entries: Path) -> Store:
    store = open_store(tmp_path / "witness.sqlite")
    post(store, entries, AT)
    return store


@pytest.mark.parametrize(
    ("target", "remedy"),
    [
        ("evidence/nope", "Add evidence/nope.md, or unlink it."),
        ("evidence/his", "Write `evidence/hiss` if you mean that."),
        ("evidence/his.md", "without `.md`"),
        ("evidence/his#top", "without `.md` or `#`"),
        ("../evidence/hiss.md", "Write `evidence/hiss`."),
        ("/evidence/hiss", "Write `evidence/hiss`."),
        ("entries/evidence/hiss.md", "Write `evidence/hiss`."),
    ],
)
def test_a_link_astray_is_a_fault_of_the_changed_entry(store: Store, entries: Path, target: str, remedy: str) -> None:
    """It is told with its line in the file, and with the name that was meant."""
    put(entries, {"evidence/sleeve-groove": f"{NOTE}\nSee [the\nhiss]({target}) too.\n"})
    with pytest.raises(FaultsFound) as found:
        post(store, entries, AT)
    (fault,) = found.value.faults
    assert (fault.file, fault.line, fault.field) == ("entries/evidence/sleeve-groove.md", LINES + 3, "text")
    assert fault.given == f"a link to `{target}`"
    assert remedy in fault.remedy


@pytest.mark.parametrize("target", ["evidence/hiss.md", "evidence/hiss#top", "evidence/hiss.md#top"])
def test_a_link_with_more_than_the_name_is_a_warning(store: Store, entries: Path, target: str) -> None:
    """It leads there, though not to the part it names; the plain name is offered."""
    put(entries, {"evidence/sleeve-groove": f"{NOTE}[hiss]({target})\n"})
    (warning,) = post(store, entries, AT).warnings
    assert "Write `evidence/hiss`" in warning.remedy


@pytest.mark.parametrize(
    "text",
    [
        "[a](evidence/hiss)",
        "[a](https://example.org/evidence/nope)",
        "[a](pictures/evidence/nope)",
        "[a](evidence/nope.jpg)",
        "[a](mailto:evidence/nope)",
        "![a](evidence/nope)",
        "\\[a](evidence/nope)",
        "`[a](evidence/nope)`",
        "`` ` [a](evidence/nope) ``",
        "```\n[a](evidence/nope)\n```",
        "~~~ text\n[a](evidence/nope)\n```\n~~~~\n",
        "<!-- [a](evidence/nope) -->",
        "[a] (evidence/nope)",
    ],
)
def test_what_names_no_entry_is_left_alone(store: Store, entries: Path, text: str) -> None:
    """Web addresses, files of the site, pictures, code and comments are not links to entries."""
    put(entries, {"evidence/sleeve-groove": f"{NOTE}\n{text}\n"})
    assert post(store, entries, AT).warnings == ()


@pytest.mark.parametrize(
    "text",
    [
        "[a [b] c](evidence/nope)",
        '[a](evidence/nope "words")',
        "[a](<evidence/nope>)",
        "[a][b]\n\n[b]: evidence/nope\n",
        '<a title="x" href="evidence/nope">a</a>',
        "`` ` `` [a](evidence/nope) `x`",
        "```\ncode\n```\n[a](evidence/nope)",
        "<!-- x --> [a](evidence/nope) <!--",
        "a ` alone [a](evidence/nope)",
    ],
)
def test_every_form_of_a_link_is_found(text: str) -> None:
    """Titles, brackets, definitions, HTML, and links after code or comments."""
    assert [named(target) for _, target in links(text)] == ["evidence/nope"]
    ((place, target),) = links(text)
    assert text[place : place + len(target)] == target


def test_withdrawn_and_renamed_entries_are_warnings(store: Store, entries: Path) -> None:
    """In changed and unchanged entries alike, with the reason or the new name."""
    text = f"{NOTE}[hiss](evidence/hiss) and [letter](sources/letter)\n"
    put(entries, {"evidence/sleeve-groove": text})
    assert post(store, entries, AT).warnings == ()
    hiss = SMALL["evidence/hiss"].replace("title:", "withdrawn: a kettle\ntitle:").replace("letter", "note")
    letter = SMALL["sources/letter"].replace("title:", "formerly: letter\ntitle:")
    put(entries, {"evidence/hiss": hiss, "sources/note": letter})
    (entries / "sources/letter.md").unlink()
    withdrawn, renamed = post(store, entries, AT).warnings
    assert "a kettle" in withdrawn.given
    assert renamed.remedy == "Write `sources/note`."
    assert {warning.line for warning in (withdrawn, renamed)} == {LINES + 1}
    put(entries, {"sources/note": SMALL["sources/letter"]})
    put(entries, {"evidence/sleeve-groove": text + "More.\n"})
    assert "Write `sources/note`." in [warning.remedy for warning in post(store, entries, AT).warnings]


def test_an_old_link_astray_holds_up_nobody(store: Store, entries: Path) -> None:
    """What was posted before the rule, or whose target was erased since, is a warning until it is changed."""
    from ledger.store.erasing import erase

    put(entries, {"evidence/sleeve-groove": f"{NOTE}[reader](replies/reader-one)\n"})
    post(store, entries, AT)
    erase(store, "replies/reader-one", AT)
    (entries / "replies/reader-one.md").unlink()
    put(entries, {"questions/forks": SMALL["questions/forks"] + "More.\n"})
    (warning,) = post(store, entries, AT).warnings
    assert warning.given == "a link to `replies/reader-one`"


def test_odd_text_takes_no_time() -> None:
    """A megabyte of opening brackets, backticks or tags is read through all the same."""
    for piece in ("[", "`", "[a](", "<a ", "<!--", "```\n", "](", "[a"):
        assert list(links(piece * (300_000 // len(piece)) + "](x")) is not None
