"""The bench and recordings: what its server tells and draws of them, what it refuses, and that long ones stay cheap."""

from __future__ import annotations

import tracemalloc
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.io import wavfile
from starlette.testclient import TestClient

from ledger.bench.serving import bench
from ledger.bench.spectrum import MOST_COLUMNS, MOST_ROWS
from ledger.casebook.opening import STORE
from ledger.entries.reading import examine
from ledger.store.engine import open_store
from ledger.store.posting import post
from tests.measured_ledgers import CHANGE, CHANGE_GAP, GAP, PICTURE, RECORDING, STEP, lay_out

TOKEN, PORT = "a-token-of-the-test", 8123
ALL = {"file": RECORDING, "start": 0, "end": 3, "low": 20, "high": 8_000, "columns": 300, "rows": 200}
PICKS: dict[str, Any] = {
    "by": "sound-gap", "file": RECORDING, "points": {"heard": [[0.8, 2.2]]}, "known": {"band": "60..250 Hz"},
}  # fmt: skip
SLEEVE_MARKED = """---
kind: measurement
title: Width of the sleeve
quantity: 17.4 ± 2.0 mm
source: view
credibility: 2
method: Scaled from the head of a casing bolt
marks:
  - {label: sleeve, box: [280, 180, 520, 220]}
  - {label: where it is said, page: 4}
  - {label: head of the bolt, point: [900, 540]}
picked:
  by: scale-bar
  points: {bar: [[812, 440], [1010, 655]], part: [[300, 200], [512, 204]]}
  doubt: 1.5
  known: {bar: 24 ± 0.2 mm}
  lens: none
---
"""


@pytest.fixture
def root(tmp_path: Path) -> Path:
    """A posted investigation with a recording, and a measurement with marks of its own."""
    lay_out(tmp_path, {"measurements/gap": CHANGE_GAP, "measurements/sleeve": SLEEVE_MARKED})
    post(open_store(tmp_path / STORE), tmp_path / "entries", "2031-06-01T00:00:00Z")
    return tmp_path


@pytest.fixture
def client(root: Path) -> Iterator[TestClient]:
    """The bench's own page, so to say."""
    with TestClient(bench(root, TOKEN, PORT), base_url=f"http://127.0.0.1:{PORT}/{TOKEN}/") as made:
        yield made


def test_a_recording_tells_what_its_axes_are_made_of(client: TestClient) -> None:
    """How long it is, how fast it was sampled, and which frequencies it can hold."""
    told = client.get("picture", params={"file": RECORDING}).json()
    assert told["medium"] == "recording"
    assert (told["duration"], told["rate"], told["channels"]) == (3.0, 16_000, 1)
    assert (told["lowest"], told["highest"]) == (20.0, 8_000.0)
    assert client.get("picture", params={"file": PICTURE}).json()["medium"] == "photograph"


def test_what_is_asked_for_is_held_to_what_there_is_and_to_what_is_drawn(client: TestClient) -> None:
    """More time, more frequencies and more pixels than there are come down to what can be."""
    told = client.get(
        "spectrogram", params={**ALL, "start": -5, "end": 99, "low": 0.1, "high": 1e6, "columns": 9_999, "rows": 9_999}
    ).json()
    assert (told["start"], told["end"], told["low"], told["high"]) == (0, 3, 20, 8_000)
    assert len(told["lows"]) == len(told["highs"]) == MOST_COLUMNS
    assert MOST_ROWS < 9_999


