"""An investigation with a photograph and a recording, and measurements made from them. All of it is invented."""

from __future__ import annotations

import io
from functools import cache
from pathlib import Path

import numpy as np
from PIL import Image, ImageDraw

from tests.ledger_files import SMALL, put
from tests.recordings import Drive, Upshift, sound, wav

SECRET = "a-secret-of-the-camera"
WIDTH, HEIGHT = 1200, 800
PICTURE, RECORDING = "photographs/view.jpg", "recordings/drive.wav"
# A change up by 1.31 in 60 ms, a second and a half into the recording.
STEP, GAP, CHANGE = 1.31, 0.060, 1.5

SOURCES = {
    "sources/view": f"""---
kind: source
title: Through the inspection opening
medium: photograph
author: A. Draughtsman
date: 2031-05-17
rights: own work
publishable: true
reliability: B
file: {PICTURE}
---
""",
    "sources/drive": f"""---
kind: source
title: On board
medium: recording
author: A. Draughtsman
date: 2031-05-17
rights: own work
reliability: B
file: {RECORDING}
---
""",
}
SLEEVE = """---
kind: measurement
title: Width of the sleeve
# Words that a person left here.
quantity: 17.4 ± 2.0 mm
source: view
credibility: 2
method: Scaled from the head of a casing bolt
picked:
  by: scale-bar
  points: {bar: [[812, 440], [1010, 655]], part: [[300, 200], [512, 204]]}
  doubt: 1.5
  known: {bar: 24 ± 0.2 mm}
  lens: none
---
The bolt is from the same maker's list.
"""
CHANGE_GAP = """---
kind: measurement
title: Gap of the change
quantity: 60 ± 4 ms
source: drive
credibility: 3
method: From the line of the firing order
picked:
  by: sound-gap
  points: {heard: [[0.8, 2.2]]}
  known: {band: 60..250 Hz}
---
"""


def photograph(width: int = WIDTH, height: int = HEIGHT) -> Image.Image:
    """Return a picture with something on it; its metadata hold a secret, a place, a focal length and a date."""
    image = Image.new("RGB", (width, height), "#607080")
    drawn = ImageDraw.Draw(image)
    for number in range(40):
        at = (37 * number % width, 53 * number % height)
        drawn.ellipse((*at, at[0] + 60, at[1] + 40), outline=(6 * number, 250 - 6 * number, 90))
    return image


def metadata(image: Image.Image, orientation: int = 1) -> Image.Exif:
    """Return metadata for a picture: a secret, where it was taken, how it was held, focal length and date."""
    told = image.getexif()
    told[0x0112], told[0x010E] = orientation, SECRET
    inner = told.get_ifd(0x8769)
    inner[0xA405], inner[0x9003] = 26, "2031:05:17 10:30:00"
    place = told.get_ifd(0x8825)
    place[1], place[2] = "N", (12.0, 34.0, 56.0)
    return told


def encoded(image: Image.Image, kind: str = "JPEG", orientation: int = 1) -> bytes:
    """Return a picture's bytes with the metadata of `metadata`."""
    out = io.BytesIO()
    image.save(out, kind, exif=metadata(image, orientation))
    return out.getvalue()


@cache
def jpeg() -> bytes:
    """Return the photograph of the investigation."""
    return encoded(photograph())


@cache
def recording() -> bytes:
    """Return the recording of the investigation."""
    drive = Drive(110.0, (Upshift(CHANGE, STEP, GAP),), 3.0, noise=0.05, kept=0.3)
    return wav(np.asarray(sound(drive)))


def lay_out(root: Path, files: dict[str, str] | None = None) -> Path:
    """Lay out the investigation in a folder, and return the folder."""
    put(root / "entries", {**SMALL, **SOURCES, **({"measurements/sleeve": SLEEVE} if files is None else files)})
    for name, content in ((PICTURE, jpeg()), (RECORDING, recording())):
        (root / name).parent.mkdir(parents=True, exist_ok=True)
        (root / name).write_bytes(content)
    return root
