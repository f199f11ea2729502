"""All ways of measuring, and the one call that measures by any of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from ledger.photo.declaring import Each, Form, Found, Known, Medium, Method, Role, Said, Stated, Use, told
from ledger.photo.held import Given, picks_of, read_known, wrongs
from ledger.photo.lengths_declared import PLANE_ANGLE, PLANE_LENGTH, SCALE_BAR
from ledger.photo.lens_stated import LensGiven, lens_of
from ledger.photo.recording import read_recording
from ledger.photo.rims_declared import RIM_DIAMETER, RIM_RATIO, RIM_TILT
from ledger.photo.shafts_declared import SHAFT_LINE
from ledger.photo.sounds_declared import SOUND_GAP, SOUND_RATIO
from ledger.photo.teeth_declared import TOOTH_COUNT, TOOTH_MODULE
from ledger.photo.values import DRAWS, refuse
from ledger.photo.wrong import Wrong

__all__ = [
    "METHODS", "REGISTER", "Each", "Form", "Found", "Given", "Known", "LensGiven", "Medium", "Method", "Role", "Said",
    "Stated", "Wrong", "lens_of", "measure", "wrongs",
]  # fmt: skip

METHODS: tuple[Method, ...] = (
    SCALE_BAR,
    PLANE_LENGTH,
    PLANE_ANGLE,
    SHAFT_LINE,
    RIM_DIAMETER,
    RIM_RATIO,
    RIM_TILT,
    TOOTH_COUNT,
    TOOTH_MODULE,
    SOUND_RATIO,
    SOUND_GAP,
)
REGISTER: Mapping[str, Method] = {method.name: method for method in METHODS}


def measure(
    method: Method,
    points: Mapping[str, Sequence[Sequence[float]]],
    known: Mapping[str, Given],
    lens: LensGiven = None,
    size: tuple[float, float] | None = None,
    doubt: float = 1.0,
    count: int = DRAWS,
    photograph: str = "",
    recording: bytes | Path | None = None,
) -> Found:
    """Return what picks give by a method.

    points      role to places: [x, y] in pixels, [start, end] in seconds, [time, frequency]
    known       name to a quantity (or its text), a word, or a list with one for each pick; defaults are filled in
    lens        "none", "unknown", Brown terms, or what is known of an unknown lens (see `lens_of`)
    size        width and height of the whole picture as it is shown [px]; needed for all but recordings
    doubt       standard uncertainty of a pick [px]
    count       draws; fewer are quicker, for a first look
    photograph  a name; measurements on one picture share its tilt, focal length and lens
    recording   the WAV, for methods that listen

    PhotoRefused with everything that is wrong, one a line. The same picks give the same answer.
    """
    refuse(str(wrong) for wrong in wrongs(method, points, known, lens, size, doubt))
    use = Use(
        points=picks_of(points, doubt),
        known=read_known(method, points, known),
        lens=lens_of(lens, size or (0.0, 0.0)),
        size=size or (0.0, 0.0),
        photograph=photograph,
        recording=None if recording is None else read_recording(recording, "recording"),
        count=count,
    )
    return told(method.compute(use))
