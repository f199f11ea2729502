"""One run tells everything: faults of shape do not hide those that only the ledger or a calculator can see."""

from __future__ import annotations

from collections.abc import Mapping, Set
from pathlib import Path

import pytest

from ledger.calculators.declared import check_calculations
from ledger.entries.reading import Document, examine, read_text
from ledger.errors import Fault, FaultsFound
from ledger.store.engine import Store, open_store
from ledger.store.posting import post
from tests.ledger_files import SMALL, put
from tests.toys import TOYS

ROW = "inputs.panels.rows.1."
AT = "2031-05-17T09:00:00Z"


def rules(documents: Mapping[str, Document], changed: Set[str]) -> list[Fault]:
    return check_calculations(TOYS, documents, changed)


@pytest.fixture
def entries(tmp_path: Path) -> Path:
    return put(tmp_path / "entries", SMALL)


@pytest.fixture
def store(tmp_path: Path, entries: Path) -> Store:
    store = open_store(tmp_path / "witness.sqlite")
    post(store, entries, AT)
    return store


def told(store: Store, entries: Path, files: Mapping[str, str]) -> list[tuple[str, int, str]]:
    """Post with these files; return name, line and field of every fault."""
    with pytest.raises(FaultsFound) as found:
        post(store, put(entries, files), AT, rules)
    return [
        (fault.file.rpartition("/")[2].removesuffix(".md"), fault.line, fault.field) for fault in found.value.faults
    ]


def entry(kind: str, *lines: str, body: str = "") -> str:
    return "\n".join(("---", f"kind: {kind}", "title: T", *lines, "---", body))


def test_a_fault_of_shape_hides_no_fault_of_the_ledger(store: Store, entries: Path) -> None:
    """A note with a wrong grade, an unknown source and a rival left out has three faults in one run."""
    note = entry("evidence", "source: bench-lefd", "credibility: 9", "bearing: {drum: 0.9}")
    assert told(store, entries, {"evidence/note": note}) == [
        ("note", 4, "source"),
        ("note", 5, "credibility"),
        ("note", 6, "bearing"),
    ]


def test_what_was_left_out_is_blamed_on_nothing_else(store: Store, entries: Path) -> None:
    """A bearing that cannot be read counts as stated, a prior as unknown, a file with faults as being there."""
    files = {
        "evidence/note": entry("evidence", "source: bench-left", "credibility: 2", "bearing: {drum: 7, face-cam: 0.1}"),
        "hypotheses/drum": entry("hypothesis", "question: forks", "prior: lots", "reason: x"),
        "questions/arms": entry("question", "none-of-thes: 0.5"),
        "hypotheses/lever": entry("hypothesis", "question: arms", "prior: 0.5", "reason: x"),
        "lookouts/look": entry(
            "lookout", "question: forks", "outcomes:", "  seen: {drum: 0.9, face-cam: 0.1}",
            "  unseen: {drum: 0.1, face-cam: x}",
        ),
    }  # fmt: skip
    assert told(store, entries, files) == [
        ("note", 6, "bearing.drum"),
        ("drum", 5, "prior"),
        ("look", 7, "outcomes.unseen.face-cam"),
        ("arms", 4, "none-of-thes"),
    ]


def test_a_withdrawal_that_cannot_be_read_settles_nothing(store: Store, entries: Path) -> None:
    """Whether such an entry stands is not known, so nothing more is said of it, nor of what names it."""
    assert told(store, entries, {"evidence/note": entry("evidence", "withdrawn: 5", "source: nowhere")}) == [
        ("note", 1, "credibility"),
        ("note", 4, "withdrawn"),
    ]


def test_faults_of_a_calculator_are_told_beside_faults_of_shape(store: Store, entries: Path) -> None:
    """Unknown inputs, missing ones, wrong units and misspelt outputs show although other fields are broken."""
    calculation = entry(
        "calculation",
        "calculator: plate",
        "hypotheses: [drum, B B, drumm]",
        "inputs:",
        "  width: measurements/hub-widt",
        "  hight: {value: 3 mm, reason: x}",
        "  thickness: 5",
        "  density: {value: 3 mm, reason: x}",
        "criteria:",
        "  - {output: edge, at-most: 5 furlongz}",
        "  - {output: aera, at-most: 5 mm}",
        "  - {output: edge, at-most: 5 N}",
        "doubt: 3",
    )
    assert told(store, entries, {"calculations/sheet": calculation}) == [
        ("sheet", 5, "hypotheses.2"),
        ("sheet", 5, "hypotheses.3"),
        ("sheet", 7, "inputs.width.measurement"),
        ("sheet", 8, "inputs.hight"),
        ("sheet", 9, "inputs.thickness"),
        ("sheet", 10, "inputs.density.value"),
        ("sheet", 12, "criteria.1.at-most"),
        ("sheet", 13, "criteria.2.at-most"),
        ("sheet", 13, "criteria.2.output"),
        ("sheet", 14, "criteria.3.at-most"),
        ("sheet", 15, "doubt"),
    ]


