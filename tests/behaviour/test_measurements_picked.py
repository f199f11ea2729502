"""Measurements that keep their picks: faults of what is picked, the command that measures, and what `check` finds."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from ledger.casebook.picking import check_picked
from ledger.entries.filling import with_field
from ledger.entries.reading import examine, read_text
from ledger.errors import Fault, FaultsFound
from ledger.photo.methods import METHODS, REGISTER
from tests.measured_ledgers import CHANGE_GAP, PICTURE, SLEEVE, SOURCES, lay_out

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def case(tmp_path: Path) -> Path:
    """An investigation with a photograph, a recording and one measurement."""
    return lay_out(tmp_path / "case")


def faults_of(text: str, root: Path, source: str = SOURCES["sources/view"]) -> list[Fault]:
    """Return every fault of a measurement's text: its own and what its method has to say."""
    document, faults = examine(text, "measurements", "sleeve")
    beside = read_text(source, "sources", "view")
    if document is not None:
        found = check_picked(REGISTER, {document.ref: document, beside.ref: beside}, {document.ref}, root)
        faults = [*faults, *found]
    return faults


def changed(*pairs: tuple[str, str]) -> str:
    """Return the measurement with words changed."""
    text = SLEEVE
    for old, new in pairs:
        assert old in text
        text = text.replace(old, new)
    return text


def test_a_sound_measurement_has_no_faults(case: Path) -> None:
    """What stands in the tests' ledger is accepted."""
    assert faults_of(SLEEVE, case) == []


@pytest.mark.parametrize(
    ("old", "new", "field", "given", "mend"),
    [
        ("by: scale-bar", "by: scale-bars", "picked.by", "`scale-bars`", "`scale-bar`"),
        ("by: scale-bar", "by: guess", "picked.by", "`guess`", "plane-length"),
        ("part: [[300", "prat: [[300", "picked.points.prat", "`prat`", "`part`"),
        (", part: [[300, 200], [512, 204]]", "", "picked.points", "no `part`", "Mark 2"),
        ("[[300, 200], [512, 204]]", "[[300, 200]]", "picked.points.part", "1", "just so many"),
        ("[512, 204]", "[512, 804]", "picked.points.part.2", "[512, 804]", "upper left corner"),
        ("doubt: 1.5", "doubt: 0", "picked.doubt", "0", "sharp edge"),
        ("{bar: 24", "{brr: 24", "picked.known.brr", "`brr`", "`bar`"),
        ("known: {bar: 24 ± 0.2 mm}", "known: {tilt: 5 °}", "picked.known", "no `bar`", "bar: 24 ± 0.2 mm"),
        ("24 ± 0.2 mm", "24 ± 0.2 kg", "picked.known.bar", "`24 ± 0.2 kg`", "Known length"),
        ("24 ± 0.2 mm", "left", "picked.known.bar", "left", "unit"),
        ("24 ± 0.2 mm", "[24 mm, 25 mm]", "picked.known.bar", "a list", "Known length"),
        ("lens: none", "lens: straight", "picked.lens", "straight", "unknown"),
        ("lens: none", "lens: {fx: 900}", "picked.lens", "no fy, cx, cy", "Copy"),
        ("lens: none", "lens: {bend: 0.1, asid: 0.1}", "picked.lens.asid", "`asid`", "`aside`"),
        ("lens: none", "lens: {bend: 0.1 mm}", "picked.lens.bend", "`0.1 mm`", "number alone"),
        ("lens: none", "size: [1200, 700]", "picked.size", "1200 × 700", "right picture"),
        ("lens: none", "file: none.jpg", "picked.file", "`none.jpg`", "size: [width, height]"),
        ("lens: none", "file: ../none.jpg", "picked.file", "a path that leads out", "photographs/view.jpg"),
        ("lens: none", "file: entries/sources/view.md", "picked.file", "no picture", "JPEG or PNG"),
        ("lens: none", "lense: none", "picked.lense", "the unknown field `lense`", "`lens`"),
        ("17.4 ± 2.0 mm", "17.4 ± 2.0 kg", "quantity", "`17.4 ± 2.0 kg`", "--write"),
        ("  by: scale-bar\n", "", "picked.by", "nothing", "by: scale-bar"),
    ],
)
def test_each_mistake_in_picks_is_told_at_its_place(
    case: Path, old: str, new: str, field: str, given: str, mend: str
) -> None:
    """One mistake gives one fault: where it stands, what was given, and words that mend it."""
    faults = faults_of(changed((old, new)), case)
    assert [fault.field for fault in faults] == [field]
    assert given in faults[0].given
    assert mend in f"{faults[0].expected} {faults[0].remedy}"
    assert faults[0].line > 1


