"""What `witness next` says: the answer first, then lookouts, what is worth measuring again, and suggestions."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from ledger.casebook.lookouts import looks
from ledger.casebook.opening import open_casebook
from ledger.casebook.repeats import repeats
from ledger.casebook.suggesting import suggestions
from ledger.casebook.values import Casebook
from ledger.quantities.draws import generator
from ledger.quantities.notation import parse
from ledger.weighing.information import entropy
from ledger.weighing.looking import worth
from ledger.weighing.weigh import weigh_together

Run = Callable[..., tuple[int, str, str]]

ADDED = {
    "questions/holds": "kind: question\ntitle: What holds the cover shut?\nnone-of-these: 0.1",
    "hypotheses/hook": "kind: hypothesis\ntitle: A hook\nquestion: holds\nprior: 0.3\nreason: Usual.\n"
    "favours: {coil-spring: 12}",
    "hypotheses/magnet": "kind: hypothesis\ntitle: A magnet\nquestion: holds\nprior: 0.6\nreason: Usual.",
    "measurements/strip": "kind: measurement\ntitle: Thickness of the strip\nquantity: 12.5 ± 2.5 mm\n"
    "source: cover-photograph\ncredibility: 3\nmethod: Scaled.",
    "calculations/coil-fits": "kind: calculation\ntitle: Does a coil fit?\ncalculator: axial-length\n"
    "hypotheses: [coil-spring]\ninputs:\n  layout:\n    rows:\n      - {part: latch plate, length: 2 ± 0.1 mm}\n"
    "      - {part: spring pressed solid, length: 8..12 mm}\n      - {part: pin head, length: 2..3 mm}\n"
    "    reason: Usual.\ncriteria:\n  - {output: length, at-most: 14 ± 1.5 mm}",
    "calculations/leaf-fits": "kind: calculation\ntitle: Does a leaf fit?\ncalculator: axial-length\n"
    "hypotheses: [leaf-spring]\ninputs:\n  layout:\n    rows:\n      - {part: strip, length: measurements/strip}\n"
    "      - {part: pad, length: 12 mm}\n    reason: Usual.\ncriteria:\n  - {output: length, at-most: 25 mm}",
    "lookouts/slow": "kind: lookout\ntitle: Take the cover off\nquestion: return\ncost: A drilled rivet\n"
    "effort: 8..12 h\n"
    "outcomes:\n  coil: {coil-spring: 0.95, leaf-spring: 0.02}\n  strip: {coil-spring: 0.05, leaf-spring: 0.98}",
    "lookouts/quick": "kind: lookout\ntitle: Hold a magnet to the cover\nquestion: return\neffort: 20 ± 10 min\n"
    "outcomes:\n  pulls: {coil-spring: likely, leaf-spring: 0.3}\n  slips: {coil-spring: 0.3, leaf-spring: 0.6..0.8}",
    "lookouts/untimed": "kind: lookout\ntitle: Ask the owner again\nquestion: return\n"
    "outcomes:\n  rang: {coil-spring: 0.6, leaf-spring: 0.5}\n  did-not: {coil-spring: 0.4, leaf-spring: 0.5}",
}


def post(run: Run, case: Path, entries: dict[str, str]) -> None:
    """Write entries and post them."""
    for ref, front in entries.items():
        path = case / "entries" / f"{ref}.md"
        path.parent.mkdir(exist_ok=True)
        path.write_text(f"---\n{front}\n---\n")
    code, out, err = run("post", "--in", case)
    assert code == 0, out + err


@pytest.fixture
def case(run: Run, tmp_path: Path) -> Path:
    """A started investigation with lookouts, a linked question and a second calculation."""
    folder = tmp_path / "case"
    assert run("start", folder, "--title", "A latch", "--by", "A. Reader")[0] == 0
    post(run, folder, ADDED)
    return folder


@pytest.fixture
def casebook(case: Path) -> Casebook:
    """Its casebook, over few draws."""
    return open_casebook(case, count=2000)


def test_the_answer_comes_first(run: Run, case: Path) -> None:
    """The first sentence names the lookout that tells most, its bits with their range, and what is open."""
    code, out, _ = run("next", "--in", case)
    assert code == 0
    first = out.splitlines()[0]
    assert first.startswith("“Take the cover off” tells most: ")
    assert re.search(r"\d\.\d\d \(\d\.\d\d…\d\.\d\d\) of the \d\.\d\d bit that are open on “What returns", first)
    places = [out.index(words) for words in ("Take the cover off", "Hold a magnet", "measuring again", "Suggestions")]
    assert places == sorted(places)
    for words in ("8..12 h", "A drilled rivet", "bit an hour", "through links"):
        assert words in out


def test_by_effort_the_quick_look_comes_first(run: Run, case: Path) -> None:
    """By the hour a weak look of minutes comes before a strong one of hours; one without a time comes last."""
    by_gain = json.loads(run("next", "--json", "--in", case)[1])
    by_effort = json.loads(run("next", "--by", "effort", "--json", "--in", case)[1])
    assert list(by_gain["lookouts"]) == ["lookouts/slow", "lookouts/quick", "lookouts/untimed"]
    assert list(by_effort["lookouts"]) == ["lookouts/quick", "lookouts/slow", "lookouts/untimed"]
    assert by_effort["answer"].startswith("“Hold a magnet to the cover” tells most an hour: ")
    slow, quick = (by_gain["lookouts"][f"lookouts/{name}"] for name in ("slow", "quick"))
    assert slow["rate"] == pytest.approx(slow["gain"] / 10)
    assert quick["hours"] == pytest.approx(1 / 3)
    assert quick["rate_low"] < quick["rate"] < quick["rate_high"]
    assert by_gain["lookouts"]["lookouts/untimed"]["rate"] is None


def test_a_wrong_order_is_refused(run: Run, case: Path) -> None:
    """There are two orders and no third."""
    code, _, err = run("next", "--by", "cost", "--in", case)
    assert code == 2
    assert "gain" in err
    assert "effort" in err


def test_json_has_all_of_it(run: Run, case: Path) -> None:
    """Answer, lookouts with outcomes and linked questions, measurements and suggestions are in the JSON."""
    found = json.loads(run("next", "--json", "--in", case)[1])
    assert set(found) == {"answer", "by", "open", "lookouts", "left_out", "measurements", "suggestions"}
    slow = found["lookouts"]["lookouts/slow"]
    assert slow["low"] < slow["median"] < slow["high"]
    assert set(slow["outcomes"]) == {"coil", "strip"}
    assert 0 < slow["elsewhere"]["questions/holds"] <= slow["anywhere"] <= 1
    assert {one["question"] for one in found["measurements"]} == {"questions/return"}
    (suggested,) = found["suggestions"]
    assert suggested["title"] == "Length of this layout"
    assert set(suggested["grounds"]) == {"calculations/leaf-fits", "calculations/coil-fits"}
    assert set(suggested["says"]) == {"hypotheses/coil-spring", "hypotheses/leaf-spring"}
    assert suggested["gain"] > 0.1


def test_what_is_measured_is_named(casebook: Casebook) -> None:
    """A measurement goes by its own name, a stated size by its calculation's; both are worth measuring again here."""
    found = {(one.ref, one.label): one for one in repeats(casebook)}
    strip = found["measurements/strip", ""]
    assert strip.rivals == ("hypotheses/leaf-spring",)
    assert strip.again.gain > 0.01
    solid = next(one for one in found.values() if one.quantity.text == "8..12 mm")
    assert (solid.ref, solid.rivals) == ("calculations/coil-fits", ("hypotheses/coil-spring",))
    assert solid.label.endswith("row 2, Length of one piece, with its limits")
    assert any(one.root[1:2] == ("criterion",) and one.label.startswith("limit of ") for one in found.values())
    gains = [one.again.gain for one in repeats(casebook)]
    assert gains == sorted(gains, reverse=True)


