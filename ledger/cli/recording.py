"""Commands that write and read the record: start, post, show, history, withdraw, export, check."""

from __future__ import annotations

import json
from dataclasses import asdict
from importlib import resources
from pathlib import Path
from string import Template
from typing import Annotated

import typer
from rich.markup import escape
from rich.table import Column, Table

from ledger.cli.place import HERE, AsJson, Folder, Place, find, own_text
from ledger.cli.posting import post_and_report
from ledger.cli.telling import Terminal, errors, named
from ledger.errors import Fault, FaultsFound, NotInLedger, nearest

console = Terminal(highlight=False, soft_wrap=True)
Ref = Annotated[str, typer.Argument(help="An entry, as folder/name: `evidence/sleeve-groove`.", metavar="REF")]


def start(
    folder: Annotated[
        Path, typer.Argument(help="A folder that does not exist yet, or an empty one.", metavar="DIR", parser=named)
    ],
    title: Annotated[
        str, typer.Option(help="What the investigation is called: the name of its site.")
    ] = "The latch of a sliding cover",
    by: Annotated[str, typer.Option(help="Who keeps it.")] = "the author",
) -> None:
    """Lay out a small working investigation that publishes at once."""
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        remedy = "Name a new folder; nothing is ever written over."
        raise FaultsFound([Fault(str(folder), 0, "", "a folder with something in it", "a new or empty folder", remedy)])
    words = {"title": json.dumps(title, ensure_ascii=False), "by": json.dumps(by, ensure_ascii=False)}
    _lay_out(resources.files("ledger.cli") / "starter", folder, words)
    console.print(
        f"An investigation stands in {folder}, with a small invented case about a latch in it: change it, or put "
        f"your own entries in its place. Publish it with:\n  witness publish --in {folder}",
        markup=False,
        soft_wrap=True,
    )


def _lay_out(part: resources.abc.Traversable, target: Path, words: dict[str, str]) -> None:
    target.mkdir(parents=True, exist_ok=True)
    for one in sorted(part.iterdir(), key=lambda each: each.name):
        if one.is_dir():
            _lay_out(one, target / one.name, words)
        else:
            name = ".gitignore" if one.name == "gitignore" else one.name
            (target / name).write_text(Template(one.read_text("utf-8")).safe_substitute(words), "utf-8")


def post(folder: Folder = HERE, as_json: AsJson = False) -> None:
    """Read the entry files and post what changed; on any fault post nothing and report them all."""
    report = post_and_report(find(folder), quiet=as_json)
    if as_json:
        print(json.dumps(asdict(report), ensure_ascii=False, indent=2))


def show(
    ref: Annotated[
        str | None, typer.Argument(help="An entry, as folder/name; without it, all are listed.", metavar="REF")
    ] = None,
    folder: Folder = HERE,
    as_json: AsJson = False,
) -> None:
    """Show an entry: what it says, what it stands on and what stands on it. Without REF, list all entries."""
    from ledger.casebook.opening import open_casebook
    from ledger.publishing.addresses import HOME, Ways
    from ledger.publishing.reasons import reasons
    from ledger.store.engine import open_store
    from ledger.store.records import present_name

    place = find(folder)
    casebook = open_casebook(place.root)
    everything = {**casebook.entries, **casebook.withdrawn}
    if ref is None:
        if as_json:
            print(json.dumps({one: item.title for one, item in everything.items()}, ensure_ascii=False, indent=2))
            return
        for one, item in everything.items():
            withdrawn = "  (withdrawn)" if one in casebook.withdrawn else ""
            console.print(f"{one}  {item.title}{withdrawn}", markup=False)
        return
    ref = present_name(open_store(place.store, create=False), ref)
    if ref not in everything:
        raise NotInLedger(f"The words of {ref} were erased. `witness history` shows what happened to it.")
    item = everything[ref]
    front = record_of(place, ref)
    used_by = casebook.used_by.get(ref, ())
    if as_json:
        shown = {"ref": ref, "front": front, "body": item.body, "revisions": item.revisions, "used-by": used_by}
        print(json.dumps(shown, ensure_ascii=False, indent=2))
        return
    console.print(f"[bold]{ref}[/]  {item.revisions} revision{'s' if item.revisions > 1 else ''}")
    for key, value in front.items():
        said = value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)
        console.print(f"  {key:<14} {said}", markup=False)
    console.print(f"\n{item.body.strip()}\n", markup=False)
    if result := casebook.results.get(ref):
        from ledger.cli.results import print_result
        from ledger.publishing.keeping import limit

        print_result(result)
        for criterion in result.kept:
            held = limit(casebook, result, criterion)
            console.print(f"{held.label}, {held.limit}: {held.kept}", markup=False)
    if ref in casebook.refused:
        console.print(f"cannot be computed: {casebook.refused[ref]}", markup=False)
    for question, weighing in casebook.weighings.items():
        if ref in weighing.weights:
            parts = ", ".join(
                f"{rival.split('/')[-1]} {weight:+.1f}" for rival, weight in weighing.weights[ref].items()
            )
            console.print(f"weight on {question} in decibans: {parts}", markup=False)
        for reason, standing in zip(reasons(casebook, weighing, Ways(casebook, HOME)), weighing.standings, strict=True):
            if ref in (question, standing.rival):
                console.print(f"{reason.plain}\n", markup=False)
    console.print(f"named by: {', '.join(used_by) or 'nothing'}", markup=False)