def test_all_mistakes_are_told_at_once(case: Path) -> None:
    """Faults that a model sees and faults that a method sees come together, none of them twice."""
    text = changed(
        ("credibility: 2", "credibility: 9"),
        ("[[812, 440], [1010, 655]]", "[[812, 440, 3], [1010, 655]]"),
        ("[512, 204]", "[512, 904]"),
        ("{bar: 24 ± 0.2 mm}", "{bar: 24 ± mm, tlt: 3 °}"),
        ("doubt: 1.5", "doubt: -1"),
        ("lens: none", "lens: {fx: 3}"),
    )
    found = [fault.field for fault in faults_of(text, case)]
    assert sorted(found) == [
        "credibility",
        "picked.doubt",
        "picked.known.bar",
        "picked.known.tlt",
        "picked.lens",
        "picked.points.bar.1",
        "picked.points.part.2",
    ]


def test_roles_that_stand_in_for_one_another_are_marked_once(case: Path) -> None:
    """A plane has one frame; what is known belongs to the frame that is marked, one value for each point."""
    corners = "corners: [[200, 100], [1000, 140], [980, 700], [220, 650]]"
    part = "part: [[300, 200], [512, 204]]"

    def plane(points: str, known: str) -> list[str]:
        return [
            f"{fault.field}: {fault.given}"
            for fault in faults_of(
                changed(
                    ("by: scale-bar", "by: plane-length"),
                    ("{bar: [[812, 440], [1010, 655]], part: [[300, 200], [512, 204]]}", f"{{{points}}}"),
                    ("{bar: 24 ± 0.2 mm}", f"{{{known}}}"),
                ),
                case,
            )
        ]

    assert plane(f"{corners}, {part}", "width: 24 mm, height: 17 mm") == []
    assert plane(part, "width: 24 mm") == ["picked.points: none of them", "picked.known.width: `width`"]
    both = corners.replace("corners", "circle")
    assert plane(f"{corners}, {both}, {part}", "width: 24 mm, height: 17 mm, diameter: 9 mm, angles: [0 °, 9 °]") == [
        "picked.points: `corners` and `circle`",
        "picked.known.angles: 2",
    ]


def test_a_picture_that_is_not_here_needs_its_size_stated(case: Path) -> None:
    """Without the picture the stated size serves, so that a clone without photographs still accepts the entry."""
    (case / PICTURE).unlink()
    assert [fault.field for fault in faults_of(SLEEVE, case)] == ["source"]
    assert faults_of(changed(("lens: none", "size: [1200, 800]")), case) == []
    without = SOURCES["sources/view"].replace(f"file: {PICTURE}\n", "")
    told = faults_of(SLEEVE, case, without)
    assert [(fault.field, fault.given) for fault in told] == [("picked", "no `file`")]


def test_hostile_pictures_are_faults_of_the_entry(case: Path, tmp_path: Path) -> None:
    """A link that leads out of the folder, and bytes that are no picture, are told at the entry that names them."""
    outside = tmp_path / "outside.jpg"
    outside.write_bytes((case / PICTURE).read_bytes())
    (case / PICTURE).unlink()
    (case / PICTURE).symlink_to(outside)
    assert "leads out of the investigation's folder" in faults_of(SLEEVE, case)[0].given
    (case / PICTURE).unlink()
    (case / PICTURE).write_bytes(b"GIF89a and so on")
    assert "a GIF" in faults_of(SLEEVE, case)[0].given


