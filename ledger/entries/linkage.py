"""Rules over references: they lead to standing entries, go in no circle, and renamed entries are named anew."""

from __future__ import annotations

from collections.abc import Iterator
from graphlib import CycleError, TopologicalSorter

from ledger.entries.document import Document
from ledger.entries.models import NONE_OF_THESE, Calculation, Decision, Entry, Measurement, Source
from ledger.entries.view import View, bare
from ledger.errors import nearest

# A chain of any of these must come to an end: origins, inputs, grounds.
_CHAINS: tuple[tuple[type[Entry], str, str], ...] = (
    (Source, "a chain of origins with an end", "Take the origin out of the source that was there first."),
    (Calculation, "inputs that come from elsewhere", "Bind one of these inputs to a value or a measurement."),
    (Measurement, "measurements that are combined from others", "Take one of them out of the other's `combines`."),
    (Decision, "grounds that stand without the decision", "Take one of these decisions out of the other's grounds."),
)


def check_linkage(view: View) -> dict[str, str]:
    """Add the faults and warnings of all references; return present refs by former ones."""
    renamed = {**view.former, **_renamed(view)}
    names: dict[str, list[str]] = {}
    for ref in (*view.documents, *view.unread):
        names.setdefault(ref.partition("/")[0], []).append(bare(ref))
    for document in view.documents.values():
        for path, ref in view.references[document.ref]:
            target = view.documents.get(ref)
            if target is None:
                if ref not in view.unread:
                    _dangling(view, document, path, ref, renamed.get(ref), names)
            elif not target.standing and document.standing:
                _to_withdrawn(view, document, path, target)
    for model, expected, remedy in _CHAINS:
        for circle in _circles(view, model):
            document = view.documents[circle[0]]
            path = next(path for path, ref in view.references[circle[0]] if ref == circle[1])
            view.fault(document, path, " → ".join(map(bare, circle)), expected, remedy)
    return renamed


def _dangling(
    view: View, document: Document, path: str, ref: str, renamed: str | None, names: dict[str, list[str]]
) -> None:
    folder = ref.partition("/")[0]
    if renamed is not None:
        view.fault(
            document,
            path,
            f"`{ref}`",
            f"`{renamed}`: it was renamed",
            f"Write `{bare(renamed)}` instead of `{bare(ref)}`.",
        )
        return
    if ref == f"hypotheses/{NONE_OF_THESE}":
        expected = f"rivals with a file; `{NONE_OF_THESE}` takes the mean of the others and is never judged"
        view.fault(document, path, f"`{NONE_OF_THESE}`", expected, "Take it out here.")
        return
    close = nearest(bare(ref), sorted(names.get(folder, ())), 1)
    remedy = (
        f"Write `{close[0]}` if you mean that."
        if close
        else f"Add the file {folder}/{bare(ref)}.md, or name another entry."
    )
    view.fault(document, path, f"`{ref}`", f"an entry in {folder}/ that is there", remedy)


def _to_withdrawn(view: View, document: Document, path: str, target: Document) -> None:
    tell = view.fault if document.ref in view.changed else view.warn
    given = f"`{target.ref}`, withdrawn: {target.entry.withdrawn}"
    tell(
        document, path, given, "a standing entry", "Name another entry, take the line out, or withdraw this entry too."
    )


def _renamed(view: View) -> dict[str, str]:
    """Return new references by old ones, after adding the faults of names that conflict."""
    renamed: dict[str, str] = {}
    for ref, document in view.documents.items():
        former = document.entry.formerly
        if former is None:
            continue
        old = f"{ref.partition('/')[0]}/{former}"
        if old == ref:
            view.fault(
                document, "formerly", f"`{former}`, its name now", "the name it had before", "Take `formerly` out."
            )
        elif old in view.documents or old in view.unread:
            remedy = f"Delete the file {old}.md, or take `formerly` out."
            view.fault(
                document, "formerly", f"`{former}`, which is still there", "a name that is no longer used", remedy
            )
        elif old in renamed:
            given = f"`{former}`, which {renamed[old]} claims too"
            view.fault(
                document, "formerly", given, "an old name claimed once", "Take `formerly` out of one of the two."
            )
        else:
            renamed[old] = ref
    return renamed


def _circles(view: View, model: type[Entry]) -> Iterator[list[str]]:
    """Yield one circle after another, each begun and ended by its first name, until the rest is free of them."""
    graph = {
        ref: sorted({to for _, to in view.references[ref] if isinstance(_entry(view, to), model)})
        for ref, document in view.documents.items()
        if isinstance(document.entry, model)
    }
    while True:
        try:
            TopologicalSorter(graph).prepare()
        except CycleError as error:
            # It goes from what is used to what uses it.
            ring = list(reversed(error.args[1]))[:-1]
            first = ring.index(min(ring))
            yield ring[first:] + ring[:first] + [ring[first]]
            graph = {ref: [to for to in uses if to not in ring] for ref, uses in graph.items() if ref not in ring}
        else:
            return


def _entry(view: View, ref: str) -> Entry | None:
    document = view.documents.get(ref)
    return None if document is None else document.entry
