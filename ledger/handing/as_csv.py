"""The ledger as tables in CSV, with a text beside them that says what they hold.

A spreadsheet runs a cell that begins like a formula. So a text of which the first visible sign is one of = + - @, or
their full-width forms, or that begins with a tab or the end of a line, has an apostrophe put before it; so has one
that begins with an apostrophe, so that taking one off again gives every text back. Numbers are never touched.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Hashable, Mapping
from typing import TYPE_CHECKING, Any

from ledger.calculators.contract import Calculator
from ledger.calculators.register import REGISTER
from ledger.casebook.values import Casebook
from ledger.handing.leaving import leaving
from ledger.handing.rounding import rounded
from ledger.handing.tables import TABLES, Cell, Form, Table

if TYPE_CHECKING:
    import pandas

ABOUT = "tables.txt"
_RUN = re.compile(r"[\t\r\n']|[\s\x00-\x1f\x7f-\x9f\u200b-\u200f\u2060\ufeff]*[=+\-@＝＋－＠']")
_DTYPES: dict[Form, str] = {"text": "string", "number": "Float64", "whole": "Int64", "truth": "boolean"}
_TOLD = """Tables of a ledger of evidence and rival hypotheses, edition {edition}, fingerprint {fingerprint}.

Confidences, weights and results are for understanding and for working models; they never rate a part that carries
people. The cautions of each calculation stand in its rows.{invented}

UTF-8, a comma between cells, one row a line; text stands in quotation marks, numbers and truths do not. An empty cell
is something that was not stated or does not apply. Replies without their writer's consent, erased words and pictures
are not in the tables.

Spreadsheets run cells that begin like a formula. Before a text of which the first visible sign is = + - @ or an
apostrophe, or that begins with a tab or the end of a line, stands one apostrophe more: take it off, and the text is as
it was written.

"""


def files(casebook: Casebook, register: Mapping[str, Calculator] = REGISTER) -> dict[str, bytes]:
    """Return every table, and the text about them. The same casebook gives the same bytes."""
    made = {f"{name}.csv": _bytes(table) for name, table in frames(casebook, register).items()}
    return {**made, ABOUT: _about(casebook).encode()}


def frames(casebook: Casebook, register: Mapping[str, Calculator] = REGISTER) -> dict[str, pandas.DataFrame]:
    """Return the tables by name, as they are and with nothing put before any text.

    Columns are of pandas' own types, text, floats, whole numbers and truths, that know of missing cells.
    """
    out = leaving(casebook)
    return {table.name: _frame(table, [out.data(rounded(dict(row))) for row in table.rows(casebook, out, register)])
            for table in TABLES}  # fmt: skip


def safe(text: str) -> str:
    """Return a text as a spreadsheet will not run it."""
    return f"'{text}" if _RUN.match(text) else text


def _frame(table: Table, rows: list[dict[str, Cell]]) -> pandas.DataFrame:
    import pandas

    cells = [[row.get(name) for name in table.columns] for row in rows]
    dtypes: dict[Hashable, Any] = {name: _DTYPES[form] for name, form in table.columns.items()}
    return pandas.DataFrame(cells, columns=list(table.columns), dtype=object).astype(dtypes)


def _bytes(frame: pandas.DataFrame) -> bytes:
    shown = frame.copy()
    for name in shown.columns:
        if shown[name].dtype == "string":
            shown[name] = shown[name].map(safe, na_action="ignore")
    text = shown.to_csv(index=False, lineterminator="\n", quoting=csv.QUOTE_NONNUMERIC)
    return text.encode()


def _about(casebook: Casebook) -> str:
    edition = casebook.edition
    invented = " The whole case is invented." if casebook.investigation.invented else ""
    head = _TOLD.format(edition=edition.number or "not published", fingerprint=edition.fingerprint, invented=invented)
    return head + "".join(
        f"{table.name}.csv: one row is {table.row}\n  {', '.join(table.columns)}\n" for table in TABLES
    )
