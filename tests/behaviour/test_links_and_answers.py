"""Rules over links between hypotheses, answers to questions and priors as ranges: each fault told with all it needs."""

from __future__ import annotations

from typing import Any

import pytest

from ledger.entries.checking import Checked
from tests.planting import Front, base, check, only


def two(**changes: Front) -> dict[str, Front]:
    """Return a small ledger of two questions, with fields of some entries set; a key is `folder__name`."""
    fronts = base()
    fronts["questions/arms"] = {"kind": "question"}
    for name, prior in (("lever", 0.5), ("cable", 0.4)):
        fronts[f"hypotheses/{name}"] = {
            "kind": "hypothesis",
            "question": "arms",
            "prior": prior,
            "reason": "seen before",
        }
    for ref, fields in changes.items():
        fronts[ref.replace("__", "/").replace("_", "-")].update(
            {key.replace("_", "-"): value for key, value in fields.items()}
        )
    return fronts


def whole(checked: Checked) -> list[tuple[str, int, str]]:
    """Return place and field of each fault, and assert that each says what was given, expected and how to mend it."""
    for fault in checked.faults:
        assert all((fault.given, fault.expected, fault.remedy))
        assert fault.remedy.endswith(".")
    return [(fault.file.removeprefix("entries/"), fault.line, fault.field) for fault in checked.faults]


@pytest.mark.parametrize(
    "links",
    [
        {"needs": ["lever"]},
        {"rules_out": ["hypotheses/lever", "cable"]},
        {"favours": {"lever": 3, "hypotheses/cable": "0.2..0.9"}},
        {"needs": ["lever"], "rules_out": ["cable"]},
        {"favours": {"lever": 1}},
    ],
    ids=str,
)
def test_links_across_questions_are_taken(links: Front) -> None:
    """One may need, rule out or favour rivals of another question, named short or in full."""
    assert check(two(hypotheses__drum=links)) == Checked((), ())


def test_each_may_need_the_other() -> None:
    """That both are true or neither takes two lines, and is no link told twice."""
    assert check(two(hypotheses__drum={"needs": ["lever"]}, hypotheses__lever={"needs": ["drum"]})) == Checked((), ())


@pytest.mark.parametrize(
    ("links", "field", "given", "expected", "remedy"),
    [
        ({"needs": ["drum"]}, "needs.1", "`drum` itself", "another hypothesis", "Take the line out."),
        (
            {"rules_out": ["lever", "face-cam"]},
            "rules-out.2",
            "`face-cam`, a rival of the same question",
            "a hypothesis of another question",
            "Rivals of one question exclude each other already: take the line out.",
        ),
        (
            {"favours": {"hypotheses/face-cam": 2}},
            "favours.hypotheses/face-cam",
            "`face-cam`, a rival of the same question",
            "a hypothesis of another question",
            "Rivals of one question exclude each other already: take the line out.",
        ),
        (
            {"needs": ["lever"], "favours": {"lever": 2}},
            "favours.lever",
            "`lever`, linked already in hypotheses/drum, needs",
            "one link for each pair, or two of which each needs the other",
            "Keep one of the two lines: `rules-out` and `favours` hold both ways.",
        ),
        (
            {"needs": ["lever", "lever"]},
            "needs.2",
            "`lever`, linked already in hypotheses/drum, needs",
            "one link for each pair, or two of which each needs the other",
            "Keep one of the two lines: `rules-out` and `favours` hold both ways.",
        ),
        (
            {"needs": ["lever", "cable"]},
            "needs.2",
            "`cable` beside `lever`",
            "one rival of arms",
            "Rivals of one question exclude each other, so both cannot be needed: keep one.",
        ),
    ],
    ids=lambda part: str(part) if isinstance(part, dict) else "",
)
def test_each_link_that_cannot_be_is_told(links: Front, field: str, given: str, expected: str, remedy: str) -> None:
    """To itself, within a question, twice for a pair, or to two that exclude each other: told at its line."""
    checked = check(two(hypotheses__drum=links))
    assert only(checked) == ("hypotheses/drum", field, given, expected, remedy)
    assert checked.faults[0].line > 1


@pytest.mark.parametrize(
    ("one", "other", "field"),
    [
        ({"rules_out": ["lever"]}, {"rules_out": ["drum"]}, "rules-out.1"),
        ({"favours": {"lever": 2}}, {"favours": {"drum": 2}}, "favours.drum"),
        ({"needs": ["lever"]}, {"rules_out": ["drum"]}, "rules-out.1"),
        ({"rules_out": ["lever"]}, {"needs": ["drum"]}, "needs.1"),
        ({"favours": {"lever": 2}}, {"needs": ["drum"]}, "needs.1"),
    ],
    ids=str,
)
def test_a_pair_linked_from_both_ends_is_told_once(one: Front, other: Front, field: str) -> None:
    """Unless each needs the other, a pair is linked from one end: the second line is told, with where the first is."""
    file, told, given, _, _ = only(check(two(hypotheses__drum=one, hypotheses__lever=other)))
    assert (file, told) == ("hypotheses/lever", field)
    assert given.startswith("`drum`, linked already in hypotheses/drum, ")


