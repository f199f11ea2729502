"""Commands that answer: rank, compare."""

from __future__ import annotations

import json
from dataclasses import asdict
from pathlib import Path
from typing import Annotated, Any

import typer
from rich.table import Column, Table

from ledger.casebook.items import Item
from ledger.casebook.opening import open_casebook
from ledger.casebook.values import Casebook
from ledger.cli.place import HERE, AsJson, Folder, find
from ledger.cli.telling import Terminal
from ledger.entries.models import Calculation, Question
from ledger.errors import Fault, FaultsFound, nearest, of_command
from ledger.publishing import comparing, words
from ledger.publishing.addresses import HOME, Ways
from ledger.publishing.reasons import reasons
from ledger.quantities import percents
from ledger.weighing.values import NONE, Standing, Weighing

console = Terminal(highlight=False)
SHOWN = 0.05  # decibans; what links carry over less of than this is shown by --json alone


def rank(folder: Folder = HERE, as_json: AsJson = False) -> None:
    """Rank the rivals of every question."""
    casebook = open_casebook(find(folder).root)
    if as_json:
        print(
            json.dumps(
                {ref: _weighing_json(one) for ref, one in casebook.weighings.items()}, ensure_ascii=False, indent=2
            )
        )
        return
    for ref, weighing in casebook.weighings.items():
        console.print(f"\n[bold]{_safe(casebook.entries[ref].title)}[/]  [dim]{ref}[/]")
        console.print(_safe(_answer(casebook, weighing)))
        console.print(_standings(casebook, weighing))
    _findings(casebook)


def compare(
    question: Annotated[
        str, typer.Argument(help="A question, such as `forks` or `questions/forks`.", metavar="QUESTION")
    ],
    calculator: Annotated[
        str | None, typer.Option(help="Show what one calculator gives for every rival instead.")
    ] = None,
    csv: Annotated[Path | None, typer.Option(metavar="FILE", help="Write that table to a CSV file.")] = None,
    folder: Folder = HERE,
    as_json: AsJson = False,
) -> None:
    """Set the rivals of one question side by side, with every note and number."""
    casebook = open_casebook(find(folder).root)
    ref = question if "/" in question else f"questions/{question}"
    item = _find(casebook, ref, "question")
    if calculator is not None or csv is not None:
        _across(casebook, ref, calculator, csv, as_json)
        return
    weighing = casebook.weighings.get(ref)
    if weighing is None:
        messages = [finding.message for finding in casebook.findings if ref in finding.about]
        raise FaultsFound(
            [Fault(ref, 0, "", "a question that cannot be weighed", "rivals to weigh", " ".join(messages))]
        )
    if as_json:
        print(json.dumps(_weighing_json(weighing), ensure_ascii=False, indent=2))
        return
    console.print(f"[bold]{_safe(item.title)}[/]")
    console.print(_safe(_answer(casebook, weighing)))
    console.print(_standings(casebook, weighing))
    for reason in reasons(casebook, weighing, Ways(casebook, HOME)):
        console.print(f"\n{_safe(reason.plain)}")
    console.print()
    console.print(_weights(weighing))
    console.print(_numbers(casebook, weighing))
    account = weighing.account
    console.print(
        f"\n[bold]Account[/]: {_title(casebook, account.leader)} over {_title(casebook, account.runner_up)}, "
        f"{words.weighed(account.total)}, made up of"
    )
    for line in account.lines:
        console.print(f"  {line.decibans:+7.2f}  {line.part}{f'  {line.ref}' if line.ref else ''}", markup=False)


def _across(casebook: Casebook, question: str, calculator: str | None, csv: Path | None, as_json: bool) -> None:
    """Print or write one calculator's numbers across the rivals of a question."""
    from ledger.calculators.adhoc import known
    from ledger.casebook.frames import across_rivals

    if calculator is None:
        fault = of_command("--csv", "no calculator", "--calculator NAME", "Say whose numbers to write.")
        raise FaultsFound([fault])
    frame = across_rivals(casebook, question, known(calculator).name)
    if csv is not None:
        if csv.is_dir() or not csv.parent.is_dir():
            given = f"`{csv}`, {'a folder' if csv.is_dir() else 'in a folder that is not there'}"
            remedy = "Make the folder, or name another file."
            raise FaultsFound([of_command("--csv", given, "a file in a folder that is there", remedy)])
        frame.to_csv(csv, index=False)
        console.print(f"{len(frame)} rows written to {csv}", markup=False)
    elif as_json:
        print(frame.to_json(orient="records", force_ascii=False, indent=2))
    else:
        console.print(frame.drop(columns=["label"]).to_string(index=False, na_rep=""), markup=False, soft_wrap=True)


def _answer(casebook: Casebook, weighing: Weighing) -> str:
    """Return the answer in a sentence, and how firm it is in another."""
    said = comparing.answer(weighing, Ways(casebook, HOME))
    question = casebook.entries[weighing.question].entry
    resolved = question.resolved if isinstance(question, Question) else None
    known = f"Resolved on {resolved.date}: it was “{words_of(casebook, resolved.answer)}”. " if resolved else ""
    leads = "leads" if said.leads else "stands highest but may not lead"
    margin = f", over “{said.runner_up.words}” ({said.runner_confidence}) by {said.decibans} decibans"
    lines = [
        f"“{said.top.words}” {leads}: {said.confidence} – {said.word}{margin if said.margin and said.decibans else ''}."
    ]
    if weighing.orders:
        first = percents.draws(comparing.standing(weighing, weighing.leader or weighing.account.leader).first or 0.0)
        order = weighing.orders[0]
        pair = f"“{words_of(casebook, order.first)}” and then “{words_of(casebook, order.second)}”"
        lines.append(f"It ranks first {first}; the commonest order is {pair}, {percents.draws(order.chance)}.")
    others = [casebook.entries[ref].title for ref in weighing.linked if ref != weighing.question]
    if others:
        lines.append(f"Weighed together with {', '.join(f'“{title}”' for title in others)}.")
    return known + " ".join(line for line in (*lines, said.why) if line)