def test_items_are_counted_as_they_stand_in_the_file(store: Store, entries: Path) -> None:
    """When an item of a list is broken, those after it keep their numbers."""
    decision = entry("decision", "choice: x", "taken: 2031", "grounds:", "- B B", "- evidence/hiss", "- evidence/gone")
    assert told(store, entries, {"decisions/size": decision}) == [("size", 7, "grounds.1"), ("size", 9, "grounds.3")]


def test_a_circle_hides_nothing(store: Store, entries: Path) -> None:
    """Two calculations that stand on each other still have their units and options judged."""
    loop = ("calculator: fence", "inputs:", "  posts: {value: 3, reason: x}")
    files = {
        "calculations/b": entry(
            "calculation", *loop, "  gap: calculations/c#length", "  style: {value: plane, reason: x}"
        ),
        "calculations/c": entry(
            "calculation", *loop, "  gap: calculations/b#length", "  closed: {value: 3, reason: x}"
        ),
    }
    assert told(store, entries, files) == [
        ("b", 7, "inputs.gap.calculation"),
        ("b", 8, "inputs.style.value"),
        ("c", 8, "inputs.closed.value"),
    ]


@pytest.mark.parametrize(
    ("given", "field", "remedy"),
    [
        ("posts: {value: 3.5, reason: x}", "inputs.posts.value", "`posts` is posts"),
        ("posts: {value: 101, reason: x}", "inputs.posts.value", "within that"),
        ("posts: {value: 3 ± 1, reason: x}", "inputs.posts.value", "`30: 0.2, 31: 0.8`"),
        ('posts: {value: "1: 0.5, 3: 0.5", reason: x}', "inputs.posts.value", "within that"),
        ("posts: {chosen: 3.2..3.8, reason: x}", "inputs.posts.chosen", "Widen"),
        ("posts: {value: true, reason: x}", "inputs.posts.value", "`posts` is posts"),
        ("gap: {value: 11 m, reason: x}", "inputs.gap.value", "within that"),
        ("gap: {value: 9..11 m, reason: x}", "inputs.gap.value", "within that"),
        ("gap: {value: -2 ± 1 m, reason: x}", "inputs.gap.value", "within that"),
        ("gap: {value: 2 N, reason: x}", "inputs.gap.value", "Give it in m, or in mm, cm"),
        ("gap: {value: 2, reason: x}", "inputs.gap.value", "Give it in m, or in mm, cm"),
        ("gap: {value: 2 furlongz, reason: x}", "inputs.gap.value", "Give it in m, or in mm, cm"),
        ("gap: {value: wide, reason: x}", "inputs.gap.value", "Begin with the number"),
        ("gap: {chosen: 2 ± 1 m, reason: x}", "inputs.gap.chosen", "`20..40 mm`"),
        ("gap: {chosen: 2..12 m, reason: x}", "inputs.gap.chosen", "within that"),
        ("closed: {value: sometimes, reason: x}", "inputs.closed.value", "say which"),
        ("closed: measurements/hub", "inputs.closed", "no number"),
        ("style: {value: fancey, reason: x}", "inputs.style.value", "`fancy`"),
        ("style: {chosen: 1..2, reason: x}", "inputs.style.chosen", "say which"),
        ("panels: {rows: [{name: a, length: 2 N}], reason: x}", ROW + "length", "Give it in m"),
        ("panels: {rows: [{length: 101 m}], reason: x}", ROW + "length", "within that"),
        ("panels: {rows: [{length: measurements/mass}], reason: x}", ROW + "length", "Give it in m"),
        ("panels: {rows: [{name: measurements/hub, length: 1 m}], reason: x}", ROW + "name", "no number"),
        ("panels: {rows: [{length: calculations/sheet#area}], reason: x}", ROW + "length", "Give it in m"),
        ("panels: {rows: [{lenght: 2 m}], reason: x}", ROW + "lenght", "`length`"),
        ("panels: {rows: [], reason: x}", "inputs.panels", "Add what is missing"),
    ],
)  # fmt: skip
def test_what_is_stated_is_judged_before_posting(given: str, field: str, remedy: str) -> None:
    """Units, options, truths, whole numbers and permitted ranges need no draws, so they are faults, not refusals."""
    documents = fences(given)
    (fault,) = check_calculations(TOYS, documents, {"calculations/fence"})
    assert (fault.field, remedy in fault.remedy) == (field, True), fault
    assert fault.line >= 5