def test_nothing_is_suggested_where_predictions_agree(run: Run, case: Path) -> None:
    """With the leaf's pad as thin as the coil's parts both lengths agree within their doubt: no suggestion."""
    assert suggestions(open_casebook(case, count=500))
    thin = ADDED["calculations/leaf-fits"].replace("12 mm", "0.5 mm")
    post(run, case, {"calculations/leaf-fits": thin})
    assert not suggestions(open_casebook(case, count=500))


@pytest.mark.parametrize(
    ("radius", "told"), [("{value: 75 ± 1 mm, reason: Seen.}", True), ("{chosen: 70..80 mm, reason: Free.}", False)]
)
def test_nothing_is_suggested_where_the_designer_chooses(run: Run, case: Path, radius: str, told: bool) -> None:
    """A result that stands on a free choice, if only through another calculation, predicts nothing."""
    inputs = (
        "targets: {value: 40, reason: Seen.}",
        "speed: {value: 3450 1/min, reason: Seen.}",
        f"radius: {radius}",
        "difference: {value: 711 1/min, reason: Seen.}",
        "window_time: {value: 2.4 ms, reason: Seen.}",
    )
    pad = "kind: calculation\ntitle: The pad\ncalculator: sensor-wheel\ninputs:\n  " + "\n  ".join(inputs)
    leaf = ADDED["calculations/leaf-fits"].replace("length: 12 mm", "length: calculations/pad#target_spacing")
    post(run, case, {"calculations/pad": pad, "calculations/leaf-fits": leaf})
    found = open_casebook(case, count=500)
    assert not found.refused
    assert bool(suggestions(found)) is told


