"""Broken YAML in plain words."""

from __future__ import annotations

import yaml

from ledger.entries.scalars import plainly
from ledger.errors import Fault

_QUOTE = "If the text itself holds a colon and a space, a `#` or begins with a sign, put it in quotes."
_PROBLEMS = {
    "mapping values are not allowed in this context": (
        "one `field: value` on a line, fields of one mapping in one column",
        _QUOTE,
    ),
    "found character that cannot start any token": (
        "a value, and spaces before it",
        "Indent with spaces, not tabs; quote text that begins with @, % or `.",
    ),
    "found a tab character that violates indentation": ("spaces before the field", "Indent with spaces, not tabs."),
    "could not find expected ':'": (
        "`field: value`",
        "Put a colon and a space after the field's name; indent a text that goes on.",
    ),
    "did not find expected ',' or ']'": ("a list closed with ]", "Close the bracket, and put a comma between items."),
    "did not find expected ',' or '}'": ("a mapping closed with }", "Close the brace, and put a comma between fields."),
    "found unexpected end of stream": (
        "a closing quote",
        "Close the quote; inside single quotes write '' for an apostrophe.",
    ),
    "found unknown escape character": (
        "a known escape in double quotes",
        "Write each backslash twice, or use single quotes.",
    ),
    "did not find expected key": (
        "fields of one mapping in one column, and nothing after a closing quote",
        "Indent the line like its neighbours, or put the whole text in quotes.",
    ),
    "did not find expected '-' indicator": (
        "either a list or fields, not both",
        "Indent the line like its neighbours.",
    ),
    "block sequence entries are not allowed in this context": (
        "a list on lines of its own",
        "Begin the list on the next line, or quote the text.",
    ),
    "did not find expected alphabetic or numeric character": (
        "a value",
        'Quote text that begins with * or &, e.g. "*".',
    ),
    "did not find expected <document start>": (
        "fields only, up to the closing `---`",
        "Take out the line of three dots or the line that begins with %.",
    ),
    "exceeded maximum nesting depth": ("at most 20 levels", "Say it flatter."),
    "control characters are not allowed": (
        "printable signs",
        "Delete the sign, or write it as an escape in double quotes.",
    ),
}
_OTHER = ("`field: value` lines, indented with spaces", _QUOTE)


def explain_syntax(error: yaml.YAMLError | UnicodeEncodeError, text: str, file: str, first_line: int) -> Fault:
    """Return the fault for a parser's error, at the line where a person would look for it."""
    problem = getattr(error, "problem", None) or getattr(error, "reason", None) or ""
    mark = getattr(error, "problem_mark", None)
    context_mark = getattr(error, "context_mark", None)
    if isinstance(error, UnicodeEncodeError):
        problem, index = "control characters are not allowed", text.count("\n", 0, error.start)
    elif mark is None:
        position = getattr(error, "position", 0) or 0
        # The C parser counts bytes here.
        index = text.encode("utf-8", "replace")[:position].count(b"\n")
    elif context_mark is not None and ("':'" in problem or "end of stream" in problem or "',' or" in problem):
        # These are noticed only where the reading stops; the cause stands where it began.
        index = context_mark.line
    else:
        index = mark.line
    lines = text.splitlines() or [""]
    index = min(index, len(lines) - 1)
    expected, remedy = _PROBLEMS.get(problem, _OTHER)
    shown = lines[index].encode("utf-8", "backslashreplace").decode()
    field = lines[index].partition(":")[0].strip(" \t-") if ":" in lines[index] else ""
    return Fault(
        file,
        index + first_line,
        plainly(field) if field.isidentifier() or "-" in field else "",
        f"`{plainly(shown)}`",
        expected,
        remedy,
    )
