"""Each rule over the whole ledger, kept by a small ledger and broken by one planted fault at a time."""

from __future__ import annotations

from typing import Any

import pytest

from ledger.entries.checking import Checked
from ledger.entries.models import NONE_OF_THESE
from ledger.entries.references import references
from ledger.weighing.values import NONE
from tests.planting import Front, base, check, documents, only, planted, without


def test_the_small_ledger_keeps_every_rule() -> None:
    """Without a planted fault there is neither fault nor warning."""
    assert check(base()) == Checked((), ())


def test_there_is_one_investigation() -> None:
    """None at all, two, or only a withdrawn one is a fault."""
    assert only(check(without("investigation/gearbox")))[2] == "no investigation entry"
    second = base() | {"investigation/other": dict(base()["investigation/gearbox"])}
    assert only(check(second))[0] == "investigation/other"
    assert only(check(planted("investigation/gearbox", withdrawn="gone")))[2] == "no investigation entry"
    assert check(without("investigation/gearbox"), unread={"investigation/gearbox"}).faults == ()


@pytest.mark.parametrize(
    ("ref", "fields", "field"),
    [
        ("sources/retold", {"origin": "bench-lefd"}, "origin"),
        ("evidence/groove", {"source": "bench-lefd"}, "source"),
        ("evidence/groove", {"measurements": ["hub-width", "hub-widht"]}, "measurements.2"),
        ("evidence/groove", {"bearing": {"drumm": 0.9, "others": 0.1, "drum": 0.2}}, "bearing.drumm"),
        (
            "evidence/groove",
            {"bearing": {"hypotheses/drumm": 0.9, "others": 0.1, "drum": 0.2}},
            "bearing.hypotheses/drumm",
        ),
        ("measurements/hub-width", {"source": "sources/bench-lefd"}, "source"),
        ("hypotheses/drum", {"predicts": {"hub-widt": "62 mm"}}, "predicts.hub-widt"),
        ("calculations/track", {"hypotheses": ["drumm"]}, "hypotheses.1"),
        ("calculations/track", {"inputs": {"hub": "measurements/hub-widht"}}, "inputs.hub.measurement"),
        ("calculations/load", {"inputs": {"radius": "calculations/trak#radius"}}, "inputs.radius.calculation"),
        ("decisions/size", {"grounds": ["evidence/grove"]}, "grounds.1"),
        ("replies/first", {"about": "hypotheses/drun"}, "about"),
    ],
)
def test_every_reference_leads_to_an_entry(ref: str, fields: Front, field: str) -> None:
    """A name that is nearly right is a fault that suggests the right one."""
    file, told, _, _, remedy = only(check(planted(ref, **fields)))
    assert (file, told) == (ref, field)
    assert remedy.startswith("Write `")


def test_a_name_like_no_other_is_told_to_be_added() -> None:
    """Where nothing is near, the remedy names the file to write."""
    assert "decisions/size" in only(check(planted("decisions/size", grounds=["decisions/zzzz"])))[0]
    assert "Add the file decisions/zzzz.md" in only(check(planted("decisions/size", grounds=["decisions/zzzz"])))[4]


def test_none_of_these_is_not_judged_by_a_note() -> None:
    """It takes the mean of the others, so the line is to be taken out; nobody is told to write a file for it."""
    bearing = {NONE_OF_THESE: 0.2, "others": 0.1, "drum": 0.2}
    _, field, _, expected, remedy = only(check(planted("evidence/groove", bearing=bearing)))
    assert field == f"bearing.{NONE_OF_THESE}"
    assert "takes the mean of the others and is never judged" in expected
    assert remedy == "Take it out here."


def test_a_reference_to_a_file_with_faults_of_its_own_is_left_alone() -> None:
    """One mistake is told once: a file that could not be read still counts as being there."""
    assert check(without("evidence/groove"), unread={"evidence/groove"}).faults == ()
    assert len(check(without("evidence/groove")).faults) == 1


def test_a_renamed_entry_is_told_by_its_new_name() -> None:
    """`formerly` turns a dangling reference into the name to write."""
    fronts = without("sources/bench-left")
    fronts["sources/bench-port"] = {**base()["sources/bench-left"], "formerly": "bench-left"}
    checked = check(fronts)
    assert {fault.remedy for fault in checked.faults} == {"Write `bench-port` instead of `bench-left`."}
    assert len(checked.faults) == 3


