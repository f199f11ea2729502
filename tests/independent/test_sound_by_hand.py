"""The line's phase against sums of its frequency, the ridge against the known line, and whole recordings."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad

from ledger.errors import PhotoRefused
from ledger.photo.change_fit import (
    CURVE_1,
    CURVE_2,
    CYCLES,
    HOLDS,
    LOG_GAP,
    RISE_1,
    RISE_2,
    WORTH,
    cut,
    log_density,
    phase_of,
    straightened,
)
from ledger.photo.recording import read_recording
from ledger.photo.ridge import falls, follow
from ledger.photo.sound import hear_changes
from ledger.quantities.notation import parse
from tests.recordings import Drive, Upshift, engine_line, sound, wav

# ln f₁, ln q, r₁, r₂, k₁, k₂, t₁, ln g, m
CHANGE = np.array([np.log(120.0), np.log(1.25), 0.2, 0.15, -0.1, 0.05, 1.0, np.log(0.08), 0.4])
THREE = Drive(
    100.0, (Upshift(1.0, 1.31, 0.06), Upshift(2.0, 1.25, 0.1, 1.0), Upshift(3.0, 1.18, 0.04)), 4.0, 0.25, noise=0.3
)


def test_phase_is_the_sum_of_the_frequency() -> None:
    """Phase from the closed form against the trapezium sum of the frequency written out, to 1e-4 rad."""
    times = np.linspace(0.5, 1.6, 110_001)
    f1, f2, gap = 120.0, 120.0 / 1.25, 0.08
    before, after, u = times - 1.0, times - 1.08, np.clip((times - 1.0) / gap, 0, 1)
    shape = 0.6 * u + 0.4 * (1 - np.cos(np.pi * u)) / 2
    line = np.where(before < 0, f1 * (1 + 0.2 * before - 0.05 * before**2), f1 + (f2 - f1) * shape)
    line = np.where(after > 0, f2 * (1 + 0.15 * after + 0.025 * after**2), line)
    summed = 2 * np.pi * np.concatenate(([0.0], np.cumsum((line[1:] + line[:-1]) / 2 * np.diff(times))))
    phase = phase_of(CHANGE[None, :], times)[0]
    assert phase - phase[0] == pytest.approx(summed, abs=1e-4)


def test_the_true_change_is_likelier_than_others() -> None:
    """For a sound made by the very phase, any parameter moved makes it less probable."""
    rate = 2000.0
    times = np.arange(int(2 * rate)) / rate
    samples = np.cos(phase_of(CHANGE[None, :], times)[0]) + 0.1 * np.random.default_rng(1).standard_normal(times.size)
    piece = cut(samples, rate, 0.55, 1.55, CHANGE)
    steps = np.diag([0.01, 0.02, 0.2, 0.2, 1.5, 1.5, 0.02, 0.5])
    moved = np.array([CHANGE + np.append(sign * step, 0) for step in steps for sign in (1, -1)])
    here = log_density(CHANGE[None, :], piece, (0.5, 1.5))[0]
    assert (log_density(moved, piece, (0.5, 1.5)) < here - 1).all()


@pytest.mark.parametrize("quieter", [1.0, 0.4])
def test_what_is_left_is_noise_alone(quieter: float) -> None:
    """At the true change the share left of the energy is that of the noise in the band, however loud the gap is.

    Noise of deviation σ has in a band of 2 b f the variance 4 b f σ² / rate on either axis of the complex plane, the
    line has the energy 1, and each block's own phase takes one of its samples. Held alike within a block, a loudness
    of 0.4 in a gap of one block in ten would leave more than ten times as much.
    """
    rate, random = 2000.0, np.random.default_rng(2)
    times = np.arange(int(2 * rate)) / rate
    inside = (times > 1.0) & (times < 1.08)
    samples = np.where(inside, quieter, 1.0) * np.cos(phase_of(CHANGE[None, :], times)[0])
    piece = cut(samples + 0.1 * random.standard_normal(times.size), rate, 0.55, 1.55, CHANGE)
    frequency = 120 / np.sqrt(1.25)
    band = HOLDS / (0.08 * frequency)
    count = 2 * band * frequency * 1.0
    blocks = frequency / CYCLES
    known = 0.5 * CHANGE[LOG_GAP] - 0.5 * (CHANGE[[RISE_1, RISE_2]] ** 2).sum()
    known -= 0.5 * ((CHANGE[[CURVE_1, CURVE_2]] / 0.3) ** 2).sum()
    heard = log_density(CHANGE[None, :], piece, (0.5, 1.5))[0] - known
    left = np.exp(-2 * heard / (WORTH * (count - blocks)))
    energy = 1.0 - 0.08 * (1 - quieter**2)
    noise = 4 * band * frequency * 0.1**2 / rate * (1 - blocks / count) / energy
    # The loudness comes and goes at once, which no band holds wholly.
    assert left == pytest.approx(noise, rel=0.35)


def test_a_soft_fall_has_the_spread_of_a_shorter_straight_one() -> None:
    """√(12 v) against the variance of the fall's slope by quadrature; a soft fall of 78 ms is a straight one of 59."""
    for shape in (0.0, 0.3, 1.0):
        variance = quad(lambda u, m=shape: ((1 - m) + m * np.pi / 2 * np.sin(np.pi * u)) * (u - 0.5) ** 2, 0, 1)[0]
        assert straightened(np.array([shape]))[0] == pytest.approx(np.sqrt(12 * variance), rel=1e-9)
    assert 78 * straightened(np.array([1.0]))[0] == pytest.approx(59, abs=0.3)


