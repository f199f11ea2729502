"""What losing a source, note, measurement or calculation would do, against ledgers in which it really is withdrawn."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from ledger.casebook import lessening, recomputing
from ledger.casebook.fragility import beliefs, grade_effects, how_wrong, losses, smallest_sets
from ledger.casebook.lessening import Lessening
from ledger.casebook.opening import STORE
from ledger.casebook.verifying import problems
from ledger.errors import FaultsFound
from ledger.store.derived import cached_results, put_results
from ledger.store.engine import open_store
from tests.fragile import COUNT, fronts, lay_out, opened, withdrawn
from tests.toys import TOYS

KINDS = ("source", "evidence", "measurement", "calculation")
NOT_ALONE = "calculations/d-gap"  # the record refuses its withdrawal: a rival would predict nothing for a measurement
THINGS = [ref for ref, front in fronts().items() if front["kind"] in KINDS and ref != NOT_ALONE]


@pytest.fixture(scope="module")
def root(tmp_path_factory):
    return lay_out(tmp_path_factory.mktemp("fragile") / "box")


@pytest.fixture(scope="module")
def casebook(root):
    return opened(root)


@pytest.fixture(scope="module")
def lost(casebook):
    return losses(casebook)


def agree(casebook, lost, ref, really):
    """Whether the losses of a thing say, to the last bit, what the ledger without it says of every question."""
    said = {one.question: one for one in lost if one.ref == ref}
    for question, before in casebook.weighings.items():
        then = really.weighings.get(question)
        if question not in said:
            if then is None or any(
                abs(one.confidence - other.confidence) > 1e-12
                for one, other in zip(
                    sorted(before.standings, key=lambda one: one.rival),
                    sorted(then.standings, key=lambda one: one.rival),
                    strict=True,
                )
            ):
                return False
            continue
        one = said[question]
        if then is None:
            if one.confidences or one.after is not None or not one.refused:
                return False
            continue
        confidences = {standing.rival: standing.confidence for standing in then.standings}
        if (one.before, one.after, dict(one.confidences)) != (before.leader, then.leader, confidences):
            return False
        now = {standing.rival: standing.confidence for standing in before.standings}
        if one.moved != pytest.approx(confidences[before.leader] - now[before.leader], abs=1e-15):
            return False
    return True


@pytest.mark.parametrize("ref", THINGS)
def test_a_loss_is_what_a_ledger_without_the_thing_says(ref, root, casebook, lost, tmp_path):
    """Confidences and leaders of every question, equal to the last bit to those of a ledger that has it withdrawn."""
    assert agree(casebook, lost, ref, withdrawn(root, ref, tmp_path / "less"))


def test_what_was_asked_before_changes_no_answer(root):
    """One that was asked for several things together and then for each of them says what a fresh one says."""
    asked, pairs = opened(root).losing, list(pairwise(THINGS))
    for pair in pairs:
        asked.of(*pair)
    fresh = opened(root)
    for refs in [*((ref,) for ref in THINGS), *pairs, *((two, one) for one, two in pairs)]:
        assert asked.of(*refs) == replace(fresh).losing.of(*refs)


def test_what_may_not_be_withdrawn_is_said_to_leave_the_question_unweighed(root, lost, tmp_path):
    """The record refuses to lose that calculation, and so its loss has no confidences, and a reason; it ranks last."""
    with pytest.raises(FaultsFound, match="no prediction of gap by `cam`"):
        withdrawn(root, NOT_ALONE, tmp_path / "less")
    said = {one.question: one for one in lost if one.ref == NOT_ALONE}
    assert "predicts nothing for measurements/gap" in said["questions/forks"].refused
    assert not said["questions/forks"].confidences
    assert not said["questions/forks"].changed
    assert {one.ref for one in lost[-3:]} == {NOT_ALONE, "sources/depth", "measurements/depth"}


def test_the_check_above_can_fail(root, casebook, lost, tmp_path):
    """A loss that is left out, or that keeps the old confidences, does not agree with the ledger without the thing."""
    really = withdrawn(root, "sources/first", tmp_path / "less")
    assert agree(casebook, lost, "sources/first", really)
    assert not agree(casebook, [], "sources/first", really)
    stale = {
        question: {one.rival: one.confidence for one in weighing.standings}
        for question, weighing in casebook.weighings.items()
    }
    assert not agree(casebook, [replace(one, confidences=stale[one.question]) for one in lost], "sources/first", really)


def test_each_way_of_losing_occurs(lost):
    """Among those cases are a changed leader, one reached through a link alone, one not weighable, and idle ones."""
    assert any(one.changed for one in lost)
    assert any(one.through for one in lost)
    assert any(one.refused for one in lost)
    assert not any(one.ref in ("sources/idle", "evidence/uncounted", "calculations/f-idle") for one in lost)


def test_those_that_matter_most_come_first(lost):
    """Changed leaders first, then by how far the leader's confidence moves."""
    keys = [(not one.changed, 0.0 if one.moved is None else -round(abs(one.moved), 12)) for one in lost]
    assert keys == sorted(keys)