def test_a_withdrawn_entry_may_not_be_newly_named() -> None:
    """A reference to a withdrawn entry is a fault in what is changed, and a warning elsewhere."""
    fronts = planted("evidence/groove", withdrawn="misread")
    file, field, given, _, _ = only(check(fronts))
    assert (file, field, given) == ("decisions/size", "grounds.1", "`evidence/groove`, withdrawn: misread")
    checked = check(fronts, changed={"evidence/groove"})
    assert checked.faults == ()
    assert [warning.field for warning in checked.warnings] == ["grounds.1"]
    both = fronts | {"decisions/size": {**base()["decisions/size"], "withdrawn": "its ground fell"}}
    assert check(both) == Checked((), ())


def test_an_old_name_is_free_and_claimed_once() -> None:
    """`formerly` may not name an entry that is there, the entry itself, or a name another claims."""
    assert "still there" in only(check(planted("sources/retold", formerly="bench-left")))[2]
    assert "its name now" in only(check(planted("sources/retold", formerly="retold")))[2]
    fronts = planted("sources/retold", formerly="old")
    fronts["sources/bench-left"]["formerly"] = "old"
    assert "claims too" in only(check(fronts))[2]
    assert check(planted("sources/retold", formerly="old")).faults == ()


def test_origins_go_in_no_circle() -> None:
    """The circle is named from its first name round to it again."""
    file, field, given, _, _ = only(check(planted("sources/bench-left", origin="retold")))
    assert (file, field, given) == ("sources/bench-left", "origin", "bench-left → retold → bench-left")
    assert only(check(planted("sources/retold", origin="retold")))[2] == "retold → retold"


def test_calculations_go_in_no_circle() -> None:
    """A calculation may not, by way of others, take its own output as input; two circles are two faults."""
    fronts = planted("calculations/track", inputs={"hub": "calculations/load#force"})
    assert only(check(fronts))[:3] == ("calculations/load", "inputs.radius.calculation", "load → track → load")
    fronts["calculations/self"] = {"kind": "calculation", "calculator": "c", "inputs": {"a": "calculations/self#b"}}
    assert [fault.given for fault in check(fronts).faults] == ["load → track → load", "self → self"]


def test_decisions_go_in_no_circle() -> None:
    """A decision cannot be its own ground."""
    assert only(check(planted("decisions/size", grounds=["decisions/size"])))[2] == "size → size"


def test_a_long_chain_is_no_circle_and_exhausts_nothing() -> None:
    """Ten thousand retellings of one another are followed without recursion."""
    source = base()["sources/bench-left"]
    fronts = base() | {f"sources/s{n}": {**source, **({"origin": f"s{n - 1}"} if n else {})} for n in range(2000)}
    assert check(fronts).faults == ()
    fronts["sources/s0"] = {**source, "origin": "s1999"}
    assert len(check(fronts).faults) == 1


@pytest.mark.parametrize(("prior", "fits"), [(0.4, True), (0.404, True), (0.395, True), (0.41, False), (0.39, False)])
def test_priors_sum_to_one(prior: float, fits: bool) -> None:
    """The rivals' priors and that of none-of-these sum to one within 0.005."""
    checked = check(planted("hypotheses/face-cam", prior=prior))
    assert (checked.faults == ()) is fits
    if not fits:
        file, field, given, _, remedy = only(checked)
        assert (file, field) == ("questions/forks", "none-of-these")
        assert given.startswith("0.5 (drum) + ")
        assert remedy.startswith("Multiply")


def test_the_share_of_a_withdrawn_rival_is_only_a_warning() -> None:
    """Below one after a withdrawal is a warning; above one stays a fault."""
    fronts = base() | {"hypotheses/rod": {**base()["hypotheses/drum"], "prior": 0.2, "withdrawn": "disproved"}}
    fronts["hypotheses/drum"]["prior"] = 0.3
    checked = check(fronts)
    assert checked.faults == ()
    assert ["in proportion" in warning.remedy for warning in checked.warnings] == [True]
    fronts["hypotheses/drum"]["prior"] = 0.6
    assert only(check(fronts))[0] == "questions/forks"


def test_priors_are_not_summed_while_a_hypothesis_is_unread() -> None:
    """A rival whose file has faults is not blamed on the others' priors."""
    fronts = without("hypotheses/face-cam")
    assert "questions/forks" not in {
        fault.file.removeprefix("entries/").removesuffix(".md")
        for fault in check(fronts, unread={"hypotheses/face-cam"}).faults
    }