def fences(given: str, *criteria: str) -> dict[str, Document]:
    """Return a fence with one input as given, the others without fault, and what it may stand on."""
    right = {"posts": "{value: 3, reason: x}", "gap": "{value: 2 m, reason: x}"} | dict([given.split(": ", 1)])
    lines = [f"  {name}: {one}" for name, one in right.items()]
    where = ("source: a", "credibility: 2", "method: x")
    plate = ("calculator: plate", "inputs:", "  width: measurements/hub", "  height: measurements/hub")
    texts = {
        "calculations/fence": entry(
            "calculation", "calculator: fence", "inputs:", *lines, *(("criteria:", *criteria) if criteria else ())
        ),
        "calculations/sheet": entry("calculation", *plate),
        "measurements/hub": entry("measurement", "quantity: 62 ± 3 mm", *where),
        "measurements/mass": entry("measurement", "quantity: 62 ± 3 kg", *where),
    }
    return {ref: read_text(text, *ref.split("/")) for ref, text in texts.items()}


@pytest.mark.parametrize(
    ("limit", "remedy"),
    [
        ("deep", "Begin with the number"),
        ("3 kg", "`length` is one"),
        ("measurements/mass", "Give it in m"),
        ("measurments/hub", "Name the number"),
        ("calculations/sheet", "Name the number"),
        ("calculations/sheet#aera", "`area`"),
        ("calculations/sheet#area", "Give it in m"),
        ("{}", "Name one entry"),
        ("{calculation: sheet}", "Name both"),
        ("{measurement: hub, calculation: sheet, output: edge}", "Name one entry"),
    ],
)
def test_a_limit_is_judged_before_posting(limit: str, remedy: str) -> None:
    """A limit is a quantity of the output's dimension, or taken whole from one entry that gives such a number."""
    try:
        documents = fences("gap: {value: 2 m, reason: x}", f"- {{output: length, at-most: {limit}}}")
    except FaultsFound as found:
        (fault,) = found.faults
    else:
        (fault,) = check_calculations(TOYS, documents, {"calculations/fence"})
    assert (fault.field, fault.line, remedy in fault.remedy) == ("criteria.1.at-most", 9, True), fault


@pytest.mark.parametrize("limit", ["3 m", "200..300 mm", "measurements/hub", "calculations/sheet#edge"])
def test_what_may_be_a_limit_is_no_fault(limit: str) -> None:
    """Plain quantities, measurements and outputs of the dimension pass."""
    documents = fences("gap: {value: 2 m, reason: x}", f"- {{output: length, at-most: {limit}}}")
    assert check_calculations(TOYS, documents, {"calculations/fence"}) == []


@pytest.mark.parametrize(
    "given",
    [
        "gap: {value: 0 m, reason: x}",
        "gap: {value: 0..10000 mm, reason: x}",
        "gap: {chosen: 1..2 m, reason: x}",
        "gap: measurements/hub",
        "gap: calculations/sheet#edge",
        'posts: {value: "2: 0.5, 100: 0.5", reason: x}',
        "posts: {chosen: 2..5, reason: x}",
        "closed: {value: true, reason: x}",
        "style: {value: fancy, reason: x}",
        "panels: {rows: [{length: measurements/hub}, {name: a, length: calculations/sheet#edge}], reason: x}",
    ],
)
def test_what_may_be_stated_is_no_fault(given: str) -> None:
    """Ends of the permitted range, other units of the dimension and every ground pass."""
    assert check_calculations(TOYS, fences(given), {"calculations/fence"}) == []


def test_rules_of_a_part_are_told_with_its_other_faults() -> None:
    """One place, one ground, one limit, the ground of a prior: none waits until the part's fields are mended."""
    text = entry(
        "calculation",
        "calculator: plate",
        "inputs:",
        "  width: {value: [1], chosen: 1..2 mm}",
        "  height: {valeu: 5}",
        "criteria:",
        "- {output: 5, at-most: 1 mm, holds: true}",
    )
    fields = sorted((fault.line, fault.field) for fault in examine(text, "calculations", "x")[1])
    assert fields == [
        (6, "inputs.width"),
        (6, "inputs.width.value"),
        (7, "inputs.height"),
        (7, "inputs.height.valeu"),
        (9, "criteria.1"),
        (9, "criteria.1.output"),
    ]
    mark = entry("evidence", "source: a", "credibility: 2", "marks:", "- {label: 5, box: [1, 2, 3, 4], page: 3}")
    assert [fault.field for fault in examine(mark, "evidence", "x")[1]] == ["marks.1.label", "marks.1"]


def test_a_stray_file_hides_nothing(store: Store, entries: Path) -> None:
    """What is no entry file is told beside the faults of those that are."""
    (entries / "notes.txt").write_text("x")
    note = entry("evidence", "source: bench-lefd", "credibility: 2")
    assert told(store, entries, {"evidence/note": note}) == [("note", 4, "source"), ("notes.txt", 0, "folder")]


def test_what_is_left_of_a_broken_file_is_never_posted(store: Store, entries: Path) -> None:
    """A document with faults says so itself, and raises when it is read for keeps."""
    text = entry("question", "none-of-these: 7")
    document, faults = examine(text, "questions", "x")
    assert document is not None
    assert document.spoiled == {"none-of-these"}
    assert len(faults) == 1
    with pytest.raises(FaultsFound):
        read_text(text, "questions", "x")