def test_predictions_apart_that_nothing_weighs_are_suggested(run: Run, case: Path) -> None:
    """Two rivals whose stated ranges for a measurement do not meet suggest it, until a note restates it."""
    hypotheses = case / "entries" / "hypotheses"
    for name, stated in (("coil-spring", "10..20 mm"), ("leaf-spring", "1..4 mm")):
        path = hypotheses / f"{name}.md"
        path.write_text(
            path.read_text().replace("question: return", f"question: return\npredicts: {{depth: {stated}}}")
        )
    post(run, case, {})
    found = {one.title: one for one in suggestions(open_casebook(case, count=500))}
    depth = found["Depth of the room behind the latch"]
    assert depth.says == {"hypotheses/coil-spring": "10..20 mm", "hypotheses/leaf-spring": "1..4 mm"}
    assert depth.grounds == ("measurements/depth",)
    note = (
        "kind: evidence\ntitle: It is deep\nsource: cover-photograph\ncredibility: 3\nmeasurements: [depth]\n"
        "bearing: {coil-spring: 0.8, leaf-spring: 0.4}"
    )
    post(run, case, {"evidence/deep": note})
    assert "Depth of the room behind the latch" not in {
        one.title for one in suggestions(open_casebook(case, count=500))
    }


def test_predictions_that_meet_suggest_nothing(run: Run, case: Path) -> None:
    """Stated ranges that overlap are no ground for a lookout."""
    for name, stated in (("coil-spring", "10..20 mm"), ("leaf-spring", "5..12 mm")):
        path = case / "entries" / "hypotheses" / f"{name}.md"
        front = path.read_text().replace("question: return", f"question: return\npredicts: {{depth: {stated}}}")
        path.write_text(front)
    post(run, case, {})
    assert [one.title for one in suggestions(open_casebook(case, count=500))] == ["Length of this layout"]


