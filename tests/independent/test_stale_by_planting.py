"""Decisions gone stale: each reason planted alone in a ledger that is quiet otherwise."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from ledger.casebook.opening import STORE
from ledger.store.engine import open_store
from ledger.store.erasing import erase
from ledger.tracing.reasons import Change, Reason
from ledger.tracing.staleness import stale
from tests import traced

Front = dict[str, Any]


@pytest.fixture(scope="module")
def quiet(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The ledger, posted: nothing has changed since."""
    root = tmp_path_factory.mktemp("quiet") / "box"
    traced.lay_out(root)
    return root


@pytest.fixture
def root(quiet: Path, tmp_path: Path) -> Path:
    """A copy of it to change."""
    return Path(shutil.copytree(quiet, tmp_path / "box"))


def front(ref: str, **more: Any) -> Front:
    """Return an entry's front matter with some of it changed; None takes a field out."""
    said = {**traced.fronts()[ref], **{key.replace("_", "-"): value for key, value in more.items()}}
    return {key: value for key, value in said.items() if value is not None}


def reasons(root: Path, *decisions: str) -> dict[str, tuple[Reason, ...]]:
    """Return the reasons of some decisions, of all without any named."""
    found = {ref: one.reasons for ref, one in stale(traced.opened(root)).items()}
    return {ref: found.get(f"decisions/{ref}", ()) for ref in decisions} if decisions else found


def test_a_quiet_ledger_has_no_stale_decision(root: Path) -> None:
    """None when nothing has changed since, and none when what changed carries none of them."""
    assert reasons(root) == {}
    changed = {"sources/idle": front("sources/idle", title="Another name"), "evidence/uncounted": UNCOUNTED}
    traced.revise(root, changed)
    assert reasons(root) == {}


UNCOUNTED = front("evidence/uncounted", title="Said otherwise")


def test_a_ground_that_is_revised(root: Path) -> None:
    """Its fields are told with what was and what is, its text by name; the decision on that decision is flagged too."""
    note = front("evidence/groove", credibility=3, title="A deep groove", bearing=GROOVE)
    traced.revise(root, {"evidence/groove": note})
    found = reasons(root)
    changed = (Change("title", "A note", "A deep groove"), Change("credibility", "2", "3"))
    assert found["decisions/a-drum"] == (Reason("revised", "evidence/groove", changes=changed),)
    assert found["decisions/d-on-a"] == (Reason("decision", "decisions/a-drum"),)
    assert len(found) == 2


GROOVE = {"drum": 0.8, "cam": 0.5, "rods": "0.2..0.4"}


def test_a_ground_whose_text_is_revised_and_one_only_laid_out_anew(root: Path) -> None:
    """Other words are told; other line ends, spaces and the order of fields are not."""
    said = traced.fronts()["evidence/groove"]
    from ledger.entries.writing import write

    traced.revise(root, {"evidence/groove": write(dict(reversed(said.items())), "\n  Invented.\n\n\n")})
    assert reasons(root) == {}
    traced.revise(root, {"evidence/groove": write(said, "Invented otherwise.\n")}, "2031-06-02T09:00:00Z")
    assert reasons(root, "a-drum")["a-drum"] == (
        Reason("revised", "evidence/groove", changes=(Change("text", "", ""),)),
    )


def test_a_rename_is_no_revision_and_no_retaking(root: Path) -> None:
    """A ground renamed, and all that names it with it: the decision stands as it was taken, and can go stale."""
    texts = {path: path.read_text("utf-8") for path in sorted((root / "entries").rglob("*.md"))}
    for path, text in texts.items():
        if "groove" in text or path.stem == "groove":
            path.write_text(text.replace("evidence/groove", "evidence/furrow"), "utf-8")
    old = root / "entries" / "evidence" / "groove.md"
    new = old.with_stem("furrow")
    new.write_text(old.read_text("utf-8").replace("title:", "formerly: groove\ntitle:", 1), "utf-8")
    old.unlink()
    traced.revise(root, {})
    casebook = traced.opened(root)
    assert stale(casebook) == {}
    assert casebook.taken()["decisions/a-drum"].at == traced.FIRST
    traced.withdraw(root, ["evidence/furrow"], "2031-06-02T09:00:00Z")
    found = reasons(root)["decisions/a-drum"]
    assert Reason("withdrawn", "evidence/furrow", words="Not what it seemed.") in found


