"""What stands in the navigation: front page, questions, sections, calculators, the score kept, how to read it all."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from ledger.building.sheet import decides
from ledger.calculators.contract import Calculator
from ledger.casebook.scores import worth_a_page
from ledger.casebook.values import Casebook
from ledger.entries.models import FOLDERS
from ledger.photo.methods import REGISTER as WAYS
from ledger.publishing import words
from ledger.publishing.addresses import (
    BUILDING,
    CALCULATORS,
    EDITIONS,
    HOME,
    METHODS,
    READING,
    SCORES,
    WITHDRAWALS,
    page_of,
    section_of,
)


def nav(casebook: Casebook, register: Mapping[str, Calculator]) -> list[dict[str, Any]]:
    """Return the navigation as nested lists of pages; a page takes its own title unless one is given.

    Pages of entries other than questions stand outside it, under their section pages: a long list slows every page.
    """
    questions = [page_of(item.ref) for item in casebook.of_kind("question")]
    sections = [section_of(FOLDERS[kind]) for kind in words.KINDS if kind not in ("investigation", "question")]
    return [
        {"Home": HOME},
        {"Questions": [section_of(FOLDERS["question"]), *questions]},
        {"Sections": sections},
        {"Calculators": [CALCULATORS, *(page_of(f"calculators/{name}") for name in sorted(register))]},
        {"Ways of measuring": [METHODS, *(page_of(f"methods/{name}") for name in WAYS)]},
        {"What if a source is not what it seems": WITHDRAWALS},
        *([{"Build sheet": BUILDING}] if decides(casebook) else []),
        *([{"How the forecasts fared": SCORES}] if worth_a_page(casebook) else []),
        {"Editions": EDITIONS},
        {"How to read this": READING},
    ]


def paths(nav: Any) -> Iterator[str]:
    """Return every page that a navigation names."""
    if isinstance(nav, str):
        yield nav
    else:
        for one in nav.values() if isinstance(nav, dict) else nav:
            yield from paths(one)
