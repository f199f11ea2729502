"""The command that says what to look for next."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from dataclasses import asdict
from enum import StrEnum
from typing import TYPE_CHECKING, Annotated, Any

import typer

from ledger.casebook.opening import open_casebook
from ledger.casebook.values import Casebook
from ledger.cli.place import HERE, AsJson, Folder, find
from ledger.cli.telling import Terminal, one_of
from ledger.publishing.figures import plain_label
from ledger.quantities import percents

if TYPE_CHECKING:
    from ledger.casebook.lookouts import Look, Looks
    from ledger.casebook.repeats import Repeat
    from ledger.casebook.suggesting import Suggestion

console = Terminal(highlight=False)
SHOWN = 8  # rows of measurements and of suggestions; --json has all of them
NOTHING = 0.005  # bits, shown as none


class By(StrEnum):
    """What lookouts are ranked by."""

    GAIN = "gain"
    EFFORT = "effort"


def next_(
    by: Annotated[
        By,
        typer.Option(help="Rank by the `gain`, or by `effort`: the gain an hour.", metavar="BY", parser=one_of(By)),
    ] = By.GAIN,
    folder: Folder = HERE,
    as_json: AsJson = False,
) -> None:
    """Say what to look for next: which observation would tell most, and how likely it changes the leader."""
    from ledger.casebook.lookouts import looks
    from ledger.casebook.repeats import repeats
    from ledger.casebook.suggesting import suggestions

    casebook = open_casebook(find(folder).root)
    looked, again, suggested = looks(casebook, by.value), repeats(casebook), suggestions(casebook)
    answer = " ".join(_answer(casebook, looked, again, suggested, by))
    if as_json:
        print(json.dumps(_json(casebook, looked, again, suggested, answer, by), ensure_ascii=False, indent=2))
        return
    console.print(answer, markup=False)
    _print(_lookouts(casebook, looked))
    _print(f"Not ranked: {ref}, for {why}." for ref, why in looked.left_out.items())
    if again:
        console.print("\n[bold]Worth measuring again[/]: what half the doubt would tell, through the criteria")
        _print(_measurements(casebook, again))
        _rest(len(again))
    if suggested:
        console.print("\n[bold]Suggestions[/]: nobody stated these lookouts; the two that lead differ here")
        _print(_suggestions(casebook, suggested))
        _rest(len(suggested))


def _print(lines: Iterable[str]) -> None:
    for line in lines:
        console.print(line, markup=False, soft_wrap=True)


def _rest(count: int) -> None:
    if count > SHOWN:
        console.print(f"and {count - SHOWN} more; --json has all of them", markup=False)


def _answer(
    casebook: Casebook, looked: Looks, again: tuple[Repeat, ...], suggested: tuple[Suggestion, ...], by: By
) -> Iterator[str]:
    """Yield the sentences that answer what to look for next."""
    if looked.ranked and looked.ranked[0].worth.gain >= NOTHING:
        yield from _first(casebook, looked.ranked[0], by)
    elif looked.ranked:
        yield "None of the lookouts would tell anything."
    else:
        yield "No lookout can be ranked."
    told = looked.ranked[0].worth.gain if looked.ranked else 0.0
    if again and again[0].again.gain > max(told, NOTHING):
        yield f"Measuring again would tell more: {_named(casebook, again[0])}, {again[0].again.gain:.2f} bit."
    if suggested and suggested[0].gain > max(told, NOTHING):
        best, question = suggested[0], casebook.entries[suggested[0].question].title
        yield f"A lookout that nobody stated would tell more, on “{question}”: {best.title}, {best.gain:.2f} bit."


def _first(casebook: Casebook, look: Look, by: By) -> Iterator[str]:
    found, open_ = look.worth, _open(casebook, look.question)
    title, question = casebook.entries[look.ref].title, casebook.entries[look.question].title
    most = "tells most an hour" if by is By.EFFORT and look.rate is not None else "tells most"
    yield (
        f"“{title}” {most}: {found.gain:.2f}{_range(found.low, found.high)} of the {open_:.2f} bit that are open on "
        f"“{question}”{_hourly(look)}."
    )
    changes = percents.chance(found.leader_changes)
    yield f"With a chance of {changes} another rival leads then." if found.leader_changes else "The leader stays."
    for other, chance in found.elsewhere.items():
        if chance:
            yield f"So it may on “{casebook.entries[other].title}”, through links ({percents.chance(chance)})."


def _hourly(look: Look) -> str:
    if look.rate is None or look.hours is None:
        return ""
    return f", {look.rate:.2g} bit an hour"


def _lookouts(casebook: Casebook, looked: Looks) -> Iterator[str]:
    """Yield three lines for each lookout at most: what it is, what it would tell, what it costs."""
    for place, look in enumerate(looked.ranked, 1):
        entry, found = casebook.entries[look.ref].entry, look.worth
        yield f"{place:>3}  {entry.title}"
        told = [
            f"{found.gain:.2f}{_range(found.low, found.high)} bit",
            f"leader changes {percents.chance(found.leader_changes)}",
        ]
        told += [
            f"“{casebook.entries[ref].title}” {percents.chance(chance)}, through links"
            for ref, chance in found.elsewhere.items()
            if chance
        ]
        effort = getattr(entry, "effort", None)
        if effort is not None:
            told.append(effort.text if look.rate is None else f"{effort.text}, {look.rate:.2g} bit an hour")
        yield f"     {'; '.join(told)}"
        if cost := getattr(entry, "cost", None):
            yield f"     cost: {cost}"


def _measurements(casebook: Casebook, again: tuple[Repeat, ...]) -> Iterator[str]:
    for one in again[:SHOWN]:
        yield f"     {_named(casebook, one)}, now {one.quantity.text}"
        changes = f"leader changes {percents.chance(one.again.leader_changes)}"
        yield f"     {one.again.gain:.3f} bit; {changes}; on “{casebook.entries[one.question].title}”"


def _named(casebook: Casebook, one: Repeat) -> str:
    title = casebook.entries[one.ref].title
    return f"{plain_label(one.label)} (in “{title}”)" if one.label else title


def _suggestions(casebook: Casebook, suggested: tuple[Suggestion, ...]) -> Iterator[str]:
    for one in suggested[:SHOWN]:
        more = f" (and {len(one.others)} more results)" if one.others else ""
        yield f"     {one.title}{more}: {one.gain:.2f} bit; leader changes {percents.chance(one.leader_changes)}"
        yield f"     {'; '.join(f'“{casebook.entries[rival].title}” says {said}' for rival, said in one.says.items())}"
        yield f"     by {', '.join(ref.split('/')[-1] for ref in one.grounds)}"


def _open(casebook: Casebook, question: str) -> float:
    """Return what is not known of a question [bit]."""
    from ledger.weighing.information import entropy

    chances = [one.confidence for one in casebook.weighings[question].standings]
    return entropy([chance / sum(chances) for chance in chances])


def _range(low: float | None, high: float | None) -> str:
    return "" if low is None or high is None else f" ({low:.2f}…{high:.2f})"


def _json(
    casebook: Casebook,
    looked: Looks,
    again: tuple[Repeat, ...],
    suggested: tuple[Suggestion, ...],
    answer: str,
    by: By,
) -> dict[str, Any]:
    return {
        "answer": answer,
        "by": by.value,
        "open": {ref: _open(casebook, ref) for ref in dict.fromkeys(look.question for look in looked.ranked)},
        "lookouts": {look.ref: _look_json(casebook, look) for look in looked.ranked},
        "left_out": dict(looked.left_out),
        "measurements": [
            {
                "ref": one.ref,
                "label": one.label,
                "quantity": one.quantity.text,
                "question": one.question,
                "rivals": list(one.rivals),
                **asdict(one.again),
            }
            for one in again
        ],
        "suggestions": [asdict(one) for one in suggested],
    }


def _look_json(casebook: Casebook, look: Look) -> dict[str, Any]:
    entry, found = casebook.entries[look.ref].entry, look.worth
    effort = getattr(entry, "effort", None)
    return {
        "question": look.question,
        "gain": found.gain,
        "low": found.low,
        "median": found.median,
        "high": found.high,
        "leader_changes": found.leader_changes,
        "elsewhere": dict(found.elsewhere),
        "anywhere": found.anywhere,
        "effort": None if effort is None else effort.text,
        "hours": look.hours,
        "rate": look.rate,
        "rate_low": look.rate_low,
        "rate_high": look.rate_high,
        "cost": getattr(entry, "cost", None),
        "outcomes": {name: asdict(one) for name, one in found.outcomes.items()},
    }
