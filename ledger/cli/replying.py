"""The commands about readers' replies: replies, and below it fetch, read, show, accept, decline, ask, forget."""

from __future__ import annotations

import json
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from ledger.cli.place import HERE, AsJson, Folder, find, now
from ledger.cli.taking_in import token_of
from ledger.cli.telling import Terminal, agreed, tell
from ledger.errors import Fault, FaultsFound, of_command
from ledger.replies.received import OPEN, STATES, Reply, Row, Taken, received
from ledger.replies.wording import visible

if TYPE_CHECKING:
    from ledger.replies.gathering.forum import Columns

console = Terminal(highlight=False, soft_wrap=True)
replies = typer.Typer(help="List readers' replies, collect them, and decide on them.", no_args_is_help=False)
Id = Annotated[str, typer.Argument(help="A reply's id, or how it begins.", metavar="ID")]
Reason = Annotated[str, typer.Option(help="Why; kept with what was received.")]
FROM = "from"
SHORT = 8


@replies.callback(invoke_without_command=True)
def listed(
    context: typer.Context,
    folder: Folder = HERE,
    every: Annotated[bool, typer.Option("--all", help="Also those that were decided on.")] = False,
    state: Annotated[str | None, typer.Option(help=f"Those of one state: {', '.join(STATES)}.")] = None,
    as_json: AsJson = False,
) -> None:
    """List readers' replies that wait for a decision; collect them, and decide on them."""
    if context.invoked_subcommand is not None:
        return
    if state is not None and state not in STATES:
        raise FaultsFound([_option("--state", f"`{state}`", f"one of {', '.join(STATES)}")])
    with received(find(folder).root) as store:
        rows = store.listed()
    wanted = STATES if every else OPEN if state is None else (state,)
    shown = [row for row in rows if row.state in wanted]
    if as_json:
        print(json.dumps([asdict(row) for row in shown], ensure_ascii=False, indent=2))
        return
    print("\n".join([_line(row) for row in shown]), end="\n" * bool(shown))
    waiting = sum(row.state in OPEN for row in rows)
    console.print(f"{len(rows)} received, {waiting} to decide on.", markup=False)


def _line(row: Row) -> str:
    if row.about is None:
        return f"{row.id[:SHORT]}  {row.day}  {row.state:<9} its words were forgotten"
    begins = " ".join((row.start or "").split())
    words = visible(begins if len(begins) <= 60 else f"{begins[:59]}…")
    name = visible(row.name) if row.name else "no name"
    repeats = f"  (says the same as {row.repeats[:SHORT]})" if row.repeats else ""
    return f"{row.id[:SHORT]}  {row.day}  {row.state:<9} {row.stance} on {row.about}, {name}: {words}{repeats}"


@replies.command()
def fetch(
    place: Annotated[
        str | None,
        typer.Argument(
            help="The intake's address, or the path of its store; without it, the last one.", metavar="FROM"
        ),
    ] = None,
    token_file: Annotated[
        Path | None, typer.Option(metavar="FILE", help="A file with the intake's token; or set WITNESS_INTAKE_TOKEN.")
    ] = None,
    anew: Annotated[
        bool, typer.Option("--anew", help="From the first that it still has, as after its store was restored.")
    ] = False,
    folder: Folder = HERE,
    as_json: AsJson = False,
) -> None:
    """Fetch what an intake took since the last time, and keep it beside the ledger."""
    from ledger.replies.fetching import fetched

    taken: list[Taken] = []
    faults: list[Fault] = []
    with received(find(folder).root) as store:
        where = place or store.setting(FROM)
        if where is None:
            raise FaultsFound([_option("FROM", "nothing", "an intake's address, or the path of its store")])
        where = where if "://" in where else str(Path(where).absolute())
        for page in fetched(where, token_of(token_file), store, anew=anew):
            taken.append(store.take(page.replies, (page.store, page.sound)))
            faults += page.faults
        store.remember(FROM, where)
    _report(taken, faults, as_json)