def test_a_link_to_a_name_that_is_nearly_right_suggests_the_right_one() -> None:
    """A dangling name in any kind of link is told at its place, and nothing else of it."""
    fronts = two(hypotheses__drum={"needs": ["levr"], "rules_out": ["cabel"], "favours": {"leverr": 2}})
    checked = check(fronts)
    assert {(fault.field, fault.remedy) for fault in checked.faults} == {
        ("needs.1", "Write `lever` if you mean that."),
        ("rules-out.1", "Write `cable` if you mean that."),
        ("favours.leverr", "Write `lever` if you mean that."),
    }


def test_many_faults_of_links_and_answers_are_told_at_once() -> None:
    """Faults in one file and in several are told together, each at its own line."""
    fronts = two(
        hypotheses__drum={"needs": ["drum", "lever"], "rules_out": ["face-cam"], "favours": {"lever": 3}},
        hypotheses__lever={"rules_out": ["cable"]},
        questions__arms={"resolved": {"answer": "drum", "date": 2033, "reason": "It was opened."}},
        replies__first={"confidences": {"drum": 0.5, "face-cam": 0.2}},
        lookouts__inside={"effort": "3 mm"},
    )
    places = whole(check(fronts))
    assert [(file, field) for file, _, field in places] == [
        ("hypotheses/drum.md", "needs.1"),
        ("hypotheses/drum.md", "rules-out.1"),
        ("hypotheses/drum.md", "favours.lever"),
        ("hypotheses/lever.md", "rules-out.1"),
        ("lookouts/inside.md", "effort"),
        ("questions/arms.md", "resolved.answer"),
        ("replies/first.md", "confidences"),
    ]
    assert all(line > 1 for _, line, _ in places)
    assert len({(file, line) for file, line, _ in places}) == len(places)


def test_a_link_to_a_hypothesis_withdrawn_since_is_a_warning() -> None:
    """Whoever withdraws a hypothesis need not revise what is linked to it: it is told as a warning, and falls away."""
    fronts = two(hypotheses__drum={"needs": ["lever"]}, hypotheses__lever={"withdrawn": "It cannot reach."})
    checked = check(fronts, changed={"hypotheses/lever"})
    assert checked.faults == ()
    assert ("hypotheses/drum", "needs.1") in {
        (warning.file.removeprefix("entries/").removesuffix(".md"), warning.field) for warning in checked.warnings
    }


@pytest.mark.parametrize("answer", ["drum", "hypotheses/face-cam", "none-of-these"])
def test_a_question_is_resolved_by_one_of_its_rivals_or_none(answer: str) -> None:
    """The answer is a rival by either form of its name, or none of them."""
    resolved = {"answer": answer, "date": "2033-02", "reason": "The box was opened.", "source": "bench-left"}
    assert check(two(questions__forks={"resolved": resolved})) == Checked((), ())


def test_a_question_is_not_resolved_by_another_question_s_rival() -> None:
    """The rival of another question is told, and so is a name that is no entry."""
    resolved = {"answer": "lever", "date": "2033-02", "reason": "The box was opened."}
    assert only(check(two(questions__forks={"resolved": resolved}))) == (
        "questions/forks",
        "resolved.answer",
        "`lever`, a rival of arms",
        "a rival of forks, or `none-of-these`",
        "Name the rival that came true.",
    )
    resolved["answer"] = "leverr"
    assert only(check(two(questions__forks={"resolved": resolved})))[1:3] == ("resolved.answer", "`hypotheses/leverr`")


@pytest.mark.parametrize(
    ("confidences", "given", "expected"),
    [
        ({"drum": 0.6, "lever": 0.4}, "rivals of arms, forks", "the rivals of one question"),
        ({"none-of-these": 1}, "`none-of-these` alone", "the rivals of one question"),
        ({"drum": 0.6, "face-cam": 0.2}, "a sum of 0.8", "a sum of 1"),
        ({"drum": 0.6, "face-cam": 0.4, "none-of-these": 0.2}, "a sum of 1.2", "a sum of 1"),
        ({"drum": 1}, "nothing for face-cam", "every rival of forks"),
        ({"drum": 1.2, "face-cam": -0.2}, "drum: 1.2, face-cam: -0.2", "chances from 0 to 1"),
    ],
    ids=str,
)
def test_each_fault_of_stated_confidences_is_told(confidences: dict[str, Any], given: str, expected: str) -> None:
    """Of two questions, of none, not summing to one, leaving a rival out, or no chances at all."""
    file, field, said, wanted, _ = only(check(two(replies__first={"confidences": confidences})))
    assert (file, field, said, wanted) == ("replies/first", "confidences", given, expected)