def test_ridge_follows_the_line() -> None:
    """Away from the changes the ridge lies within 2 % of the true line, and falls where the line falls."""
    ridge = follow(read_recording(wav(sound(THREE))), (60, 300), (0.0, 4.0))
    times = np.arange(0, 4, 1e-3)
    line = np.interp(ridge.times, times, engine_line(THREE, times)[0])
    calm = np.all([np.abs(ridge.times - one.time - one.gap / 2) > 0.15 for one in THREE.upshifts], axis=0)
    calm &= (ridge.times > 0.1) & (ridge.times < 3.9)
    assert ridge.frequencies[calm] == pytest.approx(line[calm], rel=0.02)
    assert falls(ridge, 1.05) == pytest.approx([one.time + one.gap / 2 for one in THREE.upshifts], abs=0.05)


@pytest.mark.parametrize(("bits", "channels"), [(8, 1), (16, 2), (24, 1)])
def test_three_changes_in_any_kind_of_wav(bits: int, channels: int) -> None:
    """Each step within four and each gap within four of its standard uncertainties, however the sound is stored."""
    found = hear_changes(read_recording(wav(sound(THREE), bits=bits, channels=channels)), (60, 300), count=400)
    assert len(found.changes) == 3
    for change, truth in zip(found.changes, THREE.upshifts, strict=True):
        assert abs(change.ratio.estimate - truth.ratio) < 4 * change.ratio.uncertainty
        assert abs(change.gap.estimate - truth.gap) < 4 * change.gap.uncertainty
        assert change.before.estimate / change.after.estimate == pytest.approx(change.ratio.estimate, rel=0.03)


def test_samples_of_any_kind_of_wav_are_the_same() -> None:
    """8, 16, 24 and 32 bits, mono and stereo, hold the same samples to their own rounding."""
    made = 0.8 * np.sin(np.arange(8_000) / 9)
    for bits in (8, 16, 24, 32):
        for channels in (1, 2):
            read = read_recording(wav(made, bits=bits, channels=channels))
            assert read.samples == pytest.approx(made - made.mean(), abs=2.0 ** (2 - bits))
            assert read.duration == 0.5


