"""What stands in the navigation: front page, questions, lists of entries, calculators, the score kept, reading help."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from html import escape
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
    CHECKS,
    DATA,
    EDITIONS,
    HOME,
    IMPACT,
    METHODS,
    READING,
    SCORES,
    page_of,
    section_of,
)


def nav(casebook: Casebook, register: Mapping[str, Calculator]) -> list[dict[str, Any]]:
    """Return the navigation as nested lists of pages with their titles, which are not read from pages yet to be made.

    Pages of entries other than questions stand outside it, under the list of their kind: a long list slows every page.
    """
    questions = [_named(item.entry.title, page_of(item.ref)) for item in casebook.of_kind("question")]
    lists = [_list(kind) for kind in words.KINDS if kind not in ("investigation", "question")]
    calculators = [_named(one.title, page_of(f"calculators/{name}")) for name, one in sorted(register.items())]
    ways = [_named(one.title, page_of(f"methods/{name}")) for name, one in WAYS.items()]
    return [
        {"Home": HOME},
        {"Questions": [_list("question"), *questions]},
        {"All entries": lists},
        {"Calculators": [{"Calculators": CALCULATORS}, *calculators]},
        {"Ways of measuring": [{"Ways of measuring": METHODS}, *ways]},
        {"Printed cases": CHECKS},
        {"Impact of each source": IMPACT},
        *([{"Build sheet": BUILDING}] if decides(casebook) else []),
        *([{"Scores": SCORES}] if worth_a_page(casebook) else []),
        {"Editions": EDITIONS},
        {"The data": DATA},
        {"How to read this": READING},
    ]


def _list(kind: str) -> dict[str, Any]:
    return {words.KINDS[kind][1]: section_of(FOLDERS[kind])}


def _named(title: str, path: str) -> dict[str, Any]:
    return {escape(title, quote=False): path}


def paths(nav: Any) -> Iterator[str]:
    """Return every page that a navigation names."""
    if isinstance(nav, str):
        yield nav
    else:
        for one in nav.values() if isinstance(nav, dict) else nav:
            yield from paths(one)
