"""Traces go down and up the same ties and leave nothing out; quoted numbers and files of decisions keep their word."""

from __future__ import annotations

from collections import Counter
from math import inf
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from ledger.casebook.values import Casebook
from ledger.entries.models import Decision
from ledger.entries.reading import read_text
from ledger.entries.retaking import retaken_text
from ledger.entries.writing import write
from ledger.quantities.notation import Quantity, parse
from ledger.quantities.quantity import render
from ledger.tracing.grounds import Grounds, direct
from ledger.tracing.quoting import Present, interval, moved, notation
from ledger.tracing.trace import branches, trace
from ledger.tracing.withdrawal import Test
from tests import drawn_entries, drawn_ledgers, drawn_numbers, drawn_words, traced
from tests.casebooks import casebook as by_hand


def entries(ledger: drawn_ledgers.Ledger) -> dict[str, Any]:
    """Return a drawn ledger's standing entries as a casebook holds them."""
    return {
        ref: item
        for ref, item in traced.items(
            {f"{folder}/{name}": front for (folder, name), (front, _) in ledger.items()}
        ).items()
        if item.entry.withdrawn is None
    }


@given(drawn_ledgers.ledgers(), st.booleans())
def test_up_is_the_inverse_of_down(ledger: drawn_ledgers.Ledger, links: bool) -> None:
    """One entry stands below another just when the other stands above it, by one tie and by many."""
    found = Grounds(entries(ledger))
    refs = list(entries(ledger))
    below = {(ref, lower) for ref in refs for lower in found.below(ref, links=links)}
    above = {(upper, ref) for ref in refs for upper in found.above(ref, links=links)}
    assert below == above
    assert {tie for ref in refs for tie in found.down(ref)} == {tie for ref in refs for tie in found.up(ref)}


@given(drawn_ledgers.ledgers())
def test_every_ground_of_a_decision_is_reached(ledger: drawn_ledgers.Ledger) -> None:
    """What a decision names lies below it, and so does the source of every note and measurement it names."""
    standing = entries(ledger)
    found = Grounds(standing)
    for ref, item in standing.items():
        if isinstance(item.entry, Decision):
            below = set(found.below(ref))
            assert set(direct(item.entry)) & standing.keys() <= below
            for ground in direct(item.entry):
                source = getattr(standing[ground].entry, "source", None) if ground in standing else None
                assert source is None or source in below


def test_every_source_that_moves_a_hypothesis_lies_below_it() -> None:
    """Whatever source, lost, would move a confidence that a decision counts on is found below it, links followed."""
    casebook = fragile_casebook()
    test, standing = Test(casebook), 0
    for item in casebook.of_kind("hypothesis"):
        below = set(test.grounds.below(item.ref, links=True))
        for one in test.sweep():
            if any(move.rival == item.ref for move in one.moves):
                standing += 1
                assert one.refs[0] in below
    assert standing > 20


def fragile_casebook() -> Casebook:
    """The linked ledger with decisions, weighed without a record."""
    from ledger.casebook.grounding import stand
    from ledger.casebook.values import Edition
    from ledger.casebook.weighed import weigh_all
    from tests.toys import TOYS

    said = traced.fronts()
    standing = traced.items(said)
    computed, ground = stand(standing, said, TOYS, {}, 400)
    weighed = weigh_all(ground, 0)
    return Casebook(
        entries=standing, withdrawn={}, results=computed.results, refused=computed.refused, weighings=weighed.weighings,
        feasibility={}, used_by={}, soundness=ground.soundness, tracking=ground.tracking, findings=(), twice=(),
        edition=Edition(0, ""), cases=weighed.cases, links=weighed.links, ground=ground,
    )  # fmt: skip


@pytest.mark.parametrize("casebook", [fragile_casebook(), by_hand()], ids=["linked", "by hand"])
def test_a_trace_tells_everything_once_and_in_order(casebook: Casebook) -> None:
    """Its tree has every node, goes into each once, and from a node the heaviest comes first; sizes never grow."""
    for item in casebook.entries.values():
        found = trace(casebook, item.ref)
        told = list(branches(found))
        below = set(Grounds(casebook.entries).below(item.ref))
        linked = {edge.tie.lower for some in found.edges.values() for edge in some if edge.tie.why == "linked"}
        assert set(found.nodes) == {item.ref} | below | linked
        assert {branch.node.ref for branch in told} == set(found.nodes)
        inside = [branch.node.ref for branch in told if not branch.again and found.edges[branch.node.ref]]
        assert len(inside) == len(set(inside))
        for ref, edges in found.edges.items():
            weights = [abs(edge.decibans) for edge in edges if edge.decibans is not None]
            assert weights == sorted(weights, reverse=True)
            for edge in edges:
                way = inf if edge.decibans is None else abs(edge.decibans)
                assert found.nodes[edge.tie.lower].size >= min(found.nodes[ref].size, way)
        assert found.nodes[item.ref].size == inf


