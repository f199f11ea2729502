"""A photograph with its marks on a figure, or a blank outline where the picture may not be shown."""

from __future__ import annotations

import base64
import re
from collections.abc import Callable

from ledger.publishing.figuring.lettering import Line, panel
from ledger.publishing.media.picturing import Shot

WORDS, GAP = 460.0, 56.0
LARGER = 2.0  # marks and their letters, against a page's
_SHARE = re.compile(r'\b(x|y|x1|y1|x2|y2|cx|cy)="([\d.-]+)%"')
BLANK = (
    '<pattern id="blank" width="24" height="24" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
    '<rect width="24" height="24" fill="#3a4245"/><rect width="12" height="24" fill="#434c4f"/></pattern>'
)


def photograph(shot: Shot, picture: bytes | None, lines: list[Line]) -> Callable[[float, float], str]:
    """Return what draws a picture with its marks, and words on its right.

    picture  a JPEG encoded anew, without metadata; None for a blank outline
    """

    def draw(width: float, height: float) -> str:
        room = width - WORDS - GAP
        scale = min(room / shot.width, height / shot.height)
        w, h = scale * shot.width, scale * shot.height
        if picture is None:
            ground = f'{BLANK}<rect width="{w:.1f}" height="{h:.1f}" fill="url(#blank)"/>'
        else:
            held = base64.b64encode(picture).decode()
            ground = f'<image width="{w:.1f}" height="{h:.1f}" href="data:image/jpeg;base64,{held}"/>'
        marks = numbered(str(shot.marks), w / LARGER, h / LARGER)
        return (
            f'{ground}<g class="wl-marks" transform="scale({LARGER:g})">{marks}</g>'
            f"{panel(lines, w + GAP, width - w - GAP, height)}"
        )

    return draw


def numbered(svg: str, width: float, height: float) -> str:
    """Return marks with places in numbers instead of hundredths, without the frame and links around them."""
    inner = re.sub(r"</?svg\b[^>]*>|<a\b[^>]*>|</a>", "", svg)
    sizes = {"x": width, "y": height}

    def number(found: re.Match[str]) -> str:
        size = sizes["x" if "x" in found[1] else "y"]
        return f'{found[1]}="{float(found[2]) * size / 100:.2f}"'

    return _SHARE.sub(number, inner)
