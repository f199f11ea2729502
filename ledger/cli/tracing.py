"""Commands that follow grounds: trace, impact."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable
from dataclasses import asdict
from math import isinf
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer
from rich.markup import escape
from rich.table import Column, Table
from rich.tree import Tree

from ledger.casebook.opening import open_casebook
from ledger.casebook.values import Casebook
from ledger.cli.place import HERE, AsJson, Folder, Place, find
from ledger.cli.telling import Terminal
from ledger.errors import FaultsFound, nearest, of_command
from ledger.publishing import words
from ledger.publishing.addresses import HOME, Ways
from ledger.publishing.impacts import Lost, above, lost
from ledger.publishing.staling import text
from ledger.publishing.traced import carries, drawn
from ledger.tracing.withdrawal import Test, Withdrawal, persons, testable

if TYPE_CHECKING:
    from ledger.tracing.trace import Trace

console = Terminal(highlight=False, soft_wrap=True)
SHOWN = 20  # rows of the sweep, and confidences that move; --json has all of them
WIDE = 200  # signs, where what is printed goes into a file


def trace(
    ref: Annotated[str, typer.Argument(help="An entry, as folder/name: `decisions/scale-and-module`.", metavar="REF")],
    drawing: Annotated[
        Path | None, typer.Option(help="Write the drawing in four columns to this file, as SVG.", metavar="FILE")
    ] = None,
    folder: Folder = HERE,
    as_json: AsJson = False,
) -> None:
    """Follow an entry down to everything it stands on, with the weight each thing carries now."""
    from ledger.publishing.drawings.trace import standalone
    from ledger.tracing.trace import trace as follow

    place = find(folder)
    casebook = open_casebook(place.root)
    (known,) = _standing(place, casebook, [ref])
    found, ways = follow(casebook, known), Ways(casebook, HOME)
    if drawing is not None:
        chart = drawn(found, ways)
        if chart is None:
            raise FaultsFound(
                [of_command("--drawing", f"`{known}`", "an entry that stands on something", "Draw another.")]
            )
        if not drawing.parent.is_dir():
            remedy = "Make the folder, or name another file."
            raise FaultsFound([of_command("--drawing", str(drawing), "a file in a folder that is there", remedy)])
        drawing.write_text(standalone(chart.svg), "utf-8")
    if as_json:
        print(json.dumps(_json(found), ensure_ascii=False, indent=2, allow_nan=False))
        return
    _roomy().print(_tree(found, ways))
    if drawing is not None:
        console.print(f"The drawing stands in {drawing}", markup=False)


def impact(
    refs: Annotated[
        list[str] | None, typer.Argument(help="Entries, as folder/name: `sources/bench-left`.", metavar="REF")
    ] = None,
    person: Annotated[str | None, typer.Option(help="Every source by this author.", metavar="NAME")] = None,
    everything: Annotated[
        bool, typer.Option("--all", help="Every source in turn, those that matter most first.")
    ] = False,
    folder: Folder = HERE,
    as_json: AsJson = False,
) -> None:
    """Say what stands on entries, and their impact: what the whole ledger would say without them."""
    from ledger.store.engine import open_store

    asked = [bool(refs), person is not None, everything]
    if sum(asked) != 1:
        given = " and ".join(name for name, one in zip(("REF", "--person", "--all"), asked, strict=True) if one)
        expected = "entries, `--person` or `--all`, one of the three"
        raise FaultsFound([of_command("", given or "nothing", expected, "Name a source, say.")])
    place = find(folder)
    casebook = open_casebook(place.root)
    ways, test = Ways(casebook, HOME), Test(casebook)
    if everything:
        sweep, people = test.sweep(), test.by_person()
        if as_json:
            told = {"sources": [_told(one) for one in sweep], "people": [_told(one) for one in people]}
            print(json.dumps(told, ensure_ascii=False, indent=2))
        else:
            _print_sweep(sweep, people, ways)
    else:
        known = _standing(place, casebook, refs or ()) if person is None else _by(casebook, person)
        _print_impact(test, known, ways, person, as_json)
    test.losing.keep(open_store(place.store, create=False))


def _print_impact(test: Test, refs: tuple[str, ...], ways: Ways, person: str | None, as_json: bool) -> None:
    taken = tuple(ref for ref in refs if testable(ways.casebook, ref))
    without = test.without(taken, person or "") if taken else None
    if as_json:
        told = {"refs": refs, "above": test.grounds.above(*refs), "without": _told(without) if without else None}
        print(json.dumps(told, ensure_ascii=False, indent=2))
        return
    for ref in refs:
        console.print(f"[bold]{escape(ways.to(ref).words)}[/]  [dim]{ref}[/]")
    rows = above(test, refs, ways)
    for kind, links in rows:
        console.print(f"  {kind.lower()}", markup=False)
        for link in links:
            console.print(f"    {link.words}", markup=False)
    if not rows:
        console.print("  Nothing stands on it." if len(refs) == 1 else "  Nothing stands on them.")
    for ref in refs:
        if ref not in taken:
            said = "impact is worked out for sources, notes, measurements and calculations"
            console.print(f"Not tested: {ref}; {said}.", markup=False)
    if without is not None:
        console.print("\n[bold]If withdrawn[/]" if len(refs) == 1 else "\n[bold]If withdrawn together[/]")
        _print_lost(lost(without, ways))


def _print_lost(one: Lost) -> None:
    for question, before, after in one.leaders:
        console.print(f"{question.words}: {before.words} leads now; then {after.words}.", markup=False)
    if not one.leaders:
        console.print("Every question keeps its leader.")
    for decision in one.decisions:
        console.print(f"[yellow]loses ground[/] {escape(decision.link.words)}")
        for reason in decision.reasons:
            console.print(f"    {text(reason)}", markup=False)
    for label, links in (("keeps its ground", one.leaning), ("known answer, learnt from it", one.answers)):
        for link in links:
            console.print(f"{label}: {link.words}", markup=False)
    if one.moves:
        table = Table("confidence in", "question", "now", "without", "moves")
        for move in one.moves[:SHOWN]:
            cells = (move.rival.words, move.question.words, move.before, move.after, move.by)
            table.add_row(*map(escape, cells))
        console.print(table)
    if one.more:
        console.print(f"{one.more}{' more' if one.moves else ''} would move by less than half a point.", markup=False)
    if one.fallen:
        console.print(f"Not to be computed any more: {', '.join(link.words for link in one.fallen)}.", markup=False)


def _print_sweep(sweep: Iterable[Withdrawal], people: Iterable[Withdrawal], ways: Ways) -> None:
    for head, some in (("without", sweep), ("without everything from", people)):
        rows = list(some)
        if not rows:
            continue
        counted = Column("decisions that lose ground", justify="right")
        table = Table(head, "farthest move", "leaders that change", counted)
        for one in rows[:SHOWN]:
            said = lost(one, ways)
            name = f"{said.person}, {words.count(len(one.refs), 'source')}" if said.person else said.what[0].words
            move = said.moves[0] if said.moves else None
            table.add_row(
                escape(name),
                escape(f"{move.rival.words}: {move.before} → {move.after}") if move else "–",
                escape("; ".join(question.words for question, _, _ in said.leaders)) or "–",
                str(len(said.decisions) or "–"),
            )
        _roomy().print(table)
        if len(rows) > SHOWN:
            console.print(f"and {len(rows) - SHOWN} more; --json has all of them", markup=False)
    console.print("`witness impact REF` names what one of them carries, and the decisions.", markup=False)


def _roomy() -> Terminal:
    """Return a console that wraps what the terminal cannot hold in a line, and cuts nothing off."""
    return Terminal(highlight=False, width=None if sys.stdout.isatty() else WIDE)


def _tree(found: Trace, ways: Ways) -> Tree:
    from ledger.tracing.trace import branches

    made: list[Tree] = []
    for branch in branches(found):
        said = carries(branch.node, branch.edge, ways, branch.again)
        kind = words.KINDS[branch.node.kind][0].lower()
        told = "; ".join(part for part in (said, "as above" if branch.again else "") if part)
        label = f"{escape(branch.node.title)}  [dim]{kind}{f': {escape(told)}' if told else ''}[/]"
        del made[branch.depth :]
        made.append(made[-1].add(label) if made else Tree(label))
    return made[0]


def _json(found: Trace) -> dict[str, Any]:
    def finite(value: float | None) -> float | str | None:
        return "unbounded" if value is not None and isinf(value) else value

    return {
        "root": found.root,
        "nodes": {ref: {**asdict(node), "size": finite(node.size)} for ref, node in found.nodes.items()},
        "edges": [
            {**asdict(edge.tie), "decibans": finite(edge.decibans)} for some in found.edges.values() for edge in some
        ],
    }


def _told(one: Withdrawal) -> dict[str, Any]:
    return {**asdict(one), "decisions": {ref: [asdict(why) for why in whys] for ref, whys in one.decisions.items()}}


def _standing(place: Place, casebook: Casebook, refs: Iterable[str]) -> tuple[str, ...]:
    """Return the refs that standing entries have now, given those or any they had before."""
    from ledger.store.engine import open_store
    from ledger.store.records import present_name

    store = open_store(place.store, create=False)
    found, faults = [], []
    for ref in dict.fromkeys(refs):
        known = present_name(store, ref)
        item = casebook.withdrawn.get(known)
        if known in casebook.entries:
            found.append(known)
        else:
            said = f"withdrawn: {item.entry.withdrawn}" if item is not None else "its words were erased"
            faults.append(of_command("", f"`{known}`, {said}", "a standing entry", "`witness show` lists what stands."))
    if faults:
        raise FaultsFound(faults)
    return tuple(dict.fromkeys(found))


def _by(casebook: Casebook, person: str) -> tuple[str, ...]:
    wanted = " ".join(person.split()).casefold()
    known = persons(casebook)
    found = [refs for name, refs in known.items() if name.casefold() == wanted]
    if not found:
        near = nearest(wanted, [name.casefold() for name in known])
        names = [name for name in known if name.casefold() in near] or list(known)
        remedy = f"There {'are' if len(names) > 1 else 'is'}: {', '.join(names)}." if names else "Post a source."
        raise FaultsFound([of_command("--person", f"`{person}`", "the author of a standing source", remedy)])
    return found[0]
