"""The demo is whole: its past replays, nothing is wrong or refused, every calculator is used, it can be published."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from ledger.calculators.register import REGISTER
from ledger.casebook.scores import scores
from ledger.casebook.values import Casebook
from ledger.casebook.verifying import problems
from ledger.entries.models import Calculation, Decision, Hypothesis, Lookout, Reply
from ledger.publishing.media.picturing import marked_reprint, reprint
from ledger.quantities.units import same_dimension
from ledger.store.posting import Report
from ledger.tracing.staleness import stale
from ledger.tracing.trace import trace

OPEN = {
    "questions/how-the-oil-gets-there",
    "questions/what-carries-the-torque",
    "questions/what-moves-the-selectors",
    "questions/where-the-sleeves-sit",
}
LEAST = {
    "question": 4,
    "hypothesis": 14,
    "precedent": 5,
    "source": 8,
    "evidence": 25,
    "measurement": 10,
    "calculation": 12,
    "decision": 4,
}


@pytest.fixture
def posted(demo: tuple[Path, Report]) -> tuple[Path, Report]:
    """The demo posted into an empty ledger."""
    return demo


@pytest.fixture
def casebook(demo_casebook: Casebook) -> Casebook:
    """The demo opened, all computed."""
    return demo_casebook


def test_the_past_replays_and_the_files_say_nothing_else(posted: tuple[Path, Report]) -> None:
    """A clone has the whole history, and posting the files on top of it changes nothing."""
    report = posted[1]
    assert report.replayed > 200
    changed = (report.new, report.revised, report.withdrawn, report.restored, report.renamed, report.absent)
    assert changed == ((),) * 6


def test_the_demo_has_the_weight_of_a_real_case(casebook: Casebook) -> None:
    """It says that it is invented, has enough of everything, and uses every calculator."""
    assert casebook.investigation.invented
    counts = Counter(item.kind for item in casebook.entries.values())
    assert all(counts[kind] >= least for kind, least in LEAST.items()), counts
    assert {result.calculator for result in casebook.results.values()} == set(REGISTER)


def test_nothing_is_refused_and_nothing_counts_twice(posted: tuple[Path, Report], casebook: Casebook) -> None:
    """Every calculation runs, every question is weighed, and the check finds nothing wrong."""
    assert casebook.refused == {}
    assert set(casebook.weighings) == {item.ref for item in casebook.of_kind("question")}
    assert [one.message for one in problems(posted[0]) if one.severity == "wrong"] == []


def test_the_ranking_is_no_foregone_conclusion(casebook: Casebook) -> None:
    """On what moves the selectors the leader is short of certainty, and another has a real chance."""
    first, second = casebook.weighings["questions/what-moves-the-selectors"].standings[:2]
    assert first.confidence < 0.8
    assert second.confidence > 0.1


def test_the_demo_links_its_questions_in_every_way(casebook: Casebook) -> None:
    """Links need, rule out, and favour by a number and by a range; they join three or more of the open questions."""
    links = casebook.links
    assert {link.kind for link in links} == {"needs", "rules-out", "favours"}
    assert {link.stated is None for link in links if link.kind == "favours"} == {True, False}
    owners = {item.ref: item.entry.question for item in casebook.entries.values() if isinstance(item.entry, Hypothesis)}
    linked = {owners[rival] for link in links for rival in (link.one, link.other)}
    assert len(linked & OPEN) >= 3
    assert not any(weighing.impossible for weighing in casebook.weighings.values())


def test_every_link_of_the_demo_has_its_reason_beside_it(casebook: Casebook) -> None:
    """The text of a hypothesis that states a link leads to the hypothesis it speaks of."""
    for link in casebook.links:
        assert f"]({link.other})" in casebook.entries[link.one].body, link.name


def test_the_demo_states_priors_and_doubts_as_ranges_and_words(casebook: Casebook) -> None:
    """Some priors are ranges, one is a word, some are numbers; a calculation's doubt is a range."""
    entries = [item.entry for item in casebook.entries.values()]
    priors = [entry.prior for entry in entries if isinstance(entry, Hypothesis)]
    assert {prior.word is not None for prior in priors} == {True, False}
    assert {prior.low < prior.high for prior in priors if prior.word is None} == {True, False}
    doubts = [entry.doubt for entry in entries if isinstance(entry, Calculation) and entry.doubt is not None]
    assert any(doubt.low < doubt.high for doubt in doubts)


