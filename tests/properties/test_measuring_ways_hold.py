"""What every way of measuring keeps: the same picks give the same answer, and what is told reads back as found."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from ledger.photo.declaring import Found, told
from ledger.photo.methods import METHODS, REGISTER, Method, measure
from ledger.photo.telling import agrees, quantity_text
from ledger.photo.values import measured
from ledger.quantities.notation import parse
from tests.measured_ledgers import CHANGE_GAP, recording

SIZE = (1200.0, 800.0)
TEETH = 31


def _ring(radius: float, count: int, turn: float = 330.0, of: int | None = None) -> list[list[float]]:
    step = np.radians(turn) / (count - 1) if of is None else 2 * np.pi / of
    # Off a true ellipse by up to 0.6 px, as picks are.
    off = 0.6 * np.cos(np.arange(count) * 2.4)
    return [
        [600 + (radius + off[k]) * np.cos(k * step), 400 + 0.7 * (radius + off[k]) * np.sin(k * step)]
        for k in range(count)
    ]


USES: dict[str, tuple[dict[str, object], dict[str, object]]] = {
    "scale-bar": ({"bar": [[812, 440], [1010, 655]], "part": [[300, 200], [512, 204]]}, {"bar": "24 ± 0.2 mm"}),
    "plane-length": (
        {"corners": [[200, 100], [1000, 140], [980, 700], [220, 650]], "part": [[300, 200], [512, 204]]},
        {"width": "24 ± 0.2 mm", "height": "17 mm"},
    ),
    "plane-angle": (
        {"circle": [[900, 400], [600, 660], [300, 410], [600, 140]], "part": [[700, 300], [600, 400], [500, 300]]},
        {"diameter": "80 ± 0.1 mm", "angles": ["0 °", "90 °", "180 °", "270 °"]},
    ),
    "shaft-line": (
        {"known": [[200, 100], [500, 170], [800, 240]], "part": [[300, 123.3], [700, 216.7]]},
        {"places": ["0 mm", "24 ± 0.2 mm", "46 mm"]},
    ),
    "rim-diameter": ({"rim": _ring(300, 20), "reference": _ring(150, 16)}, {"reference": "50 ± 0.1 mm"}),
    "rim-ratio": ({"rim": _ring(300, 20), "reference": _ring(150, 16)}, {"depth": "0.1 ± 0.02"}),
    "rim-tilt": ({"rim": _ring(300, 20)}, {"focal": "26 ± 1 mm"}),
    "tooth-count": ({"teeth": _ring(300, 20, of=TEETH)}, {"nearer": "above"}),
    "tooth-module": ({"rim": _ring(300, 20), "reference": _ring(150, 16)}, {"reference": "50 mm", "teeth": TEETH}),
    "sound-gap": ({"heard": [[0.8, 2.2]]}, {"band": "60..250 Hz"}),
    "sound-ratio": ({"heard": [[0.8, 2.2]]}, {"band": "60..250 Hz"}),
}
DRAWS = 400


def run(method: Method, **changed: object) -> Found:
    """Measure one use of a method, some of it changed."""
    points, known = USES[method.name]
    stated: dict[str, object] = {
        "points": points,
        "known": known,
        "lens": "none" if method.lens else None,
        "size": SIZE if method.medium == "photograph" else None,
        "count": DRAWS,
        "photograph": "view",
        "recording": recording() if method.medium == "recording" else None,
        **changed,
    }
    return measure(method, **stated)  # type: ignore[arg-type]


def test_a_range_that_ends_before_the_chances_do_is_told() -> None:
    """Where the range's end is as probable as any number the count says so; a wider one, or stated chances, do not."""
    method = REGISTER["tooth-count"]
    points = {"teeth": _ring(300, 12, of=TEETH)}

    def notes(span: str) -> list[str]:
        return [note for note in run(method, points=points, known={"range": span}).notes if "range stated" in note]

    (note,) = notes(f"8..{TEETH}")
    assert f"ends at {TEETH} teeth" in note
    assert not notes("8..120")
    assert not notes(f"{TEETH - 1}: 0.5, {TEETH}: 0.5")


@pytest.mark.parametrize("method", METHODS, ids=lambda method: method.name)
def test_the_same_picks_give_the_same_answer(method: Method) -> None:
    """Measured twice, draws and all are the same; what it tells agrees with itself, and its parts are declared."""
    first, second = run(method), run(method)
    assert first == second
    assert np.array_equal(first.draws, second.draws)
    assert first.unit == method.unit
    assert agrees(first, parse(quantity_text(first)))
    assert set(first.parts) <= {name for name, _ in method.outputs}
    assert bool(first.chances) == method.whole
    assert first.low <= first.estimate <= first.high