def test_a_ground_that_is_withdrawn(root: Path) -> None:
    """It is told with the reason it was taken back for."""
    traced.withdraw(root, ["sources/other"])
    wanted = Reason("withdrawn", "sources/other", words="Not what it seemed.")
    assert reasons(root, "b-width")["b-width"][0] == wanted


def test_something_deeper_that_is_withdrawn(root: Path) -> None:
    """It is told once, with the ground that stands on it; what only a linked question stands on is not."""
    traced.withdraw(root, ["precedents/reel", "evidence/bolt"])
    found = reasons(root)
    why = Reason("withdrawn", "precedents/reel", through="hypotheses/drum", words="Not what it seemed.")
    assert found["decisions/a-drum"] == (why,)
    assert found["decisions/e-lid"][-1] == Reason(
        "withdrawn", "evidence/bolt", through="questions/lid", words="Not what it seemed."
    )
    assert "decisions/c-pipe" not in found


@pytest.mark.parametrize(
    ("quantity", "stands"),
    [
        ("10.9 ± 1 mm", True),
        ("11.1 ± 1 mm", False),
        ("0.95 ± 0.2 cm", True),
        ("1.2 ± 0.2 cm", False),
        ("8.9 mm", False),
    ],
)
def test_a_quoted_number_beyond_its_interval(root: Path, quantity: str, stands: bool) -> None:
    """Quoted as 10 ± 1 mm: what it is now lies in that or does not, in whatever unit; told as it was and is."""
    traced.revise(root, {"measurements/width": front("measurements/width", quantity=quantity)})
    found = [why for why in reasons(root, "b-width")["b-width"] if why.kind == "number"]
    wanted = [] if stands else [Reason("number", "measurements/width", before="10 ± 1 mm", now=quantity)]
    assert found == wanted


def test_a_quoted_output_beyond_its_interval(root: Path) -> None:
    """A calculation gives another number for another input: that of the output is told, and no revision is."""
    inputs = {"width": {"value": "25 mm", "reason": "Seen again."}, "height": {"value": "1 mm", "reason": "So."}}
    traced.revise(root, {"calculations/c-alone": front("calculations/c-alone", inputs=inputs)})
    found = reasons(root, "b-width")["b-width"]
    assert [(why.kind, why.about, why.words, why.before) for why in found] == [
        ("number", "calculations/c-alone", "area", "30 ± 3 mm²")
    ]
    assert found[0].now == "25 mm²"


def test_another_leader(root: Path) -> None:
    """The question of a hypothesis that it stands on has another leader, and nothing that it names was touched."""
    traced.revise(root, {"evidence/against": {**OTHER, "bearing": {"pipe": 0.001, "splash": 0.9}}})
    casebook = traced.opened(root)
    after = casebook.weighings["questions/oil"].leader
    assert after != "hypotheses/pipe"
    (why,) = reasons(root, "c-pipe")["c-pipe"]
    assert why == Reason("leader", "questions/oil", before="hypotheses/pipe", now=after)


OTHER = {"kind": "evidence", "title": "Seen since", "source": "idle", "credibility": 1}


def test_a_confidence_below_its_bound(root: Path) -> None:
    """Screws need 0.4 at least; what they had then, what they have and the bound are told."""
    before = confidence(root, "questions/lid", "hypotheses/screws")
    traced.revise(root, {"evidence/glued": {**OTHER, "bearing": {"screws": 0.2, "glue": 0.9}}})
    now = confidence(root, "questions/lid", "hypotheses/screws")
    assert now < 0.4 < before
    found = {why.kind: why for why in reasons(root, "e-lid")["e-lid"]}
    assert found["confidence"] == Reason("confidence", "hypotheses/screws", before=before, now=now, least=0.4)


