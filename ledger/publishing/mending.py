"""What a theme leaves undone in a finished page: a box of a list of tasks says what it is to who cannot see it."""

from __future__ import annotations

import re

BOX = re.compile(r'<input type="checkbox"(?P<rest>(?: [a-z]+(?:="[^"]*")?)*)\s*/?>')


def mended(html: str) -> str:
    """Return a page in which every box of a list of tasks has a name; only boxes that nobody can change are those."""
    return BOX.sub(_named, html)


def _named(box: re.Match[str]) -> str:
    rest = box["rest"]
    if "disabled" not in rest or "aria-label" in rest:
        return box[0]
    return f'<input type="checkbox"{rest} aria-label="{"done" if "checked" in rest else "to be done"}">'
