"""What an entry says of itself besides its body, field by field, in words."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import Any

from ledger.building.sections.register import parameters
from ledger.casebook.items import Item
from ledger.casebook.values import Casebook
from ledger.entries.models import NONE_OF_THESE, Lookout
from ledger.entries.parts import Absence, Bearing, Bearings, Fixed, Mark, Quote
from ledger.publishing import words
from ledger.publishing.addresses import BUILDING, Link, Ways, parameter_at
from ledger.publishing.figures import minus, outcome_of, plain_label, short_label
from ledger.quantities import percents
from ledger.quantities.chance import Chance
from ledger.quantities.factor import Factor

STANDINGS = {
    "in-use": "in use",
    "prototype": "a prototype",
    "patent-only": "a patent only, which shows possibility and not use",
}
STANCES = {
    "agree": "agrees",
    "doubt": "doubts",
    "new-evidence": "brings new evidence",
    "another-hypothesis": "brings another hypothesis",
    "correction": "corrects",
}


@dataclass(frozen=True)
class Field:
    """A label and what stands under it: words, or links. `outward` marks an address on another host."""

    label: str
    values: tuple[Link, ...]
    outward: bool = False


@dataclass(frozen=True)
class Stated:
    """What one note or one outcome of a lookout says of one rival."""

    rival: Link
    bearing: str


def of(item: Item, ways: Ways) -> tuple[Field, ...]:
    """Return an entry's fields in words; those left out are left out here."""
    say = _KINDS.get(item.kind)
    return tuple(field for field in (say(item.entry, ways) if say else ()) if field.values)


def bearings(stated: Bearings, ways: Ways) -> tuple[Stated, ...]:
    """Return the bearings of a note in words, as they were stated."""
    return tuple(
        Stated(Link("every other rival", None) if rival == "others" else ways.to(rival), bearing(one))
        for rival, one in stated.items()
    )


def bearing(stated: Bearing) -> str:
    """Return a bearing in words."""
    if isinstance(stated, Absence):
        return f"not seen; would have shown with chance {words.bearing(stated.would_show)}"
    return words.bearing(stated)


def outcomes(lookout: Lookout, ways: Ways) -> tuple[tuple[str, tuple[Stated, ...]], ...]:
    """Return what each outcome of a lookout would say of the rivals."""
    return tuple((name.replace("-", " "), bearings(stated, ways)) for name, stated in lookout.outcomes.items())


def _plain(label: str, *texts: str | None) -> Field:
    return Field(label, tuple(Link(text, None) for text in texts if text))


def _links(label: str, refs: Iterable[str | None], ways: Ways) -> Field:
    return Field(label, tuple(ways.to(ref) for ref in refs if ref))


def _locator(text: str | None) -> Field:
    outward = bool(text) and text is not None and text.split("://")[0].lower() in ("http", "https") and "://" in text
    return Field("Where to find it", (Link(text or "", text if outward else None),) if text else (), outward)


def _marks(marks: list[Mark]) -> Field:
    return _plain("Marks", *(f"{mark.label}: {_place(mark)}" for mark in marks))


def _place(mark: Mark) -> str:
    if mark.box is not None:
        return "a box on the picture, from {:g}, {:g} to {:g}, {:g} px".format(*mark.box)
    if mark.polygon is not None:
        return f"an outline of {len(mark.polygon)} points on the picture"
    if mark.line is not None:
        (left, top), (right, bottom) = mark.line
        return f"a line on the picture, from {left:g}, {top:g} to {right:g}, {bottom:g} px"
    if mark.point is not None:
        return "a point on the picture, at {:g}, {:g} px".format(*mark.point)
    if mark.span is not None:
        return "in the recording, from {:g} s to {:g} s".format(*mark.span)
    places = (("page", mark.page), ("clause", mark.clause))
    return ", ".join(f"{word} {place}" for word, place in places if place is not None)


def _investigation(entry: Any, ways: Ways) -> tuple[Field, ...]:
    return (
        _plain("Subject", entry.subject),
        _plain("By", *entry.by),
        _plain("Licence", entry.licence),
        _plain("Cautions", *entry.cautions),
        _plain("Chance that a model does not apply, unless stated", words.bearing(entry.doubt)),
    )