def test_what_is_held_against_a_measurement_is_not_suggested(run: Run, case: Path) -> None:
    """A result that a measurement speaks to already is no suggestion."""
    stack = (
        "kind: measurement\ntitle: The stack\nquantity: 20 ± 5 mm\nsource: cover-photograph\ncredibility: 3\n"
        "method: Scaled."
    )
    coil = case / "entries" / "calculations" / "coil-fits.md"
    observed = "observed: {output: length, measurement: stack}"
    coil.write_text(coil.read_text().replace("criteria:", f"{observed}\ncriteria:"))
    leaf = ADDED["calculations/leaf-fits"].replace("criteria:", f"{observed}\ncriteria:")
    post(run, case, {"measurements/stack": stack, "calculations/leaf-fits": leaf})
    found = open_casebook(case, count=500)
    assert not found.refused
    assert found.cases["questions/return"].predictions
    assert not suggestions(found)


def test_what_was_run_twice_is_not_compared(run: Run, case: Path) -> None:
    """Where a calculator was run twice for a rival nobody said which run is to be set beside the other rival's."""
    post(run, case, {"calculations/leaf-again": ADDED["calculations/leaf-fits"]})
    assert not suggestions(open_casebook(case, count=500))


def test_truths_that_differ_are_suggested_and_bare_sizes_are_not(run: Run, case: Path) -> None:
    """A yes under one rival and a no under the other is something to look for; sizes without any doubt are not."""
    rows = (
        "  layout:\n    rows: [{{part: arm, length: {} mm}}]\n    reason: Usual.\n"
        "  other:\n    rows: [{{part: lid, length: {} mm}}]\n    reason: Usual."
    )
    entries = {
        f"calculations/{name}-row": f"kind: calculation\ntitle: {name}\ncalculator: axial-length\n"
        f"hypotheses: [{name}]\ninputs:\n{rows.format(*lengths)}"
        for name, lengths in (("hook", (5, 9)), ("magnet", (9, 5)))
    }
    post(run, case, entries)
    found = [one for one in suggestions(open_casebook(case, count=500)) if one.question == "questions/holds"]
    assert [(one.title, one.others) for one in found] == [("This layout is the shorter", ())]
    assert found[0].says == {
        "hypotheses/hook": "true in all draws",
        "hypotheses/magnet": "true in none of the draws",
    }


def test_what_does_not_matter_is_not_worth_measuring(run: Run, case: Path) -> None:
    """A shim a thousandth of a millimetre thick decides nothing, and is left out."""
    shim = "    rows:\n      - {part: shim, length: 0.001..0.002 mm}\n"
    post(run, case, {"calculations/leaf-fits": ADDED["calculations/leaf-fits"].replace("    rows:\n", shim)})
    texts = {one.quantity.text for one in repeats(open_casebook(case, count=500))}
    assert "12.5 ± 2.5 mm" in texts
    assert "0.001..0.002 mm" not in texts


def test_a_rival_that_came_later_leaves_a_lookout_out(run: Run, case: Path) -> None:
    """A lookout that is silent on a later rival is not ranked, and the command says why."""
    path = case / "entries" / "hypotheses" / "leaf-spring.md"
    path.write_text(path.read_text().replace("prior: 0.4", "prior: 0.3"))
    late = "kind: hypothesis\ntitle: A rubber band\nquestion: return\nprior: 0.1\nreason: Cheap."
    post(run, case, {"hypotheses/rubber-band": late})
    code, out, _ = run("next", "--in", case)
    assert code == 0
    assert "Not ranked: lookouts/slow, for it does not say what hypotheses/rubber-band would show" in out
    assert out.startswith("No lookout can be ranked.")


def test_a_resolved_question_needs_no_look(run: Run, case: Path) -> None:
    """Once the truth is out, its lookouts, measurements and suggestions fall away."""
    path = case / "entries" / "questions" / "return.md"
    resolved = "resolved: {answer: coil-spring, date: 2031-01-02, reason: Opened.}"
    path.write_text(path.read_text().replace("none-of-these", f"{resolved}\nnone-of-these"))
    post(run, case, {})
    found = json.loads(run("next", "--json", "--in", case)[1])
    assert not found["lookouts"]
    assert found["left_out"]["lookouts/slow"] == "questions/return is resolved"
    assert not found["measurements"]
    assert not found["suggestions"]


