"""The invented onboard recording of the second stage: an engine that changes up, gear whine, noise; and its truth.

Run it to write the recording and `sound-truth.json` anew; the same seed gives the same sound. It needs numpy and scipy.
"""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
from scipy.io import wavfile

HERE = Path(__file__).parent
FILE = HERE.parent / "pages" / "recordings" / "onboard-second-stage.wav"
TRUTH = HERE / "sound-truth.json"
RATE, SEED, DURATION = 16_000, 412, 14.0
# Pinion and wheel of the gears that are heard.
TEETH = {2: (23, 49), 3: (27, 45), 4: (31, 41), 5: (34, 38)}
STEP_UP = 1.5
# Change: from, to, when the engine begins to fall [s], how long it falls [s].
CHANGES = ((2, 3, 3.40, 0.057), (3, 4, 6.35, 0.059), (4, 5, 10.10, 0.066))
AT_CHANGE = 2_300.0  # engine at the change from third to fourth [1/min]
GAINING = {2: 0.105, 3: 0.0815, 4: 0.061, 5: 0.046}  # relative rate of gaining speed [1/s]
CYLINDERS = 6
FIRING, WHINE, NOISE = (1.0, 0.6, 0.3, 0.15), 0.45, 0.30
# The microphone hangs on a strap: it swings towards the engine and away.
SWING, SWINGS, NEAR, SOUND = 0.03, 0.6, 1.1, 340.0  # [m], [1/s], [m], [m/s]


def step(lower: int, higher: int) -> float:
    """Return the step in ratio between two gears."""
    return (TEETH[lower][1] / TEETH[lower][0]) / (TEETH[higher][1] / TEETH[higher][0])


def engine(times: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return the engine's speed [1/min], the tooth-mesh frequency [Hz] and the loudness at times that step evenly."""
    road = np.full(times.size, GAINING[CHANGES[0][0]])
    geared, loud = np.zeros(times.size), np.ones(times.size)
    pinion = np.full(times.size, np.log(TEETH[CHANGES[0][0]][0]))
    for lower, higher, start, gap in CHANGES:
        done = np.clip((times - start) / gap, 0, 1)
        road = np.where(done > 0, GAINING[higher], road)
        geared -= np.log(step(lower, higher)) * done
        pinion += np.log(TEETH[higher][0] / TEETH[lower][0]) * done
        loud = np.where((done > 0) & (done < 1), 0.6, loud)
    course = np.cumsum(road) * (times[1] - times[0]) + geared
    third = next(change for change in CHANGES if change[0] == 3)
    speed = AT_CHANGE * np.exp(course - np.interp(third[2], times, course))
    return speed, speed * STEP_UP / 60 * np.exp(pinion), loud


def samples() -> np.ndarray:
    """Return the recording, between -1 and 1."""
    times = np.arange(int(DURATION * RATE)) / RATE
    random = np.random.default_rng(SEED)
    speed, mesh, loud = engine(times)
    away = NEAR + SWING * np.sin(2 * np.pi * SWINGS * times)
    heard = times - (away - NEAR) / SOUND
    made = np.zeros(times.size)
    firing = 2 * np.pi * np.cumsum(speed / 60 * CYLINDERS / 2) / RATE
    for number, amplitude in enumerate(FIRING, 1):
        made += amplitude * np.cos(number * np.interp(heard, times, firing) + random.uniform(0, 2 * np.pi))
    whine = 2 * np.pi * np.cumsum(mesh) / RATE
    made += WHINE * np.cos(np.interp(heard, times, whine) + random.uniform(0, 2 * np.pi))
    made = made * np.interp(heard, times, loud) * NEAR / away + NOISE * random.standard_normal(times.size)
    return made / (1.05 * np.abs(made).max())


def truth() -> dict[str, object]:
    """Return what the recording was made of."""
    changes = [
        {
            "from": lower,
            "to": higher,
            "start": start,
            "gap_ms": round(1000 * gap, 3),
            "engine_step": round(step(lower, higher), 6),
            "mesh_step": round(TEETH[lower][1] / TEETH[higher][1], 6),
        }
        for lower, higher, start, gap in CHANGES
    ]
    return {
        "invented": True,
        "file": FILE.name,
        "rate_hz": RATE,
        "seed": SEED,
        "engine_speed_at_third_to_fourth": AT_CHANGE,
        "gaining_speed_per_s": {str(gear): rate for gear, rate in GAINING.items()},
        "microphone": {"distance_m": NEAR, "swing_m": SWING, "swings_per_s": SWINGS},
        "amplitudes": {"firing": FIRING, "whine": WHINE, "noise": NOISE},
        "changes": changes,
    }


def main() -> None:
    """Write the recording and its truth."""
    FILE.parent.mkdir(parents=True, exist_ok=True)
    wavfile.write(FILE, RATE, np.round(samples() * 32_767).astype(np.int16))
    TRUTH.write_text(json.dumps(truth(), indent=2) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
