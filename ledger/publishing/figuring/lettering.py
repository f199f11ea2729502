"""Lettering on a figure: lines that fit a width, with a guess at how broad letters are that no common font exceeds."""

from __future__ import annotations

from dataclasses import dataclass
from html import escape
from textwrap import wrap

from ledger.publishing.figuring.colours import FONT, SERIF
from ledger.publishing.figuring.nesting import at

BROAD = 0.57  # of a letter, on average, to its size
APART = 1.32
MORE = 20.0


@dataclass(frozen=True)
class Line:
    """A paragraph of a panel: its text, size [px], the name of its colour, and a sample of what is drawn before it."""

    text: str
    size: float = 26.0
    colour: str = "--wl-ink"
    strong: bool = False
    sample: str = ""
    most: int = 3


def wrapped(text: str, size: float, width: float, most: int) -> list[str]:
    """Return text in lines that fit; what is beyond the last of them is left out, and dots say so."""
    signs = max(6, int(width / (BROAD * size)))
    return wrap(" ".join(text.split()), signs, max_lines=most, placeholder="…") or [""]


def text(x: float, y: float, said: str, size: float, look: str = "", anchor: str = "start", serif: bool = False) -> str:
    """Return one line of text whose letters stand on y; `look` is the name of a colour and more of its style."""
    colour, _, more = (look or "--wl-ink").partition(";")
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" style="font-family:{SERIF if serif else FONT};'
        f'font-size:{size:g}px;fill:var({colour});{more}">{escape(said)}</text>'
    )


def panel(lines: list[Line], x: float, width: float, height: float) -> str:
    """Return paragraphs one below the other; where there is no room for the last, it is said how many are left out."""
    drawn, y = [], 0.0
    for place, line in enumerate(lines):
        inset = 64.0 if line.sample else 0.0
        parts = wrapped(line.text, line.size, width - inset, line.most)
        left = len(lines) - place
        if y + APART * (line.size * len(parts) + (MORE if left > 1 else 0)) > height:
            drawn.append(text(x, y + MORE, f"And {left} more.", MORE, "--wl-soft"))
            break
        if line.sample:
            drawn.append(at(line.sample, x, y + 0.62 * line.size - 9, 48.0, 18.0))
        for part in parts:
            look = f"{line.colour};font-weight:600" if line.strong else line.colour
            drawn.append(text(x + inset, y + line.size, part, line.size, look))
            y += APART * line.size
        y += 0.45 * line.size
    return "".join(drawn)
