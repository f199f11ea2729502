"""Rules that only the whole ledger can keep or break."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from ledger.entries.answers import check_answers
from ledger.entries.bodies import check_bodies
from ledger.entries.combined import check_combined
from ledger.entries.completeness import check_completeness
from ledger.entries.decided import check_decided
from ledger.entries.document import Document
from ledger.entries.linkage import check_linkage
from ledger.entries.links import check_links
from ledger.entries.marking import check_marks
from ledger.entries.models import Investigation
from ledger.entries.predictions import check_predictions
from ledger.entries.view import Checked, View
from ledger.errors import Fault

__all__ = ["Checked", "check_ledger"]


def check_ledger(
    documents: Mapping[str, Document],
    changed: Collection[str],
    unread: Collection[str] = (),
    former: Mapping[str, str] | None = None,
    before: Mapping[str, Document] | None = None,
) -> Checked:
    """Return the faults and warnings of the whole ledger, each in order of its place.

    documents  all entries by `folder/name`, the withdrawn ones too; those with faults of their own as far as they can
               be read (`reading.examine`): rules that would need what was left out say nothing
    changed    refs of those that are new or changed: rivals that came later, and entries withdrawn later, are held
               against these only
    unread     refs of files that exist but of which nothing can be told; rules that would need them are left out, so
               that one mistake is told once
    former     present refs by the former ones that the record remembers
    before     what changed decisions said so far, by present ref, where the record knows and it can be read
    """
    view = View(documents, changed, unread, former or {}, before or {})
    _one_investigation(view)
    renamed = check_linkage(view)
    check_bodies(view, renamed)
    check_completeness(view)
    check_predictions(view)
    check_links(view)
    check_answers(view)
    check_combined(view)
    check_marks(view)
    check_decided(view, renamed)
    return Checked(tuple(sorted(view.faults)), tuple(sorted(view.warnings)))


def _one_investigation(view: View) -> None:
    standing = view.standing(Investigation)
    if not standing and "investigation" not in view.unread_folders:
        remedy = "Add a file entries/investigation/some-name.md with `kind: investigation`."
        view.faults.append(Fault("entries/investigation", 0, "kind", "no investigation entry", "exactly one", remedy))
    for document, _ in standing[1:]:
        given = f"a second investigation beside {standing[0][0].ref}"
        view.fault(document, "kind", given, "exactly one", "Withdraw one of them.")
