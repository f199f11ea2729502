"""What the bench draws of a recording lies where closed forms say: tones, clicks, levels and the envelope."""

from __future__ import annotations

import base64
import io
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image
from scipy.signal import chirp

from ledger.bench.asking import Part
from ledger.bench.spectrum import spectrogram
from tests.recordings import wav

RATE = 16_000
COLUMNS, ROWS = 400, 300


def drawn(root: Path, samples: np.ndarray, bits: int = 16, channels: int = 1, **part: Any) -> dict[str, Any]:
    """Return what is drawn of a recording with these samples, its picture as shades, shape (rows, columns)."""
    (root / "made.wav").write_bytes(wav(samples, RATE, bits, channels))
    given = {"start": 0.0, "end": samples.size / RATE, "low": 50.0, "high": 5_000.0} | part
    told = spectrogram(root, Part(file="made.wav", columns=COLUMNS, rows=ROWS, **given))
    shades = np.asarray(Image.open(io.BytesIO(base64.b64decode(told["picture"]))))
    assert shades.shape == (ROWS, COLUMNS)
    return told | {"shades": shades.astype(int)}


def frequency(row: np.ndarray, low: float, high: float) -> np.ndarray:
    """Return the frequency in the middle of rows: they part the logarithm evenly, the highest above."""
    return np.asarray(high * (low / high) ** ((row + 0.5) / ROWS))


@pytest.mark.parametrize("tone", [60.0, 173.0, 440.0, 1_990.0, 4_700.0])
@pytest.mark.parametrize("end", [0.5, 8.0])
def test_a_tone_is_brightest_in_its_own_row(tmp_path: Path, tone: float, end: float) -> None:
    """At any zoom the brightest row is the tone's, or the one beside it."""
    samples = 0.5 * np.sin(2 * np.pi * tone * np.arange(8 * RATE) / RATE)
    told = drawn(tmp_path, samples, start=0.1, end=end)
    inner = told["shades"][:, COLUMNS // 4 : -COLUMNS // 4]
    # Shades are whole numbers: the middle of the brightest rows.
    brightest = [float(np.flatnonzero(column == column.max()).mean()) for column in inner.T]
    step = np.log(told["high"] / told["low"]) / ROWS
    off = np.log(frequency(np.array(brightest), told["low"], told["high"]) / tone) / step
    assert np.abs(off).max() < 1.5


def test_a_gliding_tone_is_followed_in_time_and_frequency(tmp_path: Path) -> None:
    """A tone whose logarithm rises evenly is a straight line across the picture."""
    times = np.arange(4 * RATE) / RATE
    samples = 0.5 * chirp(times, 100, 4, 3_000, method="logarithmic")
    told = drawn(tmp_path, samples)
    column = np.arange(20, COLUMNS - 20)
    brightest = frequency(told["shades"][:, column].argmax(axis=0), told["low"], told["high"])
    truth = 100 * 30 ** ((column + 0.5) / COLUMNS)
    assert np.abs(np.log(brightest / truth)).max() < 0.06


def test_a_click_stands_in_its_own_column(tmp_path: Path) -> None:
    """A single sample lights the columns about its time alone, and is the envelope's greatest."""
    samples = 1e-3 * np.random.default_rng(5).standard_normal(4 * RATE)
    samples[int(1.7 * RATE)] = 0.9
    told = drawn(tmp_path, samples, start=1.5, end=2.0, low=1_000.0)
    truth = round((1.7 - 1.5) / 0.5 * COLUMNS)
    # The window lights the columns on either side of the click alike.
    summed = np.maximum(told["shades"].sum(axis=0) - np.median(told["shades"].sum(axis=0)), 0) ** 4
    assert np.sum(summed * np.arange(COLUMNS)) / summed.sum() == pytest.approx(truth, abs=2)
    assert int(np.argmax(told["highs"])) == truth
    assert max(told["highs"]) == pytest.approx(900, abs=1)


def test_tones_as_loud_are_as_bright_at_any_pitch_and_zoom(tmp_path: Path) -> None:
    """Three tones of one level differ by less than a twentieth of all shades."""
    times = np.arange(6 * RATE) / RATE
    samples = sum(0.25 * np.sin(2 * np.pi * tone * times) for tone in (120.0, 800.0, 4_000.0))
    for start, end in ((0.0, 6.0), (2.0, 2.4)):
        told = drawn(tmp_path, np.asarray(samples), start=start, end=end, high=6_000.0)
        shades = told["shades"][:, COLUMNS // 2]
        rows = [int(np.log(6_000 / tone) / np.log(6_000 / 50) * ROWS) for tone in (120.0, 800.0, 4_000.0)]
        found = [shades[row - 3 : row + 4].max() for row in rows]
        assert max(found) - min(found) < 0.05 * 255


@pytest.mark.parametrize(("bits", "channels"), [(8, 1), (16, 2), (24, 1), (24, 2), (32, 1)])
def test_the_envelope_holds_every_sample_of_its_column(tmp_path: Path, bits: int, channels: int) -> None:
    """Least and greatest of each column are those of its samples, however they are stored."""
    samples = 0.8 * np.random.default_rng(3).uniform(-1, 1, 3 * RATE)
    told = drawn(tmp_path, samples, bits, channels, start=0.4, end=2.2)
    edges = np.round(np.linspace(0.4, 2.2, COLUMNS + 1) * RATE).astype(int)
    # Of 8 bits the test writes 127 parts in 128, rounded.
    within = 11 if bits == 8 else 1
    for column in range(COLUMNS):
        held = samples[edges[column] : edges[column + 1]]
        assert told["lows"][column] == pytest.approx(1000 * held.min(), abs=within)
        assert told["highs"][column] == pytest.approx(1000 * held.max(), abs=within)


def test_two_channels_are_heard_as_their_mean(tmp_path: Path) -> None:
    """What one channel has against the other is gone."""
    from scipy.io import wavfile

    tone = np.round(20_000 * np.sin(2 * np.pi * 440 * np.arange(RATE) / RATE)).astype(np.int16)
    wavfile.write(tmp_path / "made.wav", RATE, np.stack([tone, -tone], axis=1))
    told = spectrogram(tmp_path, Part(file="made.wav", start=0, end=1, low=50, high=5_000, columns=100, rows=100))
    assert set(told["lows"]) | set(told["highs"]) == {0}
