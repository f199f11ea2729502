"""The command that erases a person's words on request: erase."""

from __future__ import annotations

from typing import Annotated

import typer

from ledger.cli.place import HERE, Folder, Place, find, now
from ledger.cli.telling import Terminal, agreed
from ledger.errors import FaultsFound, of_command

console = Terminal(highlight=False, soft_wrap=True)


def erase(
    ref: Annotated[str, typer.Argument(help="An entry, as folder/name; a name it had before will do.")],
    reason: Annotated[str, typer.Option(help="Why; kept in the history, so nothing of a person belongs in it.")],
    yes: Annotated[bool, typer.Option("--yes", help="Do not ask.")] = False,
    folder: Folder = HERE,
) -> None:
    """Erase all words of an entry for good: its name, times and hashes stay, and the chain still verifies."""
    from ledger.store.engine import open_store
    from ledger.store.erasing import erase as erase_words
    from ledger.store.records import history, present_name

    place = find(folder)
    if not reason.strip():
        fault = of_command("--reason", "nothing", "why the words go", "Write `asked by the writer`.")
        raise FaultsFound([fault])
    store = open_store(place.store, create=False)
    name = present_name(store, ref)
    revisions = history(store, ref)
    if not yes:
        said = f"The words of all {len(revisions)} revisions of {name} go, and its file. They cannot be had again."
        console.print(said, markup=False)
        agreed("Erase them?")
    erased = erase_words(store, ref, now(), " ".join(reason.split()))
    file = place.entries / f"{name}.md"
    there = file.is_symlink() or file.exists()
    file.unlink(missing_ok=True)
    console.print(
        f"{erased.revisions} revisions of {name} have no words any more{'; its file is gone' if there else ''}.\n"
        f"What remains: the name {name}, when what was done, and the hashes; the chain still verifies.",
        markup=False,
    )
    for line in _elsewhere(place, name, tuple(map(str, erased.copies))):
        console.print(line, markup=False)


def _elsewhere(place: Place, name: str, copies: tuple[str, ...]) -> list[str]:
    """Return where the words may stand still, and what to do about each."""
    said = [
        "Now `witness export`, so that entries/history.jsonl loses them too, and `witness publish` for the site.",
        "Copies made elsewhere keep them: version control, backups, editions that others hold.",
    ]
    said += [f"Delete {copy}: it is a copy of the ledger from before." for copy in copies]
    if (place.root / "replies.sqlite").exists():
        from ledger.replies.received import received

        with received(place.root) as store:
            told = [one for one, paths in store.accepted().items() if f"entries/{name}.md" in paths]
        if told:
            todo = f"`witness replies forget {told[0][:8]}`"
            said.append(f"The reply that it came from is kept with what was received: {todo}.")
    return said