def test_the_command_measures_and_says_whether_the_entry_agrees(case: Path, run: Run) -> None:
    """It prints the quantity, the interval and the parts; then that the entry says the same."""
    code, out, err = run("measure", "sleeve", "--in", case)
    assert (code, err) == (0, "")
    assert "Width of the sleeve: 17.4 ± 2.0 mm" in out
    assert "the lean of the plane" in out
    assert "The entry agrees: 17.4 ± 2.0 mm." in out
    assert "says that its focal length is 26 mm" in out
    code, out, _ = run("measure", "measurements/sleeve", "--in", case, "--json")
    told = json.loads(out)
    assert told["agrees"] is True
    assert told["quantity"] == "17.4 ± 2.0 mm"
    assert told["low"] < told["estimate"] < told["high"]
    assert set(told["parts"]) >= {"picking", "reference", "scale", "tilt"}


@pytest.mark.parametrize("stated", ["quantity: 20 ± 1 mm\n", ""])
def test_the_command_writes_the_quantity_and_leaves_the_rest(case: Path, run: Run, stated: str) -> None:
    """A wrong quantity is replaced, a missing one added; words, order and comments stay; the file can be posted.

    Until then the command ends with 1 where the entry says something else.
    """
    file = case / "entries/measurements/sleeve.md"
    file.write_text(SLEEVE.replace("quantity: 17.4 ± 2.0 mm\n", stated), "utf-8")
    code, out, _ = run("measure", "sleeve", "--in", case)
    assert code == (1 if stated else 0)
    assert "--write" in out
    assert file.read_text("utf-8") == SLEEVE.replace("quantity: 17.4 ± 2.0 mm\n", stated)
    code, out, _ = run("measure", "sleeve", "--in", case, "--write")
    assert code == 0
    assert "Written into entries/measurements/sleeve.md" in out
    expected = SLEEVE if stated else SLEEVE.replace("quantity: 17.4 ± 2.0 mm\n", "").replace(
        "title: Width of the sleeve\n", "title: Width of the sleeve\nquantity: 17.4 ± 2.0 mm\n"
    )  # fmt: skip
    assert file.read_text("utf-8") == expected
    assert run("post", "--in", case)[0] == 0
    assert run("check", "--in", case)[0] == 0


def test_posting_says_that_picks_give_something_else(case: Path, run: Run) -> None:
    """A quantity that was changed by hand is posted, for it is a person's word, and told at once."""
    file = case / "entries/measurements/sleeve.md"
    file.write_text(SLEEVE.replace("17.4 ± 2.0 mm", "20 ± 1 mm"), "utf-8")
    code, out, _ = run("post", "--in", case)
    assert code == 0
    assert "look at measurements/sleeve says `20 ± 1 mm`, but its picks give `17.4 ± 2.0 mm`" in out
    file.write_text(SLEEVE, "utf-8")
    assert "look at" not in run("post", "--in", case)[1]


def test_the_command_tells_what_is_wrong(case: Path, run: Run) -> None:
    """Faults, a name that leads nowhere and a measurement without picks are told, and nothing is written."""
    file = case / "entries/measurements/sleeve.md"
    text = changed(("by: scale-bar", "by: scale-bra"), ("credibility: 2", "credibility: 9"))
    file.write_text(text, "utf-8")
    code, _, err = run("measure", "sleeve", "--in", case, "--write")
    assert code == 1
    assert "credibility" in err
    assert file.read_text("utf-8") == text
    code, _, err = run("measure", "sleve", "--in", case)
    assert code == 1
    assert "Nearest: sleeve" in err
    code, _, err = run("measure", "evidence/sleeve", "--in", case)
    assert code == 1
    assert "`evidence/sleeve`, one of evidence/" in err
    code, _, err = run("measure", "hub-width", "--in", case)
    assert code == 1
    assert "without `picked`" in err