@replies.command()
def read(
    files: Annotated[
        list[Path],
        typer.Argument(help="Reply files, mails, mailboxes, or tables (.csv, .tsv) of forum answers.", metavar="FILE"),
    ],
    columns: Annotated[
        str | None, typer.Option(help="What a table's columns mean: `text=Answer,name=User,sent=Posted,id=Post`.")
    ] = None,
    about: Annotated[str | None, typer.Option(help="What a table's rows are about, if no column says it.")] = None,
    stance: Annotated[str | None, typer.Option(help="The stance of a table's rows, if no column says it.")] = None,
    sent: Annotated[str | None, typer.Option(help="The day of a table's rows, if no column says it.")] = None,
    consent: Annotated[
        bool, typer.Option("--consent", help="The writers of a table consented to be published and named.")
    ] = False,
    days: Annotated[str | None, typer.Option(help="How a table writes days: `%d.%m.%Y`.")] = None,
    delimiter: Annotated[str | None, typer.Option(help="What stands between a table's cells; `tab` for a tab.")] = None,
    folder: Folder = HERE,
    as_json: AsJson = False,
) -> None:
    """Read replies from files; what is wrong with any is told, and the good ones are taken."""
    from ledger.replies.gathering.files import gathered

    root = find(folder).root
    meaning = _columns(columns, {"about": about, "stance": stance, "sent": sent}, consent, days, delimiter)
    found = gathered(files, meaning)
    with received(root) as store:
        taken = store.take(found.replies)
    _report([taken], list(found.faults), as_json)


def _columns(
    said: str | None, same: dict[str, str | None], consent: bool, days: str | None, delimiter: str | None
) -> Columns | None:
    from ledger.replies.gathering.forum import Columns, columns_of

    if said is None:
        return None
    between = "\t" if delimiter == "tab" else delimiter
    if between is not None and (len(between) != 1 or between in '"\r\n'):
        raise FaultsFound([_option("--delimiter", f"`{between}`", "one sign, or `tab`")])
    return Columns(columns_of(said), {name: value for name, value in same.items() if value}, consent, days, between)


def _report(taken: list[Taken], faults: list[Fault], as_json: bool) -> None:
    """Say what became of replies that came in; with some not taken, stop with 1 after the good ones were."""
    together: dict[str, list[str]] = {name: [] for name in asdict(Taken())}
    for one in taken:
        for name, ids in asdict(one).items():
            together[name] += ids
    if as_json:
        told = {**together, "faults": [vars(fault) for fault in faults]}
        print(json.dumps(told, ensure_ascii=False, indent=2))
    else:
        for name, words in (
            ("repeats", "says the same as an earlier one"),
            ("gone", "forgotten on request, and not taken again"),
        ):
            for reply in together[name]:
                console.print(f"{reply[:SHORT]}  {words}", markup=False)
        for reply, place in zip(together["other"], together["aside"], strict=True):
            words = "there already with other words, which stay; these were not taken:"
            console.print(f"{reply[:SHORT]}  {words} {visible(place)}", markup=False)
        console.print(f"{len(together['new'])} taken, {len(together['again'])} there already.", markup=False)
        if faults:
            some = together["new"] or together["again"]
            tell(FaultsFound(faults), "the other replies were taken" if some else "no reply was taken")
    if faults or together["other"]:
        raise typer.Exit(1)


@replies.command()
def show(reply: Id, folder: Folder = HERE, as_json: AsJson = False) -> None:
    """Show one reply whole."""
    with received(find(folder).root) as store:
        one = store.find(reply)
    if as_json:
        said = None if one.document is None else one.document.model_dump()
        told: dict[str, Any] = {**asdict(one), "document": said}
        print(json.dumps(told, ensure_ascii=False, indent=2))
        return
    for name, value in _fields(one):
        console.print(f"  {name:<12} {visible(value)}", markup=False)
    if one.document is not None:
        text = "\n".join(visible(line) for line in one.document.text.splitlines())
        console.print(f"\n{text}\n", markup=False)


def _fields(one: Reply) -> list[tuple[str, str]]:
    decided = f", {one.decided[:10]}" if one.decided else ""
    found = [("id", one.id), ("received", one.day), ("state", f"{one.state}{decided}")]
    found += [("reason", one.reason)] * bool(one.reason) + [("entries", ", ".join(one.entries))] * bool(one.entries)
    document = one.document
    if document is None:
        return [*found, ("words", "forgotten on request")]
    edition = document.edition
    found += [
        ("about", document.about),
        ("stance", document.stance),
        ("name", document.name or "none"),
        ("credit", document.credit),
        ("consent", "may be published" if document.consent else "may not be published"),
        ("sent", document.sent),
        ("edition", f"{edition.number} ({edition.fingerprint[:12]})" if edition else "not said"),
        ("contact", f"{document.contact} (never published)" if document.contact else "none"),
    ]
    found += [("confidence", f"{rival}: {share:g}") for rival, share in document.confidences.items()]
    found += [
        ("input", f"{calculation}, {name}: {value}")
        for calculation, inputs in document.inputs.items()
        for name, value in inputs.items()
    ]
    return found


