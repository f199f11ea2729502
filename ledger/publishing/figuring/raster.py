"""A figure as PNG. The picture holds its pixels and their size alone."""

from __future__ import annotations

import io

from PIL import Image

from ledger.errors import WitnessError
from ledger.publishing.figuring.colours import FONT

_LETTERS = (
    f'<svg xmlns="http://www.w3.org/2000/svg" width="64" height="32"><text y="24" style="font-family:{FONT};'
    'font-size:24px">Mm</text></svg>'
)


def png(svg: str) -> bytes:
    """Return a figure drawn; WitnessError where this computer has no letters to draw with."""
    import resvg_py  # what asks for no figure need not load it

    if not _drawn(resvg_py.svg_to_bytes(svg_string=_LETTERS)).getchannel("A").getbbox():
        raise WitnessError(
            "No letters could be drawn: this computer has no font that was looked for. Install one, such as DejaVu "
            "(`apt install fonts-dejavu-core`), or ask for an SVG with `--out FILE.svg`. Nothing was written."
        )
    with io.BytesIO() as held:
        _drawn(resvg_py.svg_to_bytes(svg_string=svg)).convert("RGB").save(held, "PNG", optimize=True)
        return held.getvalue()


def _drawn(content: bytes) -> Image.Image:
    return Image.open(io.BytesIO(content)).convert("RGBA")