def test_a_lookout_is_drawn_with_everything_else(casebook: Casebook) -> None:
    """Each draw's gain is that of a look with that draw of the word, of the range and of the confidences.

    The word `likely` is the draw it is in notes; the range goes by lookout, outcome and rival; outcomes are divided by
    their sum; the time is drawn by itself.
    """
    quick = next(one for one in looks(casebook).ranked if one.ref == "lookouts/quick")
    weighing = casebook.weighings["questions/return"]
    coil, leaf = "hypotheses/coil-spring", "hypotheses/leaf-spring"
    likely = 0.55 + 0.25 * generator("weighing", "ladder likely").random(2000)
    slips = 0.6 + 0.2 * generator("weighing", f"lookouts/quick slips {leaf}").random(2000)
    minutes = parse("20 ± 10 min").draw(2000, generator("lookouts/quick", "effort"))
    prior = {one.rival: one.prior for one in weighing.standings}  # points here, so the same in every draw
    gains = []
    for draw in range(2000):
        pulls = {coil: likely[draw] / (likely[draw] + 0.3), leaf: 0.3 / (0.3 + slips[draw])}
        outcomes = {"pulls": pulls, "slips": {rival: 1 - chance for rival, chance in pulls.items()}}
        gains.append(worth({rival: one[draw] for rival, one in weighing.drawn.items()}, outcomes, prior=prior).gain)
    assert quick.worth.drawn == pytest.approx(np.array(gains), abs=1e-12)
    assert (quick.worth.low, quick.worth.median, quick.worth.high) == pytest.approx(
        tuple(np.quantile(gains, [0.05, 0.5, 0.95])), abs=1e-12
    )
    rates = np.array(gains) / minutes * 60
    assert (quick.rate_low, quick.rate_high) == pytest.approx(tuple(np.quantile(rates, [0.05, 0.95])), rel=5e-3)
    assert quick.worth.low < quick.worth.gain < quick.worth.high  # type: ignore[operator]
    untimed = next(one for one in looks(casebook).ranked if one.ref == "lookouts/untimed")
    assert untimed.rate is untimed.rate_low is untimed.hours is None


def test_what_half_the_doubt_buys_is_what_weighing_its_readings_gives(casebook: Casebook) -> None:
    """Of the thickness of the strip, by weighing the question anew at each reading, links and notes and all.

    Readings come with σ = s/√3 about the draws; under each the feasibility is that of the draws near it.
    """
    (strip,) = [one for one in repeats(casebook) if one.ref == "measurements/strip"]
    quantity = parse("12.5 ± 2.5 mm")
    draws = quantity.draw(2000, generator("measurements/strip"))
    assert casebook.ground is not None
    held = casebook.ground.holds["hypotheses/leaf-spring"].draws
    cases = [casebook.cases[ref] for ref in ("questions/holds", "questions/return")]
    noise, step = float(np.std(draws)) / np.sqrt(3), 0.1
    now = {one.rival: one.confidence for one in casebook.weighings["questions/return"].standings}
    before = entropy(list(now.values()))
    gain = total = 0.0
    for m in np.arange(draws.min() - 3, draws.max() + 3, step):
        near = stats.norm.pdf(m, draws, noise)
        feasible = tuple(
            replace(one, holds=float(np.average(held, weights=near))) if one.rival.endswith("leaf-spring") else one
            for one in cases[1].feasibilities
        )
        weighed = weigh_together([cases[0], replace(cases[1], feasibilities=feasible)], casebook.links)
        after = {one.rival: one.confidence for one in weighed["questions/return"].standings}
        kept = 0.95 * np.average(held, weights=near) + 0.05
        leaf = now["hypotheses/leaf-spring"]
        chance = near.mean() * step * (1 - leaf + leaf * kept / (0.95 * held.mean() + 0.05))
        total += chance
        gain += chance * (before - entropy(list(after.values())))
    assert total == pytest.approx(1, abs=1e-3)
    assert strip.again.gain + strip.again.correction == pytest.approx(gain, rel=0.01)
