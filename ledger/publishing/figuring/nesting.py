"""A drawing of a page set into another, at a place and of a size."""

from __future__ import annotations

import re

_BOX = re.compile(r'viewBox="([^"]+)"')
_HEAD = re.compile(r"<svg\b[^>]*>")


def at(svg: str, x: float, y: float, width: float, height: float) -> str:
    """Return a drawing of its own at a place; links in it lead nowhere there and are left out."""
    box = _BOX.search(svg)
    head = f'<svg x="{x:.1f}" y="{y:.1f}" width="{width:.1f}" height="{height:.1f}" viewBox="{box[1] if box else ""}"'
    kind = re.search(r'class="([^"]+)"', _HEAD.findall(svg)[0])
    text = _HEAD.sub(f'{head} class="{kind[1] if kind else ""}">', svg, count=1)
    return re.sub(r"<title[^>]*>.*?</title>|<desc[^>]*>.*?</desc>|<a\b[^>]*>|</a>", "", text, flags=re.DOTALL)


def size(svg: str) -> tuple[float, float]:
    """Return the breadth and height of a drawing in its own units."""
    box = _BOX.search(svg)
    _, _, width, height = (float(one) for one in box[1].split()) if box else (0.0, 0.0, 1.0, 1.0)
    return width, height
