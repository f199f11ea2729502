"""The impact of groups against ledgers in which all of a group really is withdrawn and posted."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from ledger.casebook.values import Casebook
from ledger.tracing.staleness import stale
from ledger.tracing.withdrawal import Test, Withdrawal, persons
from tests import traced

GROUPS = {
    "everything from one person": ("sources/first", "sources/other"),
    "a source and what retells it": ("sources/first", "sources/second", "sources/third"),
    "a retelling": ("sources/second",),
    "notes of two questions": ("evidence/groove", "evidence/hiss"),
    "a measurement that a calculation takes": ("measurements/width",),
    "measurements": ("measurements/width", "measurements/height"),
    "a note and a calculation": ("evidence/boss", "calculations/c-alone"),
    "a source and a note of another": ("sources/other", "evidence/told"),
    "one note": ("evidence/bolt",),
    "a source that carries nothing": ("sources/idle",),
    "what a prediction is held against": ("measurements/gap",),
}
# What a really withdrawn ledger says under these heads is what the test foretells.
DIRECT = {"withdrawn", "refused", "leader", "unweighed", "confidence", "decision"}
HOLDING = ("evidence", "measurements")


@pytest.fixture(scope="module")
def root(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The ledger, posted."""
    folder = tmp_path_factory.mktemp("traced") / "box"
    traced.lay_out(folder)
    return folder


@pytest.fixture(scope="module")
def casebook(root: Path) -> Casebook:
    """Its casebook."""
    return traced.opened(root)


@pytest.fixture(scope="module")
def test(casebook: Casebook) -> Test:
    """What works out impacts in it."""
    return Test(casebook)


def shares(casebook: Casebook) -> dict[str, dict[str, float]]:
    """Return every confidence by question and rival."""
    return {
        question: {one.rival: one.confidence for one in weighing.standings}
        for question, weighing in casebook.weighings.items()
    }


def foretold(now: dict[str, dict[str, float]], one: Withdrawal) -> dict[str, dict[str, float | None]]:
    """Return every confidence as the test says it would be."""
    made: dict[str, dict[str, float | None]] = {question: {**some} for question, some in now.items()}
    for move in one.moves:
        assert move.before == now[move.question][move.rival]
        made[move.question][move.rival] = move.after
    return made


def agrees(casebook: Casebook, one: Withdrawal, really: Casebook) -> bool:
    """Whether a test says of confidences and leaders what the ledger without its things says."""
    then = shares(really)
    for question, some in foretold(shares(casebook), one).items():
        if question not in then:
            if any(share is not None for share in some.values()):
                return False
        elif some != pytest.approx(then[question], abs=1e-9):
            return False
    led = {led.question: led.after for led in one.leaders}
    for question, weighing in casebook.weighings.items():
        after = really.weighings[question].leader if question in really.weighings else None
        if (question in led) != (after != weighing.leader) or led.get(question, after) != after:
            return False
    return True


@pytest.mark.parametrize("group", GROUPS)
def test_a_group_withdrawn_is_what_the_ledger_without_it_says(
    group: str, root: Path, casebook: Casebook, test: Test, tmp_path: Path
) -> None:
    """Every confidence and leader, whether it moves or not, equals that of a ledger that lost the group for good."""
    less = traced.copy(root, tmp_path / "less")
    traced.withdraw(less, GROUPS[group])
    assert agrees(casebook, test.without(GROUPS[group]), traced.opened(less))


@pytest.mark.parametrize("group", GROUPS)
def test_decisions_that_would_lose_ground_are_those_that_then_do(
    group: str, root: Path, test: Test, tmp_path: Path
) -> None:
    """A decision is foretold to fall just when the ledger that really lost the group flags it for what it names.

    A note or a measurement that it names counts as lost with its source.
    """
    less = traced.copy(root, tmp_path / "less")
    traced.withdraw(less, GROUPS[group])
    really = {}
    for ref, one in stale(traced.opened(less)).items():
        named = {str(ground) for ground in traced.fronts()[ref]["grounds"]}
        lost = [why for why in one.reasons if why.kind == "withdrawn" and why.through in named]
        from_it = [why for why in lost if why.about.startswith("sources/") and why.through.split("/")[0] in HOLDING]
        really[ref] = [why for why in one.reasons if why.kind in DIRECT and not why.through] + from_it
    fallen = {ref for ref, whys in really.items() if any(why.kind != "decision" for why in whys)}
    # One that stands on a decision falls with it, but not with one that is flagged for what lies deeper alone.
    for _ in really:
        fallen |= {
            ref for ref, whys in really.items() for why in whys if why.kind == "decision" and why.about in fallen
        }
    assert set(test.without(GROUPS[group]).decisions) == fallen


def test_the_check_above_can_fail(root: Path, casebook: Casebook, test: Test, tmp_path: Path) -> None:
    """A test of too few things, or one that keeps a leader, does not agree with the ledger without them."""
    group = GROUPS["everything from one person"]
    less = traced.copy(root, tmp_path / "less")
    traced.withdraw(less, group)
    really, right = traced.opened(less), test.without(group)
    assert agrees(casebook, right, really)
    assert right.leaders
    assert not agrees(casebook, test.without(group[:1]), really)
    assert not agrees(casebook, replace(right, leaders=()), really)
    assert not agrees(casebook, replace(right, moves=right.moves[1:]), really)


def test_a_person_is_known_by_name(casebook: Casebook) -> None:
    """Names that differ in case and spaces alone are one; those with one source are no group in the sweep."""
    assert persons(casebook) == {
        "A. Draughtsman": ("sources/depth", "sources/idle", "sources/second"),
        "B. Fitter": ("sources/first", "sources/other"),
        "C. Lookeron": ("sources/third",),
    }
    assert {one.person: one.refs for one in Test(casebook).by_person()} == {
        name: refs for name, refs in persons(casebook).items() if len(refs) > 1
    }


def test_the_sweep_tests_every_source_and_ranks(casebook: Casebook, test: Test) -> None:
    """Each source once: most changed leaders first, then most decisions that fall, then the farthest move."""
    found = test.sweep()
    assert sorted(one.refs for one in found) == sorted((item.ref,) for item in casebook.of_kind("source"))
    assert [test.without(one.refs) for one in found] == list(found)
    keys = [
        (-len(one.leaders), -len(one.decisions), -round(max((abs(move.by) for move in one.moves), default=0.0), 12))
        for one in found
    ]
    assert keys == sorted(keys)
    assert any(one.leaders for one in found)
    assert any(not one.moves for one in found)


def test_a_known_answer_has_no_leader_to_lose(root: Path, tmp_path: Path) -> None:
    """A resolved question moves no more; what its answer was learnt from is named instead."""
    folder = traced.copy(root, tmp_path / "resolved")
    front = traced.fronts()["questions/lid"]
    answer = {"answer": "screws", "date": "2031-05-20", "reason": "It was opened.", "source": "other"}
    traced.revise(folder, {"questions/lid": {**front, "resolved": answer}})
    one = Test(traced.opened(folder)).without(["sources/other"])
    assert one.answers == ("questions/lid",)
    assert not any(move.question == "questions/lid" for move in one.moves)
    assert [why.kind for why in one.decisions["decisions/e-lid"]] == ["source"]
