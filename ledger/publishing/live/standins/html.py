"""Stands in for html and markupsafe, where text is put into a drawing."""

from __future__ import annotations

Markup = str


def escape(text):
    """Return text in which no sign is read as a tag, an attribute's end or a reference."""
    made = text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    return made.replace('"', "&quot;").replace("'", "&#x27;")