def test_a_question_wants_two_rivals() -> None:
    """Fewer than two standing rivals is a warning."""
    fronts = base() | {"questions/arms": {"kind": "question"}}
    checked = check(fronts)
    assert checked.faults == ()
    assert [(warning.file, warning.given) for warning in checked.warnings] == [
        ("entries/questions/arms.md", "0 standing rivals")
    ]


def test_a_changed_note_judges_every_rival() -> None:
    """A changed note misses no rival of a question it touches, or gives `others`; older ones are left alone."""
    fronts = planted("evidence/groove", bearing={"drum": 0.9})
    file, field, given, _, remedy = only(check(fronts))
    assert (file, field, given) == ("evidence/groove", "bearing", "nothing for `face-cam`")
    assert "others" in remedy
    assert check(fronts, changed=set()).faults == ()
    assert check(planted("evidence/groove", bearing={"drum": 0.9, "others": 0.2})).faults == ()


def test_a_note_on_two_questions_judges_the_rivals_of_both() -> None:
    """Each question a note touches is looked at apart."""
    fronts = planted("evidence/groove", bearing={"drum": 0.9, "face-cam": 0.1, "lever": 0.3})
    fronts["questions/arms"] = {"kind": "question"}
    for name in ("lever", "cable"):
        fronts[f"hypotheses/{name}"] = {
            "kind": "hypothesis",
            "question": "arms",
            "prior": 0.45,
            "reason": "seen before",
        }
    assert only(check(fronts))[2] == "nothing for `cable`"


def test_others_alone_bear_on_nothing() -> None:
    """`others` without a rival by name is a fault, in notes and in outcomes, changed or not."""
    assert only(check(planted("evidence/groove", bearing={"others": 0.9}), changed=set()))[2] == "`others` alone"
    outcomes = {"seen": {"others": 0.5}, "unseen": {"drum": 0.5, "face-cam": 0.5}}
    assert only(check(planted("lookouts/inside", outcomes=outcomes)))[1] == "outcomes.seen"


def test_outcomes_judge_every_rival_of_their_question_and_no_other() -> None:
    """An outcome misses no rival; a rival of another question has no place in it."""
    outcomes = {"seen": {"drum": 0.8}, "unseen": {"drum": 0.2, "face-cam": 0.7}}
    assert only(check(planted("lookouts/inside", outcomes=outcomes)))[:3] == (
        "lookouts/inside",
        "outcomes.seen",
        "nothing for `face-cam`",
    )
    fronts = base()
    fronts["questions/arms"] = {"kind": "question"}
    for name in ("lever", "cable"):
        fronts[f"hypotheses/{name}"] = {
            "kind": "hypothesis",
            "question": "arms",
            "prior": 0.45,
            "reason": "seen before",
        }
    fronts["lookouts/inside"]["outcomes"]["seen"]["lever"] = 0.5
    assert only(check(fronts))[1:3] == ("outcomes.seen.lever", "a rival of arms")


@pytest.mark.parametrize(
    ("seen", "unseen", "fits"),
    [
        (0.8, 0.2, True),
        (0.8, 0.3, True),
        (0.7, 0.2, True),
        (0.8, 0.31, False),
        (0.6, 0.2, False),
        ("0.1..0.2", 0.2, True),
        ({"would-show": 0.2}, 0.2, True),
        ({"would-show": 0.8}, 0.2, False),
    ],
)
def test_outcomes_of_plain_numbers_sum_to_about_one(seen: Any, unseen: Any, fits: bool) -> None:
    """Under each rival one of the outcomes must come about: 0.9 to 1.1 in all; ranges are not held to it."""
    outcomes = {"seen": {"drum": seen, "face-cam": 0.3}, "unseen": {"drum": unseen, "face-cam": 0.7}}
    checked = check(planted("lookouts/inside", outcomes=outcomes))
    assert (checked.faults == ()) is fits
    if not fits:
        assert only(checked)[1] == "outcomes"
        assert "for drum" in only(checked)[2]


OBSERVED = {"output": "width", "measurement": "hub-width"}