@replies.command()
def accept(
    reply: Id,
    as_: Annotated[
        str | None,
        typer.Option(
            "--as", metavar="KIND", help="reply, evidence, hypothesis or correction; without it, what its stance says."
        ),
    ] = None,
    about: Annotated[str | None, typer.Option(help="What it is about, if not what it says.")] = None,
    title: Annotated[str | None, typer.Option(help="Its title, if not its first words.")] = None,
    source: Annotated[
        str | None, typer.Option(help="The source that its reader is already; `new` for another of the same name.")
    ] = None,
    folder: Folder = HERE,
    as_json: AsJson = False,
) -> None:
    """Make entry files of a reply: the reply, its reader as a source, and a note, hypothesis or correction to edit."""
    from ledger.replies.accepting import accept as take_up
    from ledger.replies.composing import PURPOSES, Wanted
    from ledger.replies.titling import plain

    root = find(folder).root
    purposes = dict.fromkeys(PURPOSES.values())
    if as_ is not None and as_ not in purposes:
        raise FaultsFound([_option("--as", f"`{as_}`", f"one of {', '.join(purposes)}")])
    purpose = next((one for one in purposes if one == as_), None)
    wanted = Wanted(purpose, about, plain(title) or None if title else None, source)
    with received(root) as store:
        done = take_up(root, store, reply, wanted, now())
    if as_json:
        print(json.dumps(asdict(done), ensure_ascii=False, indent=2))
        return
    for path in done.written:
        console.print(f"written    {path}", markup=False)
    for note in done.notes:
        console.print(f"look at    {note}", markup=False)
    for path in done.written:
        if path.startswith("drafts/"):
            target = path.replace("drafts/", "entries/", 1)
            console.print(f"{path} is a draft: edit it, then move it to {target}.", markup=False)
    console.print("Nothing is posted yet: edit what was written, then `witness post`.", markup=False)


@replies.command()
def decline(reply: Id, reason: Reason, folder: Folder = HERE) -> None:
    """Decline a reply, with a reason. It stays with what was received."""
    _decide(folder, reply, "declined", reason)
    console.print("Declined. It can still be accepted.", markup=False)


@replies.command()
def ask(
    reply: Id,
    question: Annotated[str, typer.Option(help="What you ask the reader; kept with what was received.")],
    folder: Folder = HERE,
) -> None:
    """Note that you ask the reader back, and show where to write."""
    one = _decide(folder, reply, "asked", question)
    contact = one.document.contact if one.document else None
    where = f"Write to {visible(contact)}." if contact else "The reader left no address: ask on the site."
    console.print(f"Noted as asked. {where}", markup=False)


@replies.command()
def forget(
    reply: Id,
    reason: Annotated[str, typer.Option(help="Why; kept, so nothing of a person belongs in it.")],
    yes: Annotated[bool, typer.Option("--yes", help="Do not ask.")] = False,
    folder: Folder = HERE,
) -> None:
    """Forget a reply's words, name and address for good; what was accepted of it is `witness erase`'s to take away."""
    with received(find(folder).root) as store:
        one = store.find(reply)
        if not yes:
            console.print(f"The words, name and address of reply {one.id} go. They cannot be had again.", markup=False)
            agreed("Forget them?")
        store.forget(one.id, now(), _said(reason))
    console.print("Forgotten here; its id stays, so that a copy is not taken again.", markup=False)
    for path in one.entries:
        ref = path.removeprefix("entries/").removesuffix(".md")
        moved = path.replace("drafts/", "entries/", 1)
        todo = f"delete it; {moved} has the words too, if it was moved there: `witness erase` takes them out"
        todo = f"`witness erase {ref}`" if path.startswith("entries/") else todo
        console.print(f"It was accepted as {path}: {todo}.", markup=False)
    console.print("The intake's own store keeps it until you delete it there.", markup=False)


def _decide(folder: Path, start: str, state: Any, reason: str) -> Reply:
    from ledger.replies.deciding import decide

    with received(find(folder).root) as store:
        return decide(store, start, state, _said(reason), now())


def _said(reason: str) -> str:
    said = " ".join(reason.split())
    if not said:
        raise FaultsFound([_option("the reason", "nothing", "some words")])
    return said


def _option(name: str, given: str, expected: str) -> Fault:
    return of_command(name, given, expected, "`witness replies --help` explains it.")