def words_of(casebook: Casebook, rival: str) -> str:
    """Return the title of a rival."""
    return "None of these" if rival == NONE else casebook.entries[rival].title


def _standings(casebook: Casebook, weighing: Weighing) -> Table:
    table = Table("", "rival", "confidence", "first", "prior", "judged", "feasibility")
    for place, standing in enumerate(weighing.standings, 1):
        table.add_row(
            str(place),
            _title(casebook, standing.rival) + ("  [bold](leads)[/]" if standing.rival == weighing.leader else ""),
            _confidence(standing),
            "" if standing.first is None else percents.chance(standing.first),
            _prior(standing),
            f"{standing.judged} of {standing.notes}",
            _feasibility(casebook, standing),
        )
    return table


def _confidence(standing: Standing) -> str:
    """Return the confidence with its word, and the range that the author's doubt gives it."""
    said = words.confidence(standing.confidence)
    if standing.low is None or standing.high is None or standing.low == standing.high:
        return said
    return f"{said} ({words.spread(standing.low, standing.high)})"


def _prior(standing: Standing) -> str:
    said, linked = percents.chance(standing.prior), percents.chance(standing.linked_prior)
    return said if said == linked else f"{said}, linked {linked}"


def _feasibility(casebook: Casebook, standing: Standing) -> str:
    if standing.rival == NONE:
        return ""
    if standing.rival not in casebook.feasibility:
        if casebook.uncomputed(standing.rival):
            return "cannot be computed"
        return "no criterion" if standing.tested else "untested"
    return f"{percents.chance(casebook.feasibility[standing.rival])} of draws"


def _weights(weighing: Weighing) -> Table:
    """Return the weights, the heaviest first; columns are numbered as the rivals are in the table of standings."""
    rivals = [standing.rival for standing in weighing.standings]
    told = {ref: row for ref, row in weighing.through.items() if max(map(abs, row.values())) >= SHOWN}
    table_of = {**weighing.weights, **told}
    numbered = [Column(str(place), justify="right", no_wrap=True) for place in range(1, len(rivals) + 1)]
    table = Table("weight in decibans, for rival", *numbered, title_justify="left")
    for ref in sorted(table_of, key=lambda one: -max(abs(weight) for weight in table_of[one].values())):
        table.add_row(_safe(_part(ref, weighing)), *(f"{table_of[ref][rival]:+.1f}" for rival in rivals))
    return table


def _part(ref: str, weighing: Weighing) -> str:
    """Return what a weight belongs to, in words: an entry, the feasibility of a rival, priors, or a link."""
    kind, colon, rival = ref.partition(":")
    if ref == weighing.question:
        return "priors, against level ones"
    said = f"{kind} of {rival.split('/')[-1]}" if colon else ref
    return f"{said} (through links)" if ref in weighing.through and " " not in ref else said


def _numbers(casebook: Casebook, weighing: Weighing) -> Table:
    table = Table(Column("calculation", no_wrap=True), "tests", "limit", "kept")
    rivals = {standing.rival for standing in weighing.standings}
    for ref, result in casebook.results.items():
        entry = casebook.entries[ref].entry
        tested = [rival for rival in entry.hypotheses if rival in rivals] if isinstance(entry, Calculation) else []
        uncounted = isinstance(entry, Calculation) and entry.uncounted is not None
        for kept in result.kept if tested else ():
            table.add_row(
                ref.split("/")[-1],
                ", ".join(rival.split("/")[-1] for rival in tested),
                _safe(f"{kept.output} {kept.limit}"),
                f"{percents.chance(kept.chance)} of draws{', not counted' if uncounted else ''}",
            )
    return table


def _findings(casebook: Casebook) -> None:
    for finding in casebook.findings:
        console.print(f"[yellow]look at[/] {_safe(finding.message)}")


def _title(casebook: Casebook, rival: str) -> str:
    return _safe(words_of(casebook, rival))


def _find(casebook: Casebook, ref: str, kind: str) -> Item:
    item = casebook.entries.get(ref)
    if item is None or item.kind != kind:
        known = [one.ref for one in casebook.of_kind(kind)]
        near = nearest(ref, known) or nearest(ref.rpartition("/")[2], known)
        remedy = f"Nearest: {', '.join(near)}." if near else f"There are: {', '.join(known) or 'none yet'}."
        given = f"`{ref}`" + (f", of kind {item.kind}" if item else "")
        raise FaultsFound([of_command(kind.upper(), given, f"a standing {kind}", remedy)])
    return item


def _weighing_json(weighing: Weighing) -> dict[str, Any]:
    return {
        "leader": weighing.leader,
        "standings": [asdict(standing) for standing in weighing.standings],
        "account": asdict(weighing.account),
        "weights": {ref: dict(weights) for ref, weights in weighing.weights.items()},
        "through links": {ref: dict(weights) for ref, weights in weighing.through.items()},
        "linked": list(weighing.linked),
        "orders": [asdict(order) for order in weighing.orders],
    }


def _safe(text: str) -> str:
    from rich.markup import escape

    return escape(text)