def test_a_measurement_lost_takes_the_calculations_above_it(casebook):
    """Without the first source the width is gone, with it the calculation on it, and the one on that."""
    ledger = Lessening(casebook.ground, casebook.refused)
    holds = ledger.without("sources/first").ground("questions/forks").holds
    assert holds["hypotheses/drum"].calculations == ("calculations/c-alone",)
    assert "hypotheses/cam" not in holds


def test_feasibilities_of_fewer_calculations_are_kept(root, monkeypatch):
    """Worked out once, each set is kept in the store, given back when nothing changed, dropped when something did."""
    store = open_store(root / STORE)
    first = opened(root)
    assert losses(first, store)
    assert first.ground.parts.fresh
    calls = []
    real = recomputing.feasibility
    monkeypatch.setattr(recomputing, "feasibility", lambda *given: calls.append(given) or real(*given))
    second = opened(root)
    assert losses(second, store) == losses(first)
    assert not calls
    assert not second.ground.parts.fresh
    keys = {ref: f"{key} changed" for ref, key in second.ground.parts.keys.items()}
    assert not replace(second.ground.parts, keys=keys).current()


def test_feasibilities_that_are_not_what_is_kept_are_found(root):
    """Kept draws that the calculations do not give are named by check, and those under another key are not taken."""
    store = open_store(root / STORE)
    honest = losses(opened(root), store)
    name = next(name for name in sorted(cached_results(store)) if name.startswith(recomputing.PART))
    had = cached_results(store)[name]
    held = recomputing.Unpacked(had.draws)["held"]
    put_results(store, {name: replace(had, draws=recomputing.pack({"held": 1 - held}))})
    wrong = [one.message for one in problems(root, register=TOYS, count=COUNT) if one.severity == "wrong"]
    assert any("another feasibility by" in message for message in wrong)
    put_results(store, {name: replace(had, key="of before", draws=recomputing.pack({"held": 1 - held}))})
    assert losses(opened(root), store) == honest
    assert not [one for one in problems(root, register=TOYS, count=COUNT) if "another feasibility" in one.message]


def test_each_set_of_calculations_is_worked_out_once(root, monkeypatch):
    """Two hypotheses tested by the same calculations, or two losses that leave the same, ask once."""
    calls = []
    real = recomputing.feasibility
    monkeypatch.setattr(recomputing, "feasibility", lambda bench, refs: calls.append(refs) or real(bench, refs))
    casebook = opened(root)
    without_store = replace(casebook, ground=replace(casebook.ground, parts=None))
    calls.clear()
    monkeypatch.setattr(lessening, "Parts", lambda bench, keys, kept: recomputing.Parts(bench, _Any(), kept))
    losses(without_store)
    assert calls
    assert len(calls) == len(set(calls))


class _Any(dict):
    """Keys for whatever is asked."""

    def __missing__(self, key):
        return key


def test_what_a_casebook_is_asked_comes_by_question(casebook):
    """Beliefs, bearings, smallest sets and tables of grades speak of every question that is weighed."""
    assert set(beliefs(casebook)) == set(smallest_sets(casebook)) == set(how_wrong(casebook)) == set(casebook.weighings)
    for question, some in beliefs(casebook).items():
        assert {one.rival for one in some} | {casebook.weighings[question].leader} == {
            one.rival for one in casebook.weighings[question].standings
        }
    stated, *others = grade_effects(casebook)
    for question, position in stated.positions.items():
        assert position.confidences == {one.rival: one.confidence for one in casebook.weighings[question].standings}
    assert all(set(one.positions) == set(casebook.weighings) for one in others)