def test_a_guide_leads_past_a_louder_whine() -> None:
    """Where a whine is twice as loud, points marked on the firing order's line lead to it."""
    drive = Drive(100.0, (Upshift(1.0, 1.3, 0.08),), 2.0, 0.2, whine=2.0, mesh=1.45, noise=0.3, harmonics=(1.0,))
    recording = read_recording(wav(sound(drive)))
    guided = follow(recording, (60, 250), (0, 2), [(0.0, 100.0), (0.98, 120.0), (1.1, 93.0), (2.0, 107.0)])
    times = np.arange(0, 2, 1e-3)
    line = np.interp(guided.times, times, engine_line(drive, times)[0])
    assert np.median(np.abs(guided.frequencies / line - 1)) < 0.02
    # A tooth mesh of the engine's shaft tells the same step.
    assert hear_changes(recording, (60, 250), count=400).changes[0].ratio.estimate == pytest.approx(1.3, abs=0.03)


def test_what_is_known_of_the_gap_moves_the_step() -> None:
    """A vehicle that keeps gaining speed in a gap of 0.1 s, at 0.25/s, has a step 2.5 % greater than the line's."""
    recording = read_recording(wav(sound(Drive(120.0, (Upshift(1.0, 1.25, 0.1),), 2.0, 0.25, fading=0.0, kept=1.0))))
    keeping = hear_changes(recording, (60, 300), kept=parse("1"), count=400).changes[0]
    coasting = hear_changes(recording, (60, 300), kept=parse("0"), count=400).changes[0]
    assert keeping.ratio.estimate == pytest.approx(1.25, abs=0.005)
    # The line's rise before and the gap are measured, so the correction is sure to a fifth or so.
    assert np.log(keeping.ratio.estimate / coasting.ratio.estimate) == pytest.approx(0.025, rel=0.25)


def refused(data: bytes, **more: object) -> str:
    """What a refusal says."""
    with pytest.raises(PhotoRefused) as told:
        hear_changes(read_recording(data), more.pop("band", (60, 300)), **more)  # type: ignore[arg-type]
    return str(told.value)


def test_recordings_that_cannot_be_heard_are_refused_in_words() -> None:
    """Silence, noise alone, a line that never falls, other files, cut files, too short ones, odd channels and rates."""
    rate, random = 16_000, np.random.default_rng(1)
    good = wav(sound(THREE))
    assert "silence" in refused(wav(np.zeros(rate)))
    assert "no line that stands out" in refused(wav(0.2 * random.standard_normal(3 * rate).clip(-4, 4)))
    assert "never falls" in refused(wav(sound(Drive(100.0, (), 2.0))))
    assert "no readable WAV" in refused(b"GIF89a and then some")
    assert "no readable WAV" in refused(b"")
    assert "ends before" in refused(good[: len(good) // 2]) or "readable" in refused(good[: len(good) // 2])
    assert "0.10 s" in refused(wav(sound(THREE)[:1600]))
    assert "3 channels" in refused(wav(sound(THREE), channels=3))
    assert "1000 samples" in refused(wav(sound(THREE), rate=1000))
    assert "MB at most" in refused(bytes(100_000_001))


def test_questions_that_cannot_be_are_refused_in_words() -> None:
    """Faulty bands, spans, guides, shares and steps, all at once."""
    data = wav(sound(THREE))
    told = refused(
        data, band=(5, 9000), span=(3.0, 2.0), guide=[(9.0, 100.0)], kept=parse("2 mm"), passing=parse("1 s"), least=9.0
    )
    for word in ("band", "span", "guide 1", "speed kept", "passing", "least step"):
        assert word in told


def test_damaged_bytes_never_do_worse_than_refuse() -> None:
    """Three hundred WAVs with bytes changed or cut are read or refused; no other error escapes."""
    random = np.random.default_rng(3)
    good = wav(0.5 * np.sin(np.arange(8_000) / 9), rate=8_000, bits=16)
    read, refusals = 0, list[str]()
    for _ in range(300):
        bad = bytearray(good[: random.integers(10, len(good))] if random.random() < 0.3 else good)
        for _ in range(random.integers(1, 4)):
            bad[random.integers(0, min(len(bad), 60))] = random.integers(0, 256)
        try:
            read_recording(bytes(bad))
            read += 1
        except PhotoRefused as told:
            refusals.append(str(told))
    assert read + len(refusals) == 300
    assert refusals
    assert all("expected" in one for one in refusals)
