"""The site's colours and the looks of its drawings for a figure, which no style sheet stands beside."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from importlib.resources import files

FONT = "'DejaVu Sans', 'Noto Sans', 'Liberation Sans', Arial, sans-serif"
SERIF = "'DejaVu Serif', 'Noto Serif', 'Liberation Serif', Georgia, serif"
SCHEMES = {False: "default", True: "slate"}
DRAWN = re.compile(r"\.wl-(?:chart|line|marks?|map|bar|trace)\b[^,{:]*")
_RULE = re.compile(r"([^{}]+)\{([^{}]*)\}")
_VAR = re.compile(r"var\((--[\w-]+)\)")


@cache
def colours(dark: bool) -> Mapping[str, str]:
    """Return the colours that the site's style sheet names, by day or by night: `--wl-ink` and so on."""
    part = re.search(rf'\[data-md-color-scheme="{SCHEMES[dark]}"\] \{{(.*?)\}}', _sheet(), re.DOTALL)
    return dict(re.findall(r"(--wl-[\w-]+): (#[0-9a-f]{6});", part[1])) if part is not None else {}


@cache
def style(dark: bool) -> str:
    """Return the rules for what is drawn, with their colours in them."""
    found = []
    for selectors, said in _RULE.findall(_without_media(_sheet())):
        kept = [one.strip() for one in selectors.split(",") if DRAWN.fullmatch(one.strip())]
        if kept:
            found.append(f"{', '.join(kept)} {{ {said.strip()} }}")
    return settled("\n".join(found), dark)


def settled(text: str, dark: bool) -> str:
    """Return text with the value of every colour in place of its name; fonts are those of a figure."""
    known = colours(dark)
    return _VAR.sub(lambda name: known.get(name[1], FONT), text)


def _sheet() -> str:
    folder = files("ledger.publishing") / "assets"
    sheets = sorted(one.name for one in folder.iterdir() if one.name.endswith(".css"))
    text = "\n".join((folder / name).read_text(encoding="utf-8") for name in sheets)
    return re.sub(r"/\*.*?\*/", "", text, flags=re.DOTALL)


def _without_media(text: str) -> str:
    return re.sub(r"@media[^{]*\{(?:[^{}]*\{[^{}]*\})*[^{}]*\}", "", text)