def test_check_finds_a_quantity_that_its_picks_do_not_give(case: Path, run: Run) -> None:
    """A planted quantity is wrong, and how to mend it is said; what `--write` wrote is not."""
    file = case / "entries/measurements/sleeve.md"
    file.write_text(changed(("17.4 ± 2.0 mm", "17.4 ± 0.9 mm")), "utf-8")
    assert run("post", "--in", case)[0] == 0
    code, out, _ = run("check", "--in", case)
    assert code == 1
    assert "says `17.4 ± 0.9 mm`, but its picks give `17.4 ± 2.0 mm`" in out
    assert "`witness measure measurements/sleeve --write`" in out
    assert run("measure", "sleeve", "--write", "--in", case)[0] == 0
    assert run("post", "--in", case)[0] == 0
    assert run("check", "--in", case)[0] == 0


def test_check_only_looks_where_the_picture_is_away(case: Path, run: Run) -> None:
    """A picture that is not here is nothing wrong: the ledger stays sound, and a person is told."""
    assert run("post", "--in", case)[0] == 0
    (case / PICTURE).unlink()
    code, out, _ = run("check", "--in", case)
    assert code == 0
    assert "look measurements/sleeve cannot be measured again: photographs/view.jpg is not here" in out


def test_a_gap_is_measured_from_a_recording(tmp_path: Path, run: Run) -> None:
    """A change of known truth, 60 ms long, is met within the interval, and written in milliseconds."""
    case = lay_out(tmp_path / "case", {"measurements/gap": CHANGE_GAP})
    assert run("measure", "gap", "--in", case, "--write")[0] == 0
    told = json.loads(run("measure", "gap", "--in", case, "--json")[1])
    assert told["agrees"] is True
    assert told["unit"] == "ms"
    assert told["low"] <= 60 <= told["high"]
    assert run("post", "--in", case)[0] == 0
    assert run("check", "--in", case)[0] == 0


def test_a_field_over_several_lines_is_written_anew(case: Path) -> None:
    """Where a field ran over lines the front matter is written anew and means the same."""
    text = SLEEVE.replace("quantity: 17.4 ± 2.0 mm", "quantity: >-\n  17.4 ± 2.0 mm")
    new = with_field(text, "measurements", "sleeve", "quantity", "30: 0.2, 31: 0.8")
    document = read_text(new, "measurements", "sleeve")
    before = read_text(SLEEVE, "measurements", "sleeve")
    assert document.front == {**before.front, "quantity": "30: 0.2, 31: 0.8"}
    assert document.body == before.body
    with pytest.raises(FaultsFound):
        with_field("no front matter", "measurements", "sleeve", "quantity", "3 mm")


@pytest.mark.parametrize("method", METHODS, ids=lambda method: method.name)
def test_every_declaration_can_be_acted_upon(method: object) -> None:
    """Names fit front matter, knowns belong to roles there are, defaults can be read, nothing is left unsaid."""
    from ledger.entries.fields import NAME
    from ledger.photo.declaring import Method
    from ledger.photo.held import read_known
    from ledger.quantities.notation import parse

    assert isinstance(method, Method)
    roles = {role.name for role in method.roles}
    for one in (*method.roles, *method.knowns):
        assert NAME.match(one.name)
        assert one.name not in ("y", "n", "on", "off", "yes", "no", "null")
        assert one.label
    assert len({known.name for known in method.knowns}) == len(method.knowns)
    for known in method.knowns:
        assert known.of in roles | {""}
        assert bool(known.each) <= bool(known.of)
        if known.default is not None:
            assert known.default in known.words or parse(known.default).to(known.unit or "")
    assert method.formula
    assert method.assumptions
    assert method.cautions
    assert method.sources
    marked = {role.name: [[0.0, 0.0]] * max(role.least, 1) for role in method.roles}
    assert set(read_known(method, marked, {})) == {one.name for one in method.knowns if one.default is not None}
