"""The sources as BibTeX.

Whatever BibTeX or TeX would take for a command is written so that it prints as it stands; braces are written by name,
because BibTeX counts them even behind a backslash. Other letters stay as they are, in UTF-8. White space of any kind,
and signs that cannot be printed, become one space. Authors and titles stand in a second pair of braces, so that no
style splits the one or changes the capitals of the other.

Source: Patashnik, BibTeXing (1988), sections 2 to 4; the commands are LaTeX's own for text.
"""

from __future__ import annotations

import re

from ledger.casebook.values import Casebook
from ledger.handing.citing import Cited, cited

NAME = "sources.bib"
TYPES = {
    "photograph": "misc",
    "recording": "misc",
    "document": "misc",
    "patent": "misc",
    "rules": "manual",
    "book": "book",
    "conversation": "unpublished",
    "specimen": "misc",
}
MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_NAMED = {
    "\\": r"\textbackslash",
    "{": r"$\lbrace$",
    "}": r"$\rbrace$",
    "<": "$<$",
    ">": "$>$",
    "|": "$|$",
    "~": r"\textasciitilde",
    "^": r"\textasciicircum",
    "`": r"\textasciigrave",
}
_TO_ESCAPE = re.compile(r"[\\{}~^<>|`#$%&_]|--+|,,+|''+")


def files(casebook: Casebook) -> dict[str, bytes]:
    """Return the standing sources as one file. The same casebook gives the same bytes."""
    return {NAME: "\n".join(_entry(one) for one in cited(casebook)).encode()}


def escaped(text: str) -> str:
    """Return a text as BibTeX and TeX print it."""
    return _TO_ESCAPE.sub(_escape, printable(text))


def printable(text: str) -> str:
    """Return a text on one line, without what cannot be printed."""
    return " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())


def _escape(match: re.Match[str]) -> str:
    said = match.group()
    if said in _NAMED:
        return f"{{{_NAMED[said]}}}"
    # Signs that TeX would draw together into another: an empty group stands between them.
    return "{}".join(said) if len(said) > 1 else f"\\{said}"


def _entry(one: Cited) -> str:
    year, *rest = one.date
    fields = {
        "author": f"{{{{{escaped(one.author)}}}}}",
        "title": f"{{{{{escaped(one.title)}}}}}",
        "year": f"{{{year:04d}}}",
        "month": MONTHS[rest[0] - 1] if rest else "",
        "day": f"{{{rest[1]}}}" if len(rest) > 1 else "",
        "howpublished": f"{{{one.medium.capitalize()}}}",
        "note": f"{{{escaped(one.note)}}}",
        "url": f"{{{one.url}}}" if one.url else "",
    }
    lines = ",\n".join(f"  {name} = {value}" for name, value in fields.items() if value)
    return f"@{TYPES[one.medium]}{{{one.key},\n{lines}\n}}\n"
