"""What stands open: parameters that nobody decided, and decisions that rest on a question without an answer."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from ledger.building.contract import Section, entry_name
from ledger.building.deciding.settlement import Settlement
from ledger.building.values import Open, Undecided
from ledger.calculators.contract import Input
from ledger.casebook.values import Casebook
from ledger.entries.models import Decision, Hypothesis, Lookout, Question


def undecided(
    casebook: Casebook, section: Section, lacking: Iterable[Input], settled: Mapping[str, Settlement]
) -> tuple[Undecided, ...]:
    """Return what is undecided in a section, with open questions and lookouts that its other decisions lead to."""
    names = [entry_name(one.name) for one in section.parameters]
    decisions = [ref for name in names if name in settled for ref in settled[name].decisions]
    questions = tuple(dict.fromkeys(one.question for one in opens(casebook, decisions)))
    lookouts = tuple(
        item.ref
        for item in casebook.of_kind("lookout")
        if isinstance(item.entry, Lookout) and item.entry.question in questions
    )
    return tuple(
        Undecided(entry_name(one.name), one.label, section.name, one.name not in section.wanted, questions, lookouts)
        for one in lacking
    )


def opens(casebook: Casebook, decisions: Iterable[str]) -> tuple[Open, ...]:
    """Return the hypotheses of questions without an answer that some decisions rest on, directly or not."""
    resting: dict[str, list[str]] = {}
    for ref in sorted(dict.fromkeys(decisions)):
        for hypothesis in _hypotheses(casebook, ref, set()):
            resting.setdefault(hypothesis, []).append(ref)
    found: list[Open] = []
    for hypothesis, refs in sorted(resting.items()):
        entry = casebook.entries[hypothesis].entry
        question = str(entry.question) if isinstance(entry, Hypothesis) else ""
        asked = casebook.entries.get(question)
        if asked is None or not isinstance(asked.entry, Question) or asked.entry.resolved is not None:
            continue
        weighing = casebook.weighings.get(question)
        standing = next((one for one in weighing.standings if one.rival == hypothesis), None) if weighing else None
        if weighing is not None and standing is not None:
            leads = weighing.leader == hypothesis
            found.append(Open(hypothesis, question, standing.confidence, leads, tuple(refs)))
    return tuple(found)


def _hypotheses(casebook: Casebook, ref: str, seen: set[str]) -> set[str]:
    """Return the hypotheses among a decision's grounds, and among those of decisions that it stands on."""
    item = casebook.entries.get(ref)
    if item is None or ref in seen:
        return set()
    seen.add(ref)
    if isinstance(item.entry, Hypothesis):
        return {ref}
    if not isinstance(item.entry, Decision):
        return set()
    return {one for ground in item.entry.grounds for one in _hypotheses(casebook, str(ground), seen)}
