"""JSON between the page and the calculators: what Python has no need of here is not understood."""

from __future__ import annotations

_known: dict[str, str] = {}


def dumps(value):
    """Return JSON for dicts, lists, texts, truths, finite numbers and None."""
    if isinstance(value, float):
        return repr(value) if value - value == 0 else "null"
    if isinstance(value, str):
        return quoted(value)
    if value is None or value is True or value is False:
        return "null" if value is None else "true" if value else "false"
    if isinstance(value, int):
        return repr(value)
    if isinstance(value, dict):
        return "{" + ",".join(f"{quoted(str(key))}:{dumps(one)}" for key, one in value.items()) + "}"
    return "[" + ",".join(dumps(one) for one in value) + "]"


def quoted(text):
    """Return a text as JSON has it; names of columns come again and again, so each is made once."""
    if text not in _known:
        _known[text] = _quoted(text)
    return _known[text]


def _quoted(text):
    made = text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n").replace("\r", "\\r").replace("\t", "\\t")
    return '"' + "".join(sign if ord(sign) >= 32 else f"\\u{ord(sign):04x}" for sign in made) + '"'
