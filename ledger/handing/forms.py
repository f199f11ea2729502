"""Every form the ledger is handed out in."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from ledger.casebook.values import Casebook
from ledger.handing import as_bibtex, as_csl, as_csv, as_json, as_prov
from ledger.store.chain import Link

Maker = Callable[[Casebook, Sequence[Link]], dict[str, bytes]]

FORMS: dict[str, Maker] = {
    "json": lambda casebook, _: as_json.files(casebook),
    "csv": lambda casebook, _: as_csv.files(casebook),
    "prov": as_prov.files,
    "bibtex": lambda casebook, _: as_bibtex.files(casebook),
    "csl": lambda casebook, _: as_csl.files(casebook),
}


def handed_out(casebook: Casebook, history: Sequence[Link], forms: Sequence[str] = tuple(FORMS)) -> dict[str, bytes]:
    """Return the files of some forms by name. The same casebook and history give the same bytes.

    history  the whole record, oldest revision first; provenance alone reads it

    Raises WitnessError where the casebook holds a number that is none, or the history lacks what it has.
    """
    return {name: content for form in forms for name, content in FORMS[form](casebook, history).items()}