@pytest.mark.parametrize("method", [one for one in METHODS if one.lens], ids=lambda method: method.name)
def test_a_lens_that_is_not_known_widens_the_interval(method: Method) -> None:
    """An unknown lens never narrows it, and a lens known to be nearly straight gives nearly what none gives."""
    straight, unknown = run(method), run(method, lens="unknown", count=1000)
    nearly = run(method, lens={"bend": "0 ± 0.0001", "aside": "0"}, count=1000)
    if method.whole:
        assert max(unknown.chances.values()) <= max(straight.chances.values()) + 0.05
        assert straight.chances.get(TEETH, 0) == pytest.approx(nearly.chances.get(TEETH, 0), abs=0.1)
    else:
        assert unknown.uncertainty > 0.9 * straight.uncertainty
        assert unknown.parts["lens"] > 0
        assert nearly.estimate == pytest.approx(straight.estimate, abs=0.5 * straight.uncertainty)


@pytest.mark.parametrize("name", ["scale-bar", "plane-length", "shaft-line", "rim-diameter", "tooth-module"])
def test_lengths_grow_with_what_is_known(name: str) -> None:
    """Twice the known lengths make twice the length and twice its doubt; a unit is only a unit."""
    method = REGISTER[name]
    known = USES[name][1]
    lengths = {one.name for one in method.knowns if one.unit == "mm" and one.name in known}

    def grown(value: object, factor: float, unit: str) -> object:
        if isinstance(value, list):
            return [grown(one, factor, unit) for one in value]
        held = parse(value).to(unit)  # type: ignore[arg-type]
        mean, std = factor * held.mean, factor * held.std
        return f"{mean!r} ± {std!r} {unit} (k=1)" if std else f"{mean!r} {unit}"

    def result(factor: float, unit: str) -> Found:
        return run(
            method,
            count=2000,
            known={key: grown(one, factor, unit) if key in lengths else one for key, one in known.items()},
        )

    small, large, metres = result(1, "mm"), result(2, "mm"), result(1, "cm")
    assert large.estimate == pytest.approx(2 * small.estimate, rel=0.01)
    assert large.uncertainty == pytest.approx(2 * small.uncertainty, rel=0.15)
    assert metres.estimate == pytest.approx(small.estimate, rel=0.01)


@given(st.floats(-1e4, 1e4), st.floats(1e-4, 1e3))
def test_what_is_told_reads_back_as_what_was_found(middle: float, spread: float) -> None:
    """Rounded to two digits of its half-width a quantity agrees; wider by half, or moved by half, it does not."""
    assume(abs(middle) < 1e6 * spread)
    drawn = middle + spread * np.linspace(-2.3, 2.3, 999)
    found = told(measured("length", "mm", drawn))
    quantity = parse(quantity_text(found))
    assert agrees(found, quantity)
    mean, half = quantity.mean, 1.96 * quantity.std
    for wrong in (f"{mean!r} ± {1.5 * half!r} mm", f"{mean + 0.5 * half!r} ± {half!r} mm", f"{mean!r} mm"):
        assert not agrees(found, parse(wrong))
    assert not agrees(found, parse(f"{mean!r} ± {half!r} kg"))


@settings(max_examples=60)
@given(st.dictionaries(st.integers(4, 200), st.integers(1, 1000), min_size=1, max_size=7))
def test_chances_are_told_in_hundredths_that_sum_to_one(weights: dict[int, int]) -> None:
    """Whatever the chances, what is written is read as chances, agrees, and another count does not."""
    whole = sum(weights.values())
    chances = {number: weight / whole for number, weight in sorted(weights.items())}
    found = told(measured("teeth", "", np.array(sorted(weights), dtype=float)), chances)
    quantity = parse(quantity_text(found))
    assert sum(quantity.chances.values() or [1.0]) == pytest.approx(1)
    assert agrees(found, quantity)
    assert not agrees(found, parse(max(weights) + 1))


def test_a_span_with_two_changes_asks_which() -> None:
    """Of the changes in a span the number tells which; one that is not there is refused."""
    from ledger.errors import PhotoRefused

    assert "sound-gap" in CHANGE_GAP
    one = run(REGISTER["sound-gap"], known={"band": "60..250 Hz", "change": 1})
    assert one == run(REGISTER["sound-gap"])
    with pytest.raises(PhotoRefused, match="expected change 2 among them"):
        run(REGISTER["sound-gap"], known={"band": "60..250 Hz", "change": 2})