def test_what_is_held_against_a_measurement_is_so_for_every_rival() -> None:
    """A rival without a prediction is named; a broad range or an observed calculation of its own will do."""
    fronts = planted("calculations/track", observed=OBSERVED)
    file, field, given, _, remedy = only(check(fronts))
    assert (file, field, given) == ("calculations/track", "observed", "no prediction of hub-width by `face-cam`")
    assert "hypotheses/face-cam" in remedy
    fronts["calculations/load"]["observed"] = OBSERVED
    assert only(check(fronts))[0] == "calculations/load"
    predicted = planted("hypotheses/face-cam", predicts={"hub-width": "40..90 mm"})
    predicted["calculations/track"]["observed"] = OBSERVED
    assert check(predicted).faults == ()
    computed = planted("calculations/track", observed=OBSERVED)
    computed["calculations/cam"] = {**computed["calculations/track"], "hypotheses": ["face-cam"]}
    assert check(computed).faults == ()


def test_calculations_that_do_not_count_ask_for_no_predictions() -> None:
    """An uncounted or withdrawn calculation neither needs nor gives a prediction."""
    assert check(planted("calculations/track", observed=OBSERVED, uncounted="counted in the note")).faults == ()
    computed = planted("calculations/track", observed=OBSERVED)
    computed["calculations/cam"] = {
        **computed["calculations/track"],
        "hypotheses": ["face-cam"],
        "uncounted": "a trial",
    }
    assert only(check(computed))[0] == "calculations/track"


def test_predicted_ranges_have_the_measurement_s_dimension() -> None:
    """A range in newtons says nothing of a width."""
    file, field, given, expected, _ = only(check(planted("hypotheses/drum", predicts={"hub-width": "40..90 N"})))
    assert (file, field, given) == ("hypotheses/drum", "predicts.hub-width", "40..90 N")
    assert "`mm`" in expected


def test_a_reference_stands_at_its_field() -> None:
    """References are found in the checked data: fields, lists, keys of mappings, short forms of inputs."""
    found = {ref: references(document.entry, document.lines) for ref, document in documents(base()).items()}
    assert found["evidence/groove"] == [
        ("source", "sources/bench-left"),
        ("bearing.drum", "hypotheses/drum"),
        ("bearing.face-cam", "hypotheses/face-cam"),
        ("measurements.1", "measurements/hub-width"),
    ]
    assert found["calculations/load"] == [
        ("hypotheses.1", "hypotheses/drum"),
        ("inputs.radius.calculation", "calculations/track"),
    ]
    assert ("outcomes.seen.drum", "hypotheses/drum") in found["lookouts/inside"]
    assert found["replies/first"] == [("about", "hypotheses/drum")]


def test_none_of_these_has_one_name() -> None:
    """Entry files and the weighing, which knows no entries, call the rival that is always there by the same name."""
    assert NONE_OF_THESE == NONE


@pytest.mark.parametrize(
    ("medium", "place", "field"),
    [
        ("photograph", {"span": [1, 2]}, "marks.1.span"),
        ("photograph", {"page": 3}, "marks.1.page"),
        ("recording", {"point": [5, 6]}, "marks.1.point"),
        ("book", {"span": [1, 2]}, "marks.1.span"),
        ("photograph", {"box": [1010, 440, 812, 655]}, "marks.1.box"),
        ("photograph", {"box": [812, 440, 198, 215]}, "marks.1.box"),
        ("recording", {"span": [2, 1]}, "marks.1.span"),
    ],
)
def test_a_mark_that_its_source_cannot_have_is_told(medium: str, place: Front, field: str) -> None:
    """Pixels go with pictures, seconds with recordings, pages with texts; corners and ends stand in their order."""
    marked = {**planted("evidence/groove", marks=[{"label": "here", **place}])}
    marked["sources/bench-left"] = {**marked["sources/bench-left"], "medium": medium}
    found = check(marked)
    assert found.faults == ()
    assert [(one.file, one.field) for one in found.warnings] == [("entries/evidence/groove.md", field)]


@pytest.mark.parametrize(
    ("medium", "place"),
    [
        ("photograph", {"box": [812, 440, 1010, 655]}),
        ("recording", {"span": [1, 2]}),
        ("document", {"page": 3, "clause": "4.2"}),
        ("document", {"polygon": [[1, 2], [3, 4], [5, 1]]}),
        ("conversation", {"span": [1, 2]}),
    ],
)
def test_a_mark_that_goes_with_its_source_is_not(medium: str, place: Front) -> None:
    """A document may be there as a picture, and a talk as a recording."""
    marked = {**planted("evidence/groove", marks=[{"label": "here", **place}])}
    marked["sources/bench-left"] = {**marked["sources/bench-left"], "medium": medium}
    assert check(marked) == Checked((), ())
