"""Recordings opened to be looked at: read where they lie, a piece at a time, so that long ones cost no memory.

MOST_BYTES  bytes of a file
LONGEST     seconds
AT_A_TIME   samples of a channel held at a time

Measuring is held to narrower limits (see `photo.recording`); a note may mark a span of what is longer.
"""

from __future__ import annotations

import warnings
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

import numpy as np
from numpy.typing import NDArray
from scipy.io import wavfile

from ledger.errors import PhotoRefused
from ledger.photo import recording
from ledger.photo.pictures import find

MOST_BYTES = 1_000_000_000
SHORTEST, LONGEST = 0.05, 3_600.0
AT_A_TIME = 4_000_000
# What can be heard, and what the axis of frequencies holds [Hz].
LOWEST, HIGHEST = 20.0, 20_000.0
# Over full scale, of samples that are stored as floats.
LOUDEST = 100.0
_MEND = "Export it anew as PCM WAV of 16 bits, mono or stereo."

Samples = NDArray[np.float32]


@dataclass(frozen=True, eq=False)
class Heard:
    """A recording as it lies in its file.

    rate      samples a second of each channel
    frames    how many samples each channel has
    channels  one or two
    kind      how a sample is stored; `offset` where the first one lies [bytes]
    held      the samples where they cannot be read from the file as they lie there, shape (frames, channels)
    """

    path: Path
    rate: int
    frames: int
    channels: int
    kind: np.dtype[Any]
    offset: int
    held: NDArray[Any] | None = None

    @property
    def duration(self) -> float:
        """Return its length [s]."""
        return self.frames / self.rate

    @property
    def highest(self) -> float:
        """Return the highest frequency that is shown [Hz]."""
        return min(HIGHEST, self.rate / 2)

    def stretch(self, first: int, last: int, stride: int = 1) -> Samples:
        """Return every so manieth sample from one place to before another, over full scale, the channels' mean."""
        with self.path.open("rb") as file:
            return self._scaled(self._read(file, first, last)[::stride])

    def pieces(self, firsts: NDArray[np.intp], size: int) -> Samples:
        """Return pieces of one size, shape (pieces, size), that begin at places in order.

        What is outside of the recording is silent.
        """
        made = np.zeros((firsts.size, size), dtype=np.float32)
        inside = np.clip(firsts, 0, self.frames), np.clip(firsts + size, 0, self.frames)
        with self.path.open("rb") as file:
            if inside[1][-1] - inside[0][0] <= firsts.size * size:
                start = int(inside[0][0])
                together = self._scaled(self._read(file, start, int(inside[1][-1])))
            else:
                start, together = 0, None
            for row, (first, last) in enumerate(zip(*inside, strict=True)):
                at = int(first - firsts[row])
                if together is None:
                    made[row, at : at + last - first] = self._scaled(self._read(file, int(first), int(last)))
                else:
                    made[row, at : at + last - first] = together[first - start : last - start]
        return made

    def _read(self, file: IO[bytes], first: int, last: int) -> NDArray[Any]:
        if self.held is not None:
            return self.held[first:last]
        file.seek(self.offset + first * self.channels * self.kind.itemsize)
        read = np.fromfile(file, self.kind, max(last - first, 0) * self.channels)
        if read.size < (last - first) * self.channels:
            raise PhotoRefused(f"{self.path.name}: given a file that was cut off as it was read. Choose it again.")
        return read.reshape(-1, self.channels)

    def _scaled(self, taken: NDArray[Any]) -> Samples:
        if self.kind.kind == "f":
            # Floats may be anything; what is no number is drawn as silence.
            taken = np.clip(np.nan_to_num(taken, nan=0.0, posinf=0.0, neginf=0.0), -LOUDEST, LOUDEST)
        middle = 128.0 if self.kind == np.uint8 else 0.0
        full = 128.0 if self.kind == np.uint8 else float(-np.iinfo(self.kind).min) if self.kind.kind == "i" else 1.0
        mean = taken[:, 0].astype(np.float32)
        if self.channels > 1:
            mean = (mean + taken[:, 1]) / np.float32(2)
        return np.asarray((mean - np.float32(middle)) / np.float32(full), dtype=np.float32)


def hear(root: Path, name: str) -> Heard:
    """Return a recording of the investigation. PhotoRefused for what is no WAV within the limits."""
    path = find(root, name)
    size = path.stat().st_size
    if not is_wav(path):
        raise PhotoRefused(f"{name}: given no recording; expected a WAV. {_MEND}")
    if size > MOST_BYTES:
        raise PhotoRefused(
            f"{name}: given {size / 1e6:.0f} MB; expected at most {MOST_BYTES / 1e6:.0f} MB. Cut it to what is wanted."
        )
    rate, stored = _stored(path, name, size)
    if stored.ndim == 1:
        stored = stored[:, None]
    frames, channels = stored.shape
    duration = frames / rate if rate else 0.0
    faults = []
    if stored.dtype.kind not in "iuf" or stored.dtype.itemsize > 8:
        faults.append(f"{name}: given samples stored as {stored.dtype}; expected PCM or floats. {_MEND}")
    if not 1 <= channels <= 2:
        faults.append(f"{name}: given {channels} channels; expected one or two. {_MEND}")
    if not recording.SLOWEST <= rate <= recording.FASTEST:
        faults.append(
            f"{name}: given {rate} samples a second; expected {recording.SLOWEST} to {recording.FASTEST}. {_MEND}"
        )
    elif not SHORTEST <= duration <= LONGEST:
        faults.append(
            f"{name}: given {duration:.2f} s; expected {SHORTEST:g} to {LONGEST:g} s. Cut it to what is wanted."
        )
    if faults:
        raise PhotoRefused("\n".join(faults))
    lies = isinstance(stored, np.memmap)
    offset = int(stored.offset) if isinstance(stored, np.memmap) else 0
    return Heard(path, int(rate), frames, channels, stored.dtype, offset, None if lies else stored)


def is_wav(path: Path) -> bool:
    """Return whether a file says of itself that it is a WAV."""
    with path.open("rb") as file:
        head = file.read(12)
    return head[:4] == b"RIFF" and head[8:] == b"WAVE"


def _stored(path: Path, name: str, size: int) -> tuple[int, NDArray[Any]]:
    """Return rate and samples, a map of the file; those of 24 bits, of which there is none, are read."""
    try:
        with warnings.catch_warnings():
            # Of chunks that are not sound, and of an end before the header's.
            warnings.simplefilter("ignore")
            try:
                rate, stored = wavfile.read(path, mmap=True)
            except ValueError:
                if size > recording.MOST_BYTES:
                    raise
                rate, stored = wavfile.read(path)
    # scipy's reader meets damaged headers with whatever error they happen to lead to.
    except Exception as error:
        raise PhotoRefused(
            f"{name}: given bytes that are no readable WAV ({error}); expected a whole WAV. {_MEND}"
        ) from error
    return rate, stored
