"""What a person sees when files are wrong: every fault at once, each with its place and its remedy."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import BaseModel

from ledger.entries.models import FOLDERS, MODELS
from ledger.entries.parts import Part
from ledger.entries.reading import SIZE, read_file, read_folder, read_text, unread
from ledger.entries.wording import _PARTS, EXAMPLES, example_of
from ledger.entries.writing import write
from ledger.entries.yamlstrict import load
from ledger.errors import Fault, FaultsFound
from tests import drawn_entries, drawn_words

QUESTION = "---\nkind: question\ntitle: What moves the forks?\n---\n"

TWENTY: dict[str, str | bytes] = {
    "investigation/gearbox.md": (
        "---\n"
        "kind: investigation\n"
        "title: The gearbox\n"
        "by: A. Name\n"
        "subject: an invented gearbox\n"
        "invented: maybe\n"
        "---\n"
    ),
    "sources/bench-left.md": (
        "---\n"
        "kind: source\n"
        "title: Left side\n"
        "medium: photo\n"
        "author: A. Name\n"
        "date: 2031-13-40\n"
        "rights: no\n"
        "reliability: b\n"
        "---\n"
    ),
    "sources/Bench Right.md": (
        "---\n"
        "kind: source\n"
        "title: Right\n"
        "medium: photograph\n"
        "author: A. Name\n"
        "date: 2031\n"
        "rights: mine\n"
        "reliability: B\n"
        "---\n"
    ),
    "evidence/sleeve-groove.md": (
        "---\n"
        "kind: evidence\n"
        "title: A groove\n"
        "source: bench-left\n"
        "credibilty: 2\n"
        "bearing:\n"
        "  drum: 0.9\n"
        "  drum: 0.8\n"
        "  face-cam: {would-sho: 0.3}\n"
        "---\n"
        "Bright on both flanks.\n"
    ),
    "evidence/box.md": (
        "---\n"
        "kind: evidence\n"
        "title: A box\n"
        "source: bench-left\n"
        "credibility: 7\n"
        "marks:\n"
        "  - {label: groove, box: [812, 440]}\n"
        "  - {label: rim}\n"
        "---\n"
    ),
    "measurements/hub.md": (
        "---\nkind: measurement\ntitle: Hub\nsource: sources/\nquantity: 5e-3\ncredibility: 2\nmethod: scaled\n---\n"
    ),
    "questions/forks.md": ("---\nkind: question\ntitle: What moves the forks?\nnone-of-these: 1.5\n"),
    "hypotheses/drum.md": (
        "---\n"
        "kind: hypothesis\n"
        "title: A drum\n"
        "question: forks\n"
        "prior: not so often\n"
        "reason: seen before\n"
        "precedents: &all []\n"
        "---\n"
    ),
    "decisions/size.md": ("---\nkind: lookout\ntitle: Size\ncost: a letter: two days\n---\n"),
    "notes.txt": ("not an entry\n"),
}
# file, line, field, and a word of the remedy, for each fault that TWENTY holds.
EXPECTED = [
    ("decisions/size.md", 4, "cost", "quotes"),
    ("evidence/box.md", 5, "credibility", "Choose"),
    ("evidence/box.md", 7, "marks.1.box", "pixels"),
    ("evidence/box.md", 8, "marks.2", "one place"),
    ("evidence/sleeve-groove.md", 5, "credibilty", "`credibility`"),
    ("evidence/sleeve-groove.md", 8, "bearing.drum", "Keep one"),
    ("evidence/sleeve-groove.md", 9, "bearing.face-cam.would-sho", "`would-show`"),
    ("hypotheses/drum.md", 5, "prior", "The words are"),
    ("hypotheses/drum.md", 7, "precedents", "Take `&all` out"),
    ("investigation/gearbox.md", 4, "by", "[A. Name]"),
    ("investigation/gearbox.md", 6, "invented", "`true` or `false`"),
    ("measurements/hub.md", 4, "source", "folder and file name"),
    ("measurements/hub.md", 5, "quantity", "`0.005`"),
    ("notes.txt", 0, "folder", "Move the file"),
    ("questions/forks.md", 1, "front matter", "after the last field"),
    ("sources/Bench Right.md", 0, "file name", "`bench-right.md`"),
    ("sources/bench-left.md", 4, "medium", "`photograph`"),
    ("sources/bench-left.md", 6, "date", "hyphens"),
    ("sources/bench-left.md", 7, "rights", "`false`"),
    ("sources/bench-left.md", 8, "reliability", "`B`"),
]


def plant(root: Path, files: dict[str, str | bytes]) -> Path:
    """Write files below root/entries and return that folder."""
    for name, content in files.items():
        path = root / "entries" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content.encode() if isinstance(content, str) else content)
    return root / "entries"


def faults_of(text: str, folder: str = "questions", name: str = "forks") -> tuple[Fault, ...]:
    with pytest.raises(FaultsFound) as caught:
        read_text(text, folder, name)
    return caught.value.faults


def test_twenty_faults_in_ten_files_make_one_report_of_twenty(tmp_path: Path) -> None:
    """Each fault is told once, at its line and field, with what was given, expected, and how to mend it."""
    documents, faults = read_folder(plant(tmp_path, TWENTY))
    assert len(TWENTY) == 10
    assert documents == []
    told = [(fault.file.removeprefix("entries/"), fault.line, fault.field) for fault in faults]
    assert told == [expected[:3] for expected in EXPECTED]
    assert len(faults) == 20
    for fault, (*_, remedy) in zip(faults, EXPECTED, strict=True):
        assert fault.given
        assert fault.expected
        assert remedy in fault.remedy
    report = str(FaultsFound(faults))
    assert len(report.splitlines()) == 20


def test_a_faultless_folder_gives_its_documents_in_order(tmp_path: Path) -> None:
    """Dotfiles and the history are passed over; the rest is read, line ends and all."""
    entries = plant(
        tmp_path,
        {
            "questions/forks.md": QUESTION + "Body\r\nkept",
            "questions/.draft.md": "x",
            ".git/config": "x",
            "history.jsonl": "{}\n",
            "questions/arms.md": QUESTION.replace("\n", "\r\n"),
        },
    )
    documents, faults = read_folder(entries)
    assert faults == []
    assert [document.ref for document in documents] == ["questions/arms", "questions/forks"]
    assert documents[1].body == "Body\r\nkept"
    assert documents[1].file == "entries/questions/forks.md"
    assert documents[0].text == QUESTION.replace("\n", "\r\n")
    assert documents[0].line("title") == 3
    assert read_file(entries / "questions" / "forks.md", tmp_path) == documents[1]


@pytest.mark.parametrize(
    ("name", "content", "field", "remedy"),
    [
        ("question/forks.md", QUESTION, "folder", "Rename it to questions/."),
        ("questions/old/forks.md", QUESTION, "folder", "Move its files up into questions/."),
        ("questions/forks.md~", QUESTION, "file name", "ending `.md`"),
        ("questions/forks.MD", QUESTION, "file name", "ending `.md`"),
        ("questions/Größe.md", QUESTION, "file name", "`gr-e.md`"),
        ("hypotheses/others.md", QUESTION, "file name", "Rename the hypothesis"),
        ("questions/forks.md", "\ufeff" + QUESTION, "file", "without a byte order mark"),
        ("questions/forks.md", QUESTION.encode() + b"\xe9", "file", "Save the file as UTF-8"),
        ("questions/forks.md", QUESTION + "x" * SIZE, "file", "Split the entry"),
        ("questions/forks.md", "\n" + QUESTION, "front matter", "Begin the file"),
        ("questions/forks.md", "", "front matter", "Begin the file"),
        ("questions/forks.md", "---\n---\n", "front matter", "`kind` and `title`"),
        ("questions/forks.md", "---\n- a\n---\n", "front matter", "colon"),
        ("sources/forks.md", QUESTION, "kind", "Move the file to questions/"),
    ],
)
def test_a_misplaced_or_unreadable_file_is_a_fault(
    tmp_path: Path, name: str, content: str | bytes, field: str, remedy: str
) -> None:
    """Whatever does not belong under entries is told, with where it should go."""
    _, faults = read_folder(plant(tmp_path, {name: content}))
    assert any(fault.field == field and remedy in fault.remedy for fault in faults), faults


def test_symbolic_links_are_refused(tmp_path: Path) -> None:
    """A link to a file or a folder is never followed."""
    entries = plant(tmp_path, {"questions/forks.md": QUESTION})
    os.symlink(entries / "questions" / "forks.md", entries / "questions" / "linked.md")
    os.symlink(entries / "questions", entries / "sources")
    documents, faults = read_folder(entries)
    assert len(documents) == 1
    assert [fault.given for fault in faults] == ["a symbolic link"] * 2
    with pytest.raises(FaultsFound):
        read_file(entries / "questions" / "linked.md", tmp_path)


def test_a_missing_folder_is_a_fault(tmp_path: Path) -> None:
    """A folder that is not there is told, never a traceback."""
    documents, faults = read_folder(tmp_path / "entries")
    assert documents == []
    assert len(faults) == 1


def test_the_position_of_an_undecodable_byte_is_told(tmp_path: Path) -> None:
    """The line of the first byte that is not UTF-8 stands in the fault."""
    _, faults = read_folder(plant(tmp_path, {"questions/forks.md": b"---\nkind: question\ntitle: \xff\n---\n"}))
    assert [(fault.line, fault.given) for fault in faults] == [(3, "the byte 0xff")]


def test_unread_names_the_entries_whose_files_have_faults(tmp_path: Path) -> None:
    """Files with faults still exist, and rules over the ledger can know it."""
    _, faults = read_folder(plant(tmp_path, TWENTY))
    assert {"sources/bench-left", "questions/forks"} <= unread(faults)
    assert not any(" " in ref or "notes" in ref for ref in unread(faults))


def test_a_year_is_a_date() -> None:
    """A bare year, which YAML reads as a whole number, is a date all the same."""
    text = "---\nkind: precedent\ntitle: Old\nstanding: in-use\nfrom: 1931\nto: 1934-05\ntraits: [one drum]\n---\n"
    assert read_text(text, "precedents", "old").entry.from_ == "1931"  # type: ignore[attr-defined]


def test_one_rival_named_short_and_in_full_is_a_fault() -> None:
    """`drum` and `hypotheses/drum` are one rival, so naming both is naming it twice."""
    text = "---\nkind: evidence\ntitle: T\nsource: a\ncredibility: 2\nbearing: {drum: 0.9, hypotheses/drum: 0.1}\n---\n"
    faults = faults_of(text, "evidence", "t")
    assert [(fault.field, fault.expected) for fault in faults] == [("bearing", "each name once")]


def test_fields_are_known_by_their_keys_only() -> None:
    """A field written as Python would name it is unknown, and its key is suggested."""
    faults = faults_of(QUESTION.replace("title:", "none_of_these: 0.2\ntitle:"))
    assert [(fault.field, fault.remedy) for fault in faults] == [("none_of_these", "Write `none-of-these`.")]


def test_a_prior_without_ground_is_told_with_the_other_faults() -> None:
    """A rule over the whole entry does not wait until its fields are mended."""
    faults = faults_of("---\nkind: hypothesis\ntitle: 5\nquestion: forks\nprior: 0.5\n---\n", "hypotheses", "drum")
    assert [(fault.line, fault.field) for fault in faults] == [(3, "title"), (5, "prior")]
    alone = faults_of("---\nkind: hypothesis\ntitle: A drum\nquestion: forks\nprior: 0.5\n---\n", "hypotheses", "drum")
    assert alone == (faults[1],)


def test_a_union_refuses_once() -> None:
    """A field that may be one of several things has one fault, which names them all."""
    text = "---\nkind: calculation\ntitle: T\ncalculator: c\ninputs:\n  hub: {value: [1], reason: as drawn}\n---\n"
    faults = faults_of(text, "calculations", "t")
    assert [(fault.line, fault.field) for fault in faults] == [(6, "inputs.hub.value")]
    assert faults[0].expected.startswith("text or a whole number or a number")


def test_every_missing_field_has_an_example_that_is_accepted_to_the_letter() -> None:
    """The line a fault tells a person to add is front matter without a fault."""
    parts: list[type[BaseModel]] = [*MODELS.values(), *_PARTS.values()]
    required = {
        field.alias or name for model in parts for name, field in model.model_fields.items() if field.is_required()
    }
    assert required <= set(EXAMPLES)
    for key, line in EXAMPLES.items():
        loaded = load(line + "\n", "x")
        assert not loaded.faults
        assert list(loaded.data) == [key.rpartition(".")[2]]
    for kind, model in MODELS.items():
        keys = [field.alias or name for name, field in model.model_fields.items() if field.is_required()]
        lines = "\n".join(example_of(kind, key) for key in keys if key != "kind") + (
            "\nreason: x" if kind == "hypothesis" else ""
        )
        read_text(f"---\nkind: {kind}\n{lines}\n---\n", FOLDERS[kind], "x")


JARGON = (
    "input should",
    "valid",
    "extra",
    "type=",
    "pydantic",
    "dict",
    "union",
    "instance",
    "validator",
    "model",
    "tuple",
    "none ",
)


def _leaves() -> st.SearchStrategy[object]:
    leaf = st.one_of(
        st.sampled_from(("x", "", "0.2..0.1", "zzz")), st.integers(-5, 3000), st.floats(-2, 2), st.booleans()
    )
    return st.recursive(
        leaf, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(drawn_words.names(), inner, max_size=3)
    )


@given(st.sampled_from(sorted(MODELS)), st.data())
def test_no_fault_speaks_the_library_s_language(kind: str, data: st.DataObject) -> None:
    """Whatever stands in a field, the fault is in plain words, once for each place, and never a crash."""
    front = dict(data.draw(drawn_entries.fronts(kind)))
    for key in data.draw(st.lists(st.sampled_from(sorted(front)), max_size=3, unique=True)):
        if key != "kind":
            front[key] = data.draw(_leaves())
    try:
        read_text(write(front, ""), FOLDERS[kind], "some-name")
    except FaultsFound as found:
        places = [(fault.field, fault.line) for fault in found.faults]
        assert len(places) == len(set(places))
        for fault in found.faults:
            assert fault.field
            assert fault.expected
            assert fault.remedy
            assert not any(word in f"{fault.expected} {fault.remedy}".lower() for word in JARGON), fault


def test_every_part_is_closed() -> None:
    """No model lets an unknown field pass."""
    for model in (*MODELS.values(), *_PARTS.values()):
        assert issubclass(model, Part)
        assert model.model_config["extra"] == "forbid"