def confidence(root: Path, question: str, rival: str) -> float:
    """The confidence in a rival now."""
    return next(one.confidence for one in traced.opened(root).weighings[question].standings if one.rival == rival)


def test_a_ground_that_cannot_be_computed(root: Path) -> None:
    """A calculation that lost the measurement it takes is refused, and the decision that names it is flagged."""
    traced.withdraw(root, ["measurements/height"])
    found = {why.kind: why for why in reasons(root, "a-drum")["a-drum"] if not why.through}
    assert found["refused"].about == "calculations/b-on-a"
    assert "measurements/height" in found["refused"].words


@pytest.mark.parametrize("ref", ["calculations/c-alone", "calculations/a-width"])
def test_a_criterion_that_held_and_fails(root: Path, ref: str) -> None:
    """Of a calculation it names, and of one that tests a hypothesis it names; told with both chances."""
    limit = "5 mm²"
    traced.revise(root, {"measurements/width": front("measurements/width", quantity="90 ± 1 mm"), **_wider()})
    decision = {"calculations/c-alone": "c-pipe", "calculations/a-width": "a-drum"}[ref]
    (why,) = [one for one in reasons(root, decision)[decision] if one.kind == "criterion" and one.about == ref]
    assert float(why.before or 0) >= 0.5 > float(why.now or 0)
    assert why.words.startswith("area ")
    assert why.through == ("" if ref == "calculations/c-alone" else "hypotheses/drum")
    assert limit not in why.words


def test_a_limit_that_is_renamed_and_lowered(tmp_path: Path) -> None:
    """A criterion whose limit is measured is known again under the measurement's new name."""
    root, limited = tmp_path / "box", [{"output": "area", "at-most": "measurements/room"}]
    room = {**front("measurements/width"), "title": "The room", "quantity": "40 ± 2 mm²"}
    said = {**traced.fronts(), "measurements/room": room}
    traced.lay_out(root, said | {"calculations/c-alone": front("calculations/c-alone", criteria=limited)})
    assert reasons(root) == {}
    (root / "entries/measurements/room.md").unlink()
    lower = {**room, "formerly": "room", "quantity": "10 ± 2 mm²"}
    moved = [{"output": "area", "at-most": "measurements/place"}]
    traced.revise(
        root, {"measurements/place": lower, "calculations/c-alone": front("calculations/c-alone", criteria=moved)}
    )
    (why,) = [one for one in reasons(root, "c-pipe")["c-pipe"] if one.kind == "criterion"]
    assert (why.about, why.words) == ("calculations/c-alone", "area at most measurements/place")
    assert float(why.before or 0) == 1.0 > float(why.now or 0) == 0.0


def _wider() -> dict[str, Front]:
    inputs = {**traced.fronts()["calculations/c-alone"]["inputs"], "width": {"value": "300 mm", "reason": "So."}}
    return {"calculations/c-alone": front("calculations/c-alone", inputs=inputs)}


def test_a_criterion_that_never_held_is_no_reason(root: Path) -> None:
    """A decision taken on a calculation whose criterion failed already is not flagged for it."""
    criteria = [{"output": "area", "at-most": "1 mm²"}]
    failing = front("calculations/c-alone", criteria=criteria)
    decision = front("decisions/c-pipe", grounds=["calculations/c-alone"])
    traced.revise(root, {"calculations/c-alone": failing, "decisions/c-pipe": decision})
    assert traced.opened(root).results["calculations/c-alone"].kept[0].chance < 0.5
    assert reasons(root, "c-pipe") == {"c-pipe": ()}