def _source(entry: Any, ways: Ways) -> tuple[Field, ...]:
    sound = ways.casebook.soundness.get(entry.reliability)
    return (
        _plain("Medium", entry.medium),
        _plain("Author", entry.author),
        _plain("Date", entry.date),
        _plain("Rights", entry.rights),
        _plain("May be reprinted", "yes" if entry.publishable else "no"),
        _plain("Reliability", words.reliability(entry.reliability)),
        _plain("Chance that it is sound, from its grade", None if sound is None else percents.chance(sound)),
        _links("Retells", [entry.origin], ways),
        _locator(entry.locator),
    )


def _precedent(entry: Any, ways: Ways) -> tuple[Field, ...]:
    return (
        _plain("Standing", STANDINGS[entry.standing]),
        _plain("From", entry.from_),
        _plain("To", entry.to),
        _plain("Traits", *entry.traits),
        _links("Example of", entry.example_of, ways),
        _links("Source", [entry.source], ways),
    )


def _evidence(entry: Any, ways: Ways) -> tuple[Field, ...]:
    return (
        _links("Source", [entry.source], ways),
        _plain("Credibility", words.credibility(entry.credibility)),
        _tracking(ways.casebook, entry.credibility),
        _marks(entry.marks),
        _links("Restates", entry.measurements, ways),
    )


def _measurement(entry: Any, ways: Ways) -> tuple[Field, ...]:
    return (
        _plain("Quantity", minus(entry.quantity.text)),
        _links("Combines", entry.combines, ways),
        _plain("Method", entry.method),
        _links("Source", [entry.source], ways),
        _plain("Credibility", words.credibility(entry.credibility)),
        _tracking(ways.casebook, entry.credibility),
        _marks(entry.marks),
    )


def _tracking(casebook: Casebook, grade: str) -> Field:
    chance = casebook.tracking.get(grade)
    return _plain(
        "Chance that it tracks the truth, given a sound source", None if chance is None else percents.chance(chance)
    )


def _question(entry: Any, ways: Ways) -> tuple[Field, ...]:
    resolved = entry.resolved
    return (
        _plain("Prior that none of the rivals is right", words.bearing(entry.none_of_these)),
        _links("Came out as", [resolved.answer] if resolved and resolved.answer != NONE_OF_THESE else [], ways),
        _plain("Came out as", "none of these" if resolved and resolved.answer == NONE_OF_THESE else None),
        _plain("Known since", resolved.date if resolved else None),
        _plain("Known by", resolved.reason if resolved else None),
        _links("Seen in", [resolved.source] if resolved else [], ways),
    )


def _hypothesis(entry: Any, ways: Ways) -> tuple[Field, ...]:
    predicted = tuple(
        ways.to(ref, f"{ways.to(ref).words}: {minus(quantity.text)}") for ref, quantity in entry.predicts.items()
    )
    return (
        _links("Answers", [entry.question], ways),
        _plain("Prior, as stated", words.bearing(entry.prior)),
        _links("The prior stands on", entry.precedents, ways),
        _plain("Reason for the prior", entry.reason),
        Field("Predicts", predicted),
        _links("True only together with", entry.needs, ways),
        _links("Never together with", entry.rules_out, ways),
        Field(
            "The pair as likely as without the link",
            tuple(_favoured(ref, factor, ways) for ref, factor in entry.favours.items()),
        ),
    )


def _favoured(ref: str, factor: Factor, ways: Ways) -> Link:
    times = f"{factor.low:g}" if factor.low == factor.high else f"{factor.low:g} to {factor.high:g}"
    return ways.to(ref, f"{ways.to(ref).words}: {times} times")


def _calculation(entry: Any, ways: Ways) -> tuple[Field, ...]:
    observed = entry.observed
    return (
        _links("Tests", entry.hypotheses, ways),
        _links("Held against", [observed.measurement] if observed else [], ways),
        _plain("Chance that the model does not apply", None if entry.doubt is None else words.bearing(entry.doubt)),
    )


def _decision(entry: Any, ways: Ways) -> tuple[Field, ...]:
    return (
        _plain("Choice", entry.choice),
        _plain("Taken", entry.taken),
        _plain("Taken again, because", entry.retaken),
        _links("Grounds", entry.grounds, ways),
        Field("Taken on these numbers", tuple(_quoted(one, ways) for one in entry.quotes)),
        Field(
            "Needs a confidence of at least",
            tuple(_least(ref, least, ways) for ref, least in entry.least_confidence.items()),
        ),
        Field(
            "Settles of the model",
            tuple(_on_the_sheet(name, _fixed(name, one, ways), entry, ways) for name, one in entry.fixes.items()),
        ),
    )