@pytest.mark.parametrize(
    "confidences",
    [
        {"drum": 0.6, "face-cam": 0.3, "none-of-these": 0.1},
        {"drum": 0.6, "hypotheses/face-cam": 0.4},
        {"drum": 1, "face-cam": 0},
    ],
    ids=str,
)
def test_confidences_that_share_one_are_taken(confidences: dict[str, Any]) -> None:
    """Every rival has a chance, none-of-these one if the reader gives it, and they sum to one."""
    assert check(two(replies__first={"confidences": confidences})) == Checked((), ())


def test_a_reply_is_not_held_to_rivals_that_came_later() -> None:
    """Confidences posted before a rival came stay as they are; whoever revises them names it."""
    fronts = two(replies__first={"confidences": {"drum": 1}})
    assert check(fronts, changed={"hypotheses/face-cam"}).faults == ()


def test_confidences_in_names_that_are_nowhere_are_told_as_names() -> None:
    """Rivals misspelt are told as such, and not as a reply on none of these."""
    checked = check(two(replies__first={"confidences": {"drun": 0.5, "face-cem": 0.5}}))
    assert sorted(fault.field for fault in checked.faults) == ["confidences.drun", "confidences.face-cem"]


@pytest.mark.parametrize("effort", ["3 h", "20 ± 5 min", "1..3 day"])
def test_effort_is_a_time(effort: str) -> None:
    """Hours, minutes and days are taken for the effort of a lookout, with or without doubt."""
    assert check(two(lookouts__inside={"effort": effort})) == Checked((), ())


@pytest.mark.parametrize(
    ("drum", "cam", "none", "fits"),
    [
        ("0.4..0.6", "0.3..0.5", 0.1, True),
        ("likely", 0.3, "0.01..0.1", True),
        ("0.4..0.5", "0.1..0.2", 0.1, False),  # 0.8 at most
        ("0.6..0.7", "0.35..0.5", 0.1, False),  # 1.05 at least
        ("0.2..0.495", 0.4, 0.1, True),  # 0.995 at most, within the tolerance
        ("0.2..0.494", 0.4, 0.1, False),
        ("0.505..0.7", 0.4, 0.1, True),
        ("0.506..0.7", 0.4, 0.1, False),
    ],
)
def test_ranges_of_priors_leave_room_for_a_sum_of_one(drum: Any, cam: Any, none: Any, fits: bool) -> None:
    """Some choice within the ranges sums to one, to the tolerance; else what they sum to is told."""
    fronts = two(
        hypotheses__drum={"prior": drum}, hypotheses__face_cam={"prior": cam}, questions__forks={"none_of_these": none}
    )
    checked = check(fronts)
    assert (checked.faults == ()) is fits
    if not fits:
        file, field, given, expected, remedy = only(checked)
        assert (file, field, expected) == ("questions/forks", "none-of-these", "ranges that a sum of 1 lies within")
        assert given.startswith("priors that sum to between ")
        assert remedy == "Widen or move the ranges."


def test_the_share_of_a_withdrawn_rival_is_only_a_warning_with_ranges_too() -> None:
    """Ranges that lack a withdrawn rival's share, or one that was erased before, are warned of, not refused."""
    fronts = two(
        hypotheses__drum={"prior": "0.4..0.5"},
        hypotheses__face_cam={"prior": 0.2, "withdrawn": "It cannot be."},
        evidence__groove={"bearing": {}},
    )
    del fronts["lookouts/inside"]
    checked = check(fronts)
    assert [fault.field for fault in checked.faults] == []
    assert "in proportion" in {warning.field: warning.remedy for warning in checked.warnings}["none-of-these"]
    erased = {ref: front for ref, front in fronts.items() if ref != "hypotheses/face-cam"}
    assert [fault.field for fault in check(erased, changed=set()).faults] == []
    assert [fault.field for fault in check(erased).faults] == ["none-of-these"]


@pytest.mark.parametrize(
    ("factor", "words"),
    [
        (0, "a factor from 1e-06 to 1e+06"),
        ("5..2", "the lesser factor first"),
        ("2..2", "a range with some width"),
        ("likely", "a factor such as `3`"),
        (True, "a factor such as `3`"),
        (-2, "a factor such as `3`"),
        (1e7, "a factor from 1e-06 to 1e+06"),
    ],
)
def test_a_factor_that_is_none_is_told_with_what_is(factor: Any, words: str) -> None:
    """Zero, a range turned round, a word, a truth or a negative number is no factor."""
    from ledger.errors import FaultsFound

    with pytest.raises(FaultsFound) as refused:
        check(two(hypotheses__drum={"favours": {"lever": factor}}))
    assert words in str(refused.value)
    assert "hypotheses/drum.md" in str(refused.value)
    assert "favours.lever" in str(refused.value)
