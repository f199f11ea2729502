"""Reading a recording: WAV bytes to samples, with everything that may be wrong with them refused."""

from __future__ import annotations

import io
import warnings
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from scipy.io import wavfile

from ledger.errors import PhotoRefused
from ledger.photo.ellipse import Array
from ledger.photo.values import refuse

MOST_BYTES = 100_000_000
SLOWEST, FASTEST = 4_000, 192_000
SHORTEST, LONGEST = 0.4, 600.0
# Below this share of full scale nothing was recorded; above so many samples at full scale it is cut off.
SILENT = 1e-4
# Full scale and middle by how samples are stored; 24 bits come in the upper part of 32.
_STORED = {"uint8": (128.0, 128.0), "int16": (2.0**15, 0.0), "int32": (2.0**31, 0.0), "float32": (1.0, 0.0),
           "float64": (1.0, 0.0)}  # fmt: skip
_MEND = "Export it anew as PCM WAV of 16 bits, mono or stereo."


@dataclass(frozen=True, eq=False)
class Recording:
    """A recording: sample rate [Hz], samples over full scale (the channels' mean)."""

    rate: int
    samples: Array

    @property
    def duration(self) -> float:
        """Return its length [s]."""
        return self.samples.size / self.rate


def read_recording(given: bytes | Path, name: str = "recording") -> Recording:
    """Return the recording in WAV bytes or a WAV file.

    PCM of 8, 16, 24 or 32 bits or floats, mono or stereo, 4 to 192 kHz, 0.4 to 600 s, at most 100 MB.

    PhotoRefused for anything else, for damaged or cut off data, for samples that are not finite, and for silence.
    """
    data = _bytes(given, name)
    try:
        with warnings.catch_warnings(record=True) as told:
            warnings.simplefilter("always")
            rate, samples = wavfile.read(io.BytesIO(data))
    # scipy's reader meets damaged headers with whatever error they happen to lead to.
    except Exception as error:
        raise PhotoRefused(
            f"{name}: given bytes that are no readable WAV ({error}); expected a whole WAV. {_MEND}"
        ) from error
    if any("prematurely" in str(one.message) for one in told):
        refuse([f"{name}: given a WAV that ends before its header says; expected a whole one. Copy it again. {_MEND}"])
    stored = str(samples.dtype)
    channels = 1 if samples.ndim == 1 else samples.shape[-1]
    faults = []
    if stored not in _STORED:
        faults.append(f"{name}: given samples stored as {stored}; expected PCM of 8 to 32 bits, or floats. {_MEND}")
    if not 1 <= channels <= 2:
        faults.append(f"{name}: given {channels} channels; expected one or two. {_MEND}")
    if not SLOWEST <= rate <= FASTEST:
        faults.append(f"{name}: given {rate} samples a second; expected {SLOWEST} to {FASTEST}. {_MEND}")
    elif not SHORTEST <= samples.shape[0] / rate <= LONGEST:
        faults.append(f"{name}: given {samples.shape[0] / rate:.2f} s; expected {SHORTEST:g} to {LONGEST:g} s. Cut it "
                      "to the changes of gear, with a second on either side.")  # fmt: skip
    refuse(faults)
    scale, middle = _STORED[stored]
    one = (np.asarray(samples, dtype=float).reshape(samples.shape[0], -1).mean(axis=1) - middle) / scale
    if not np.isfinite(one).all() or np.abs(one).max() > 1e6:
        refuse([f"{name}: given samples that are no finite numbers; expected sound. {_MEND}"])
    if float(np.std(one)) < SILENT:
        refuse([f"{name}: given silence; expected the sound of an engine. Take the channel that holds it."])
    return Recording(int(rate), one - one.mean())


def _bytes(given: bytes | Path, name: str) -> bytes:
    if isinstance(given, Path):
        try:
            if given.stat().st_size > MOST_BYTES:
                refuse([_too_large(given.stat().st_size, name)])
            return given.read_bytes()
        except OSError as error:
            raise PhotoRefused(
                f"{name}: given {given.name}, which cannot be read; expected a WAV file. {error.strerror}."
            ) from error
    if len(given) > MOST_BYTES:
        refuse([_too_large(len(given), name)])
    return given


def _too_large(size: int, name: str) -> str:
    return (
        f"{name}: given {size / 1e6:.0f} MB; expected {MOST_BYTES / 1e6:.0f} MB at most. Cut it to the changes of gear."
    )