def test_an_answer_that_came_out_otherwise(root: Path) -> None:
    """A question resolved against what was counted on is told; one that came out so is not, whatever is weighed."""
    answer = {"date": "2031-05-30", "reason": "It was opened."}
    for name, flagged in (("splash", True), ("pipe", False)):
        resolved = {"resolved": {"answer": name, **answer}}
        at = f"2031-06-0{2 if flagged else 3}T09:00:00Z"
        traced.revise(root, {"questions/oil": front("questions/oil", **resolved)}, at)
        found = [why for why in reasons(root, "c-pipe")["c-pipe"] if not why.through]
        assert found == ([Reason("answer", "questions/oil", now="hypotheses/splash")] if flagged else [])


def test_a_question_that_cannot_be_weighed_any_more(root: Path) -> None:
    """A question that lost its rivals' predictions is not weighed; the decision that counts on one is flagged."""
    traced.withdraw(root, ["measurements/depth"])
    found = {why.kind: why for why in reasons(root, "a-drum")["a-drum"] if not why.through}
    assert found["unweighed"].about == "questions/forks"
    assert "predicts nothing" in found["unweighed"].words


def test_taken_again_it_is_quiet(root: Path) -> None:
    """A posting that raises the day with a reason is the new beginning; what changed before is no reason any more."""
    note = front("evidence/groove", credibility=3)
    traced.revise(root, {"evidence/groove": note})
    assert reasons(root, "a-drum")["a-drum"]
    again = front("decisions/a-drum", taken="2031-06-02", retaken="The groove was looked at again.")
    traced.revise(root, {"decisions/a-drum": again}, "2031-06-02T09:00:00Z")
    casebook = traced.opened(root)
    assert casebook.taken()["decisions/a-drum"].at == "2031-06-02T09:00:00Z"
    # The decision that stands on it was not taken again, and that one says something else now.
    found = stale(casebook)
    assert list(found) == ["decisions/d-on-a"]
    assert [change.field for why in found["decisions/d-on-a"].reasons for change in why.changes] == ["taken", "retaken"]


def test_words_under_a_decision_are_no_retaking(root: Path) -> None:
    """Another title and another text leave it as it was taken, stale for what changed since."""
    from ledger.entries.writing import write

    traced.revise(root, {"evidence/groove": front("evidence/groove", credibility=3)})
    text = write(front("decisions/a-drum", title="A drum it is"), "Said otherwise.\n")
    traced.revise(root, {"decisions/a-drum": text}, "2031-06-02T09:00:00Z")
    assert [why.kind for why in reasons(root, "a-drum")["a-drum"]] == ["revised"]


def test_what_cannot_be_told_any_more_is_said(root: Path) -> None:
    """Words erased since: who led then is not known, and that is said; what needs no past is told all the same."""
    store = open_store(root / STORE)
    (root / "entries" / "evidence" / "hiss.md").unlink()
    _erase(store, "evidence/hiss")
    traced.revise(root, {"measurements/width": front("measurements/width", quantity="14 ± 1 mm")})
    found = stale(traced.opened(root))
    assert {why.kind for why in found["decisions/b-width"].reasons} == {"number", "revised"}
    (untold,) = found["decisions/c-pipe"].untold
    assert "the words of evidence/hiss were erased" in untold
    assert found["decisions/c-pipe"].reasons == ()


def _erase(store: Any, ref: str) -> None:
    """Erase an entry's words, whatever else the program asks for by now."""
    import inspect

    asked: Callable[..., Any] = erase
    more = ["Asked by the writer."] if "reason" in inspect.signature(asked).parameters else []
    asked(store, ref, "2031-05-20T09:00:00Z", *more)


def test_what_was_decided_is_compared_with_its_own_day(root: Path) -> None:
    """Two decisions on the same note, one taken after it was revised: only the earlier one is flagged."""
    traced.revise(root, {"evidence/ring": front("evidence/ring", credibility=4)})
    later = {**front("decisions/c-pipe"), "grounds": ["evidence/ring"], "title": "Taken later"}
    traced.revise(root, {"decisions/f-later": later}, "2031-06-02T09:00:00Z")
    assert set(reasons(root)) == {"decisions/d-on-a"}