def history(ref: Ref, folder: Folder = HERE, as_json: AsJson = False) -> None:
    """Show every revision of an entry, oldest first."""
    from ledger.store.engine import open_store
    from ledger.store.records import history as revisions

    links = revisions(open_store(find(folder).store, create=False), ref)
    if as_json:
        print(json.dumps([link.fields() for link in links], ensure_ascii=False, indent=2))
        return
    table = Table("revision", "when (UTC)", "hash", Column("what", overflow="fold"), title=escape(links[-1].name))
    for link in links:
        named = "" if link.name == links[-1].name else f" as {link.name}"
        what = escape(f"{link.action}{named}: {link.reason}" if link.reason else f"{link.action}{named}")
        table.add_row(str(link.seq), link.at, link.hash[:12], what)
    console.print(table)


def withdraw(
    ref: Ref,
    reason: Annotated[str, typer.Option(help="Why it is taken back; kept with it.")],
    folder: Folder = HERE,
) -> None:
    """Take an entry back with a reason. Its file says so, its history stays, and what names it is reported."""
    from ledger.entries.withdrawing import withdrawn_text
    from ledger.store.engine import open_store
    from ledger.store.held import held
    from ledger.store.records import current

    place = find(folder)
    records = current(open_store(place.store, create=False))
    if ref not in records:
        raise NotInLedger(no_entry(ref, list(records)))
    before = own_text(place, ref)
    text = records[ref].text if before is None else before
    with held(place.store, place.entries, {ref: withdrawn_text(text, reason)}):
        post_and_report(place, only={ref})
    if text != records[ref].text:
        console.print(f"posted with it: changes of entries/{ref}.md that were not posted yet", markup=False)


def export(folder: Folder = HERE) -> None:
    """Write every entry back as its file, and the history as entries/history.jsonl."""
    from ledger.store.engine import open_store
    from ledger.store.export import export as write_out

    place = find(folder)
    done = write_out(open_store(place.store, create=False), place.entries)
    said = [f"{len(done.written)} files written", f"{len(done.unchanged)} were the same"]
    if done.removed:
        said.append(f"{len(done.removed)} removed under a former name")
    console.print(f"{', '.join(said)}; the history of {done.revisions} revisions stands in entries/history.jsonl.")


def check(
    folder: Folder = HERE,
    rebuild: Annotated[
        bool, typer.Option("--rebuild", help="First derive the current entries from the revisions again.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Verify the chain, the references and the results; name what would count twice, and decisions gone stale."""
    from ledger.casebook.verifying import problems
    from ledger.publishing.staling import looks

    if rebuild:
        from ledger.store.deriving import rebuild as derive
        from ledger.store.engine import open_store

        count = derive(open_store(find(folder).store, create=False))
        if not as_json:
            console.print(f"{count} entries derived again from their revisions.")
    place = find(folder)
    with errors.status("verifying the chain, and computing every result again"):
        found = problems(place.root, looks=looks)
    if as_json:
        print(json.dumps([vars(one) for one in found], ensure_ascii=False, indent=2))
    for one in () if as_json else found:
        console.print(f"[yellow]{one.severity}[/] ", end="")
        console.print(one.message, markup=False)
    if any(one.severity == "wrong" for one in found):
        raise typer.Exit(1)
    if not as_json:
        console.print("The chain, the references and the results hold.")


def record_of(place: Place, ref: str) -> dict[str, object]:
    """Return an entry's front matter as it stands."""
    from ledger.store.engine import open_store
    from ledger.store.records import current

    return current(open_store(place.store, create=False))[ref].front


def no_entry(ref: str, known: list[str]) -> str:
    """Return what to say of a reference that leads nowhere."""
    near = nearest(ref, known)
    return f"There is no entry `{ref}`. " + (f"Nearest: {', '.join(near)}." if near else "`witness show` lists them.")