def _quoted(quote: Quote, ways: Ways) -> Link:
    link = _taken(quote.of.measurement, quote.of.calculation, quote.of.output, ways)
    return replace(link, words=f"{link.words}: {minus(quote.said.text)}")


def _least(ref: str, least: Chance, ways: Ways) -> Link:
    bound = f"{least.word}, {percents.chance(least.low)}" if least.word else percents.chance(least.low)
    return ways.to(ref, f"{ways.to(ref).words}: {bound}")


def _fixed(name: str, fixed: Fixed, ways: Ways) -> Link:
    label = _parameter(name)
    if fixed.value is not None:
        said = {True: "yes", False: "no"}.get(fixed.value) if isinstance(fixed.value, bool) else str(fixed.value)
        return Link(f"{label}: {minus(str(said))}", None)
    if fixed.rows is not None:
        return Link(f"{label}: {words.count(len(fixed.rows), 'row')}", None)
    link = _taken(fixed.measurement, fixed.calculation, fixed.output, ways)
    return replace(link, words=f"{label}: {link.words}")


def _parameter(name: str) -> str:
    """Return what the build sheet calls a parameter, with its section where others call one of theirs the same."""
    declared = parameters()
    if name not in declared:
        return name
    section, one = declared[name]
    alike = sum(other.label == one.label for _, other in declared.values())
    return f"{short_label(one.label)} ({section.title.lower()})" if alike > 1 else short_label(one.label)


def _on_the_sheet(name: str, link: Link, entry: Any, ways: Ways) -> Link:
    """Return what a decision fixes with its place on the build sheet, unless it leads elsewhere already."""
    if link.href is not None or entry.withdrawn is not None or name not in parameters():
        return link
    return ways.page(BUILDING, link.words, parameter_at(name))


def _taken(measurement: str | None, calculation: str | None, output: str | None, ways: Ways) -> Link:
    """Return the link to a measurement, or to a calculation with the output that is meant."""
    if measurement is not None:
        return ways.to(measurement)
    link = ways.to(str(calculation))
    named = outcome_of(ways.casebook, calculation, output)
    return replace(link, words=f"{link.words}, {plain_label(named.label) if named else output}")


def _lookout(entry: Any, ways: Ways) -> tuple[Field, ...]:
    return (
        _links("Would help to answer", [entry.question], ways),
        _plain("Effort", entry.effort.text if entry.effort else None),
        _plain("Cost", entry.cost),
    )


def _reply(entry: Any, ways: Ways) -> tuple[Field, ...]:
    return (
        _links("About", [entry.about], ways),
        _plain("The writer", STANCES[entry.stance]),
        _plain("From", entry.name or "a reader"),
        _plain("Date", entry.date),
        Field("Thinks", tuple(_thought(ref, share, ways) for ref, share in entry.confidences.items())),
        Field(
            "Would compute with",
            tuple(
                ways.to(ref, f"{ways.to(ref).words}: {_input(ref, name, ways)} {minus(text)}")
                for ref, changed in entry.inputs.items()
                for name, text in changed.items()
            ),
        ),
        _plain("Answer", entry.answer),
    )


def _input(ref: str, name: str, ways: Ways) -> str:
    """Return what an input of a calculation is called on its page."""
    result = ways.casebook.results.get(ref)
    bound = next((one for one in result.inputs if one.name == name), None) if result is not None else None
    return short_label(bound.label) if bound is not None else name


def _thought(ref: str, share: float, ways: Ways) -> Link:
    if ref == NONE_OF_THESE:
        return Link(f"None of these: {percents.chance(share)}", None)
    return ways.to(ref, f"{ways.to(ref).words}: {percents.chance(share)}")


_KINDS: dict[str, Callable[[Any, Ways], tuple[Field, ...]]] = {
    "investigation": _investigation,
    "source": _source,
    "precedent": _precedent,
    "evidence": _evidence,
    "measurement": _measurement,
    "question": _question,
    "hypothesis": _hypothesis,
    "calculation": _calculation,
    "decision": _decision,
    "lookout": _lookout,
    "reply": _reply,
}