@pytest.mark.parametrize(
    "change",
    [
        {"start": 2, "end": 1},
        {"start": 7, "end": 9},
        {"low": 900, "high": 100},
        {"start": "nan"},
        {"end": "soon"},
        {"columns": -1},
        {"rows": 10**9},
        {"file": "../secret.wav"},
        {"file": PICTURE},
        {"surprise": 1},
    ],
)
def test_a_part_that_cannot_be_is_refused_in_words(client: TestClient, change: dict[str, Any]) -> None:
    """The answer is 422, and says what was wrong."""
    answer = client.get("spectrogram", params={**ALL, **change})
    assert answer.status_code == 422
    assert answer.json()["wrong"][0]["remedy"]


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("cut.wav", "cut", ""),
        ("head.wav", "head", "readable WAV"),
        ("text.wav", "text", "no recording"),
        ("quad.wav", "quad", "4 channels"),
        ("slow.wav", "slow", "1000 samples a second"),
        ("short.wav", "short", "0.01 s"),
    ],
)
def test_damaged_and_strange_recordings(root: Path, client: TestClient, name: str, content: str, words: str) -> None:
    """A recording that ends early is shown as far as it goes; what is none is refused with what to do about it."""
    whole = (root / RECORDING).read_bytes()
    at = root / "recordings" / name
    if content == "cut":
        at.write_bytes(whole[: len(whole) // 2])
    elif content == "head":
        at.write_bytes(whole[:20])
    elif content == "text":
        at.write_text("no sound at all")
    elif content == "quad":
        wavfile.write(at, 16_000, np.ones((16_000, 4), dtype=np.int16))
    else:
        wavfile.write(at, 1_000 if content == "slow" else 16_000, np.ones(160, dtype=np.int16))
    told = client.get("spectrogram", params={**ALL, "file": f"recordings/{name}"})
    if not words:
        assert told.json()["end"] == pytest.approx(1.5, abs=0.01)
        return
    assert told.status_code == 422
    said = told.json()["wrong"][0]
    assert words in f"{said['given']} {said['remedy']}"


@pytest.mark.parametrize("kind", [np.float32, np.float64])
def test_samples_that_are_no_numbers_are_drawn_as_silence(root: Path, client: TestClient, kind: type) -> None:
    """Floats that are none, or beyond all measure, leave a picture that can be drawn."""
    samples = 0.5 * np.sin(np.arange(16_000)).astype(kind)
    samples[[100, 200, 300, 400]] = [np.nan, np.inf, -np.inf, 3e38]
    wavfile.write(root / "recordings" / "odd.wav", 16_000, samples)
    told = client.get("spectrogram", params={**ALL, "file": "recordings/odd.wav"}).json()
    assert max(told["highs"][30:]) == pytest.approx(500, abs=1)
    assert max(told["highs"]) == 100_000


def test_an_hour_is_drawn_in_little_memory(root: Path, client: TestClient) -> None:
    """Of 690 MB never more than a seventh is held at a time, for all of it and for a second of it."""
    at = root / "recordings" / "hour.wav"
    rate, frames = 48_000, 48_000 * 3_600
    wavfile.write(at, rate, np.zeros((1, 2), dtype=np.int16))
    size = 4 * frames
    with at.open("r+b") as file:
        # The file is longer than what was written of it: what is not written is silence.
        file.seek(4)
        file.write(np.uint32(36 + size).tobytes())
        file.seek(40)
        file.write(np.uint32(size).tobytes())
        file.truncate(44 + size)
        file.seek(44 + 4 * (rate * 1_800))
        file.write(np.full(2_000, 20_000, dtype=np.int16).tobytes())
    tracemalloc.start()
    for start, end in ((0, 3_600), (1_799.5, 1_800.5)):
        told = client.get("spectrogram", params={**ALL, "file": "recordings/hour.wav", "start": start, "end": end})
        loud = int(np.argmax(told.json()["highs"]))
        assert (loud + 0.5) / 300 == pytest.approx((1_800 - start) / (end - start), abs=0.01)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 100_000_000


def test_the_line_that_is_measured_is_told(client: TestClient) -> None:
    """It lies in the span and the band, and falls by the step of the change within its gap."""
    line = np.array(client.post("followed", json=PICKS).json()["line"])
    assert (line[0, 0], line[-1, 0]) == (pytest.approx(0.8, abs=0.02), pytest.approx(2.2, abs=0.02))
    assert line[:, 1].min() > 60
    assert line[:, 1].max() < 250
    before = np.interp(CHANGE - 0.1, line[:, 0], line[:, 1])
    after = np.interp(CHANGE + GAP + 0.1, line[:, 0], line[:, 1])
    assert before / after == pytest.approx(STEP, rel=0.04)


@pytest.mark.parametrize(
    "change",
    [
        {"points": {}},
        {"known": {}},
        {"known": {"band": "9000..9001 Hz"}},
        {"known": {"band": "6000..7000 Hz"}},
        {"points": {"heard": [[2.2, 0.8]]}},
        {"points": {"heard": [[50, 60]]}},
        {"points": {"heard": [[0.8, 2.2]], "guide": [[1, 700]]}},
        {"by": "scale-bar"},
        {"by": "guessing"},
        {"file": "../secret.wav"},
    ],
)
def test_where_nothing_can_be_followed_there_is_no_line(client: TestClient, change: dict[str, Any]) -> None:
    """Measuring says what is wrong; there is just no line."""
    assert client.post("followed", json={**PICKS, **change}).json() == {"line": []}


def test_a_measurement_s_own_marks_are_saved_with_it(client: TestClient, root: Path) -> None:
    """They come with the entry, and are written as the page has them, in its order; the rest of the file stays."""
    opened = client.get("entry", params={"ref": "measurements/sleeve"}).json()
    marks = opened["front"]["marks"]
    draft = {
        "kind": "measurement", "name": "sleeve", "title": "Width of the sleeve", "source": "view", "credibility": "2",
        "method": "Scaled from the head of a casing bolt", "was": opened["was"], "marks": marks,
        "picked": {"by": "scale-bar", "file": PICTURE, "points": opened["front"]["picked"]["points"],
                   "known": {"bar": "24 ± 0.2 mm"}, "lens": "none", "doubt": "1.5"},
    }  # fmt: skip
    assert client.post("save", json=draft).json()["report"]["unchanged"] == ["measurements/sleeve"]
    moved = [marks[0], marks[1], {"label": "head of the bolt", "point": [901.25, 540]}]
    assert client.post("save", json={**draft, "marks": moved}).json()["report"]["revised"] == ["measurements/sleeve"]
    text = (root / "entries/measurements/sleeve.md").read_text()
    document, faults = examine(text, "measurements", "sleeve")
    assert not faults
    assert document is not None
    assert document.front["marks"] == moved
    opened = client.get("entry", params={"ref": "measurements/sleeve"}).json()
    spoiled = {**draft, "was": opened["was"], "marks": [{"label": "", "point": [1, 2]}]}
    wrong = client.post("save", json=spoiled).json()["wrong"]
    assert [one["field"].startswith("marks") for one in wrong] == [True]