quantities = drawn_numbers.quantities("mm").map(parse)


@given(quantities)
def test_a_number_that_stays_has_not_moved(said: Quantity) -> None:
    """Quoted as it is, a number lies in its own interval; in another unit too."""
    now = Present(said.mean, *interval(said), said.unit, said.text)
    assert not moved(said, now)
    assert not moved(said, Present(said.mean / 10, *(one / 10 for one in interval(said)), "cm", ""))


@given(quantities, st.floats(1.01, 50))
def test_a_number_that_leaves_its_interval_has_moved(said: Quantity, far: float) -> None:
    """Beyond either end of what was quoted, by any share of its width, it has moved; in another dimension, too."""
    low, high = said.support if said.shape in ("rectangular", "triangular") else interval(said)
    assume(said.shape != "exact" and high > low)
    for end, sign in ((low, -1), (high, 1)):
        value = end + sign * (far - 1) * (high - low)
        assert moved(said, Present(value, value, value, said.unit, ""))
    assert moved(said, Present(said.mean, low, high, "s", ""))


@given(st.decimals(-999, 999, places=2), st.integers(-3, 3))
def test_an_exact_number_is_the_same_to_its_last_digit(value: Any, steps: int) -> None:
    """Quoted with two decimals, a number that rounds to it has not moved; one that rounds to another has."""
    said = parse(f"{value} mm")
    exactly = float(value) + 0.004 * steps
    assert moved(said, Present(exactly, exactly, exactly, "mm", "")) == (abs(steps) > 1)


@given(st.floats(-1e9, 1e9).filter(lambda value: abs(value) > 1e-3), st.floats(1e-4, 0.4))
def test_what_is_written_into_a_quote_reads_back_as_not_moved(estimate: float, share: float) -> None:
    """The notation of a number that was computed can be read, and the number has not left the interval it states."""
    from ledger.quantities.summary import Summary

    half = abs(estimate) * share
    for summary in (
        Summary(estimate, half / 1.96, estimate - half, estimate + half),
        Summary(estimate, 0.0, estimate, estimate),
    ):
        said = parse(notation(summary, "mm"))
        assert not moved(said, Present(estimate, summary.low, summary.high, "mm", ""))
        assert parse(render(said.shape, said.unit, said.numbers)) is not None


@given(drawn_entries.fronts("decision"), drawn_words.bodies(), drawn_numbers.dates(), drawn_words.prose())
def test_a_decision_taken_again_says_just_that(front: dict[str, Any], body: str, day: str, why: str) -> None:
    """Of its file the day, the reason and the numbers are other, and nothing else; every other line keeps its bytes."""
    text = write({"kind": "decision", **front}, body)
    document = read_text(text, "decisions", "one")
    said = [f"{number} ± 0.5 mm" for number, _ in enumerate(document.front.get("quotes", ()))]
    again = retaken_text(document, str(day), why, said)
    found = read_text(again, "decisions", "one")
    assert (found.front["taken"], found.front["retaken"]) == (str(day), " ".join(why.split()))
    assert [one["said"] for one in found.front.get("quotes", ())] == said
    assert _besides(again, found.front) == _besides(text, document.front)


def _besides(text: str, front: dict[str, Any]) -> Counter[str]:
    """Return the lines of a decision's file but for those of its day, reason and numbers."""
    fields = {key: front[key] for key in ("taken", "retaken", "quotes") if key in front}
    return Counter(text.split("\n")) - Counter(write(fields, "").split("\n")[1:-2])


@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_remarks_and_line_ends_of_a_decision_stay(end: str) -> None:
    """Remarks, blank lines and the ends of lines stand where they stood, and so do lists at the margin."""
    lines = [
        "---", "kind: decision", "title: X   # a remark", "grounds:", "- measurements/a", "", "taken: 2021-05   # then",
        "# of numbers", "quotes:", "- {of: measurements/a, said: 62 mm}", "", "# the end", 'choice: "do: it"', "---",
        "B", "---", "",
    ]  # fmt: skip
    document = read_text(end.join(lines), "decisions", "x")
    again = retaken_text(document, "2022-01-01", "Seen  again", ["63 mm"]).split(end)
    new = [
        "taken: 2022-01-01",
        "retaken: Seen again",
        "# of numbers",
        "quotes:",
        "  - of: measurements/a",
        "    said: 63 mm",
    ]
    assert again == [*lines[:6], *new, *lines[10:]]
    flow = "---\n{kind: decision, title: X, choice: it, grounds: [measurements/a], taken: 2021-05}\n---\nB\n"
    rewritten = read_text(retaken_text(read_text(flow, "decisions", "x"), "2022", "Why", []), "decisions", "x")
    assert rewritten.front["taken"] == "2022"
    assert rewritten.body == "B\n"
