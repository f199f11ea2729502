"""A remedy offers what was most likely meant, and nothing where nothing is near."""

from __future__ import annotations

import pytest

from ledger.entries.reading import examine
from ledger.quantities.notation import NotationError, parse
from ledger.quantities.units import alike, convert


@pytest.mark.parametrize(
    ("given", "remedy"),
    [
        ("62 furlongz", "Known are"),
        ("9 parsec", "Known are"),
        ("3 zz", "Known are"),
        ("3 rmp", "`rpm`"),
        ("3 milimetre", "`millimetre`"),
        ("3 Kn", "`kN`"),
        ("3 newtn", "`newton`"),
        ("5 mmm", "`mm`"),
        ("4 kgm", "`kg·m`"),
        ("62 +- 3 mm", "`62 ± 3 mm`"),
        ("62 mm +- 3 mm", "`62 ± 3 mm`"),
        ("62 + / - 3 mm", "`62 ± 3 mm`"),
        ("62 -+ 3", "`62 ± 3`"),
        ("-62 +- 0.5 mm", "`-62 ± 0.5 mm`"),
        ("62 mm ± 3 mm", "`62 ± 3 mm`"),
    ],
)
def test_what_is_near_is_offered(given: str, remedy: str) -> None:
    """Slips of the hand are mended; a word like no unit is answered with what there is."""
    with pytest.raises(NotationError) as refused:
        parse(given)
    assert remedy in refused.value.remedy
    if "±" in remedy:
        assert parse(remedy.strip("`")).shape == "normal"


def test_units_of_the_wanted_dimension_are_offered() -> None:
    """A unit that cannot be converted is answered with those that can."""
    assert alike("mm")[:3] == ("mm", "cm", "m")
    assert "N" not in alike("mm")
    assert set(alike("rpm")) >= {"rpm", "1/min", "Hz"}
    with pytest.raises(NotationError, match="in `mm`, or in `cm`, `m`"):
        convert(1.0, "N", "mm")


def remedies(folder: str, *lines: str) -> dict[str, str]:
    """Return remedy by field of an entry with these lines."""
    text = "\n".join(("---", *lines, "---", ""))
    return {fault.field: fault.remedy for fault in examine(text, folder, "x")[1]}


def test_a_bare_value_is_offered_with_a_place_for_its_reason() -> None:
    """A number, a truth or a text in place of an input becomes the mapping that is wanted."""
    said = remedies(
        "calculations",
        "kind: calculation",
        "title: T",
        "calculator: plate",
        "inputs:",
        "  power: 5",
        "  width: 62 ± 3 mm",
        "  closed: true",
        "  note: 'a, b'",
    )
    assert "`{value: 5, reason: …}`" in said["inputs.power"]
    assert "`{value: 62 ± 3 mm, reason: …}`" in said["inputs.width"]
    assert "`{value: true, reason: …}`" in said["inputs.closed"]
    assert '`{value: "a, b", reason: …}`' in said["inputs.note"]


@pytest.mark.parametrize(("given", "offered"), [("40%", "0.4"), ("40 %", "0.4"), ("40", "0.4")])
def test_a_prior_in_percent_is_offered_as_a_share(given: str, offered: str) -> None:
    """Forty per cent is 0.4, however it is written."""
    said = remedies("hypotheses", "kind: hypothesis", "title: T", "question: q", f"prior: {given}", "reason: x")
    assert f"`{offered}`" in said["prior"]