def test_every_lookout_of_the_demo_says_how_long_it_takes(casebook: Casebook) -> None:
    """Each has an effort, a time, and most of them with its doubt."""
    efforts = [item.entry.effort for item in casebook.of_kind("lookout") if isinstance(item.entry, Lookout)]
    assert len(efforts) >= 5
    assert all(effort is not None and same_dimension(effort.unit, "h") for effort in efforts)
    assert any(effort.std > 0 for effort in efforts if effort is not None)


def test_the_demo_has_questions_that_came_out_and_was_wrong_on_one(casebook: Casebook) -> None:
    """Two or more are resolved, four stay open; the ledger had a forecast of each, and not every answer led in it."""
    found = scores(casebook)
    assert len(found.answered) >= 2
    assert {item.ref for item in casebook.of_kind("question")} - {one.question for one in found.answered} == OPEN
    assert all(one.resolved.source in casebook.entries for one in found.answered)
    held = [(one.resolved.answer, judged.forecast) for one in found.answered for judged in one.judged]
    own = [(answer, forecast.confidences) for answer, forecast in held if forecast.kind == "ledger"]
    assert len(own) == len(found.answered)
    assert {max(shares, key=shares.__getitem__) == answer for answer, shares in own} == {True, False}


def test_readers_of_the_demo_say_how_sure_they_are(casebook: Casebook) -> None:
    """Several readers and the author, one without a name and one without consent, speak to what is known and open."""
    told = [item.entry for item in casebook.of_kind("reply") if isinstance(item.entry, Reply)]
    sure = [reply for reply in told if reply.confidences]
    assert {reply.name is None for reply in sure} == {reply.consent for reply in sure} == {True, False}
    found = scores(casebook)
    assert {one.kind for one in found.forecasters} >= {"ledger", "author", "reader", "unnamed"}
    assert set(found.readers) & OPEN
    assert set(found.readers) - OPEN


def test_a_reader_of_the_demo_was_too_sure(casebook: Casebook) -> None:
    """Somebody gave no chance to what came true; the ledger did not."""
    infinite = {one.kind: one.bits.infinite for one in scores(casebook).forecasters}
    assert infinite["ledger"] == 0
    assert any(one.bits.infinite for one in scores(casebook).forecasters if one.kind == "reader")


def test_the_demo_is_published_strictly(demo_site: Path, casebook: Casebook) -> None:
    """The strict build passes, and the comparison of the selectors stands in it with its leader."""
    page = (demo_site / "questions" / "what-moves-the-selectors.html").read_text("utf-8")
    leader = casebook.weighings["questions/what-moves-the-selectors"].leader
    assert leader is not None
    assert casebook.entries[leader].title in page


def test_no_decision_is_stale_and_each_says_what_it_counts_on(casebook: Casebook) -> None:
    """Each quotes numbers or states the confidence it needs; one was taken again, with its reason."""
    assert stale(casebook) == {}
    decisions = [item.entry for item in casebook.of_kind("decision") if isinstance(item.entry, Decision)]
    assert sum(bool(entry.quotes or entry.least_confidence) for entry in decisions) > 0.8 * len(decisions)
    assert any(entry.retaken for entry in decisions)


def test_every_decision_can_be_followed_to_a_region_of_a_photograph(
    posted: tuple[Path, Report], casebook: Casebook
) -> None:
    """Among what its page leads to is a note or a measurement whose page shows the picture with the region marked."""
    for item in casebook.of_kind("decision"):
        found = trace(casebook, item.ref)
        shown = [ref for ref, node in found.nodes.items() if node.column == 1 and not node.small]
        assert any(
            picture(casebook, casebook.entries[ref], posted[0]) is not None
            for ref in shown
            for picture in (reprint, marked_reprint)
        ), item.ref
