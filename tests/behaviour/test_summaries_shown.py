"""Draws and what is shown of them: a number with the digits that its doubt allows."""

from __future__ import annotations

import numpy as np
import pytest

from ledger.publishing.figures import half_width
from ledger.quantities.draws import generator
from ledger.quantities.notation import parse
from ledger.quantities.summary import Summary, show, show_estimate, summarise
from ledger.tracing.quoting import notation


@pytest.mark.parametrize(
    ("summary", "unit", "text"),
    [
        (Summary(62.0, 0, 62, 62), "mm", "62 mm"),
        (Summary(62.0, 1e-15, 62, 62.00000000000001), "mm", "62 mm"),
        (Summary(25.4, 0, 25.4, 25.4), "mm", "25.4 mm"),
        (Summary(1 / 3, 0, 1 / 3, 1 / 3), "", "0.333333"),
        (Summary(31, 0, 31, 31), "", "31"),
        (Summary(0, 0, 0, 0), "mm", "0 mm"),
        (Summary(2.07e11, 0, 2.07e11, 2.07e11), "Pa", "2.07×10¹¹ Pa"),
        (Summary(62.04, 0.76, 60.53, 63.53), "mm", "62.0 ± 1.5 mm"),
        (Summary(62.04, 0.3, 61.44, 62.64), "mm", "62.0 ± 0.6 mm"),
        (Summary(-5.0, 0.2, -5.36, -4.64), "mm", "−5.0 ± 0.4 mm"),
        (Summary(-0.01, 0.5, -1, 1), "mm", "0.0 ± 1.0 mm"),
        (Summary(30.2, 0.5, 29.2, 31.2), "°", "30.2 ± 1.0°"),
        (Summary(62.1, 2.5, 58.3, 67.9), "mm", "62.1 (58.3…67.9) mm"),
        (Summary(0.5, 0.4, -0.01, 2), "mm", "0.5 (0.0…2.0) mm"),
        (Summary(123456, 1150, 121156, 125756), "N", "123500 ± 2300 N"),
        (Summary(2.07e11, 1e9, 2.05e11, 2.09e11), "Pa", "(2.070 ± 0.020)×10¹¹ Pa"),
        (Summary(2e-5, 5e-7, 1.9e-5, 2.1e-5), "m", "(2.00 ± 0.10)×10⁻⁵ m"),
        (Summary(3e-5, 5e-6, 2.5e-5, 4.5e-5), "m", "3.0 (2.5…4.5)×10⁻⁵ m"),
    ],
)
def test_summaries_as_shown(summary: Summary, unit: str, text: str) -> None:
    """A summary is shown with the digits its doubt allows, or by its ends when it is lopsided."""
    assert show(summary, unit) == text


def test_what_was_written_is_what_is_shown() -> None:
    """The ± of a summary is the ± of the notation: the half-width that covers 95 %."""
    draws = parse("62 ± 3 mm").draw(200_000, generator("shown"))
    assert show(summarise(draws), "mm") == "62.0 ± 3.0 mm"


@pytest.mark.parametrize("draws", [[], [1.0, float("nan")], [float("inf")], [1e301]])
def test_no_summary_of_what_is_no_number(draws: list[float]) -> None:
    """Nothing, NaN and infinity have no summary."""
    with pytest.raises(ValueError, match="finite"):
        summarise(np.array(draws))


@pytest.mark.parametrize("level", [0, 1, 95, float("nan")])
def test_no_summary_at_an_impossible_level(level: float) -> None:
    """A level lies between 0 and 1."""
    with pytest.raises(ValueError, match="level"):
        summarise(np.array([1.0, 2.0]), level)


def test_one_draw_is_exact() -> None:
    """A single draw, or draws all alike, have no doubt."""
    assert summarise(np.array([3.0])) == summarise(np.full(1000, 3.0)) == Summary(3.0, 0.0, 3.0, 3.0)


def test_draws_need_a_name() -> None:
    """Without a name there is no seed."""
    with pytest.raises(ValueError, match="name"):
        generator()


def test_draws_are_those_of_before() -> None:
    """The seed of a name never changes: the first draws of one are written down here."""
    assert list(generator("measurements/hub-width").random(2)) == pytest.approx(
        [0.2579857391185918, 0.22940202123866127], rel=1e-15
    )


def test_one_number_has_one_half_width_wherever_it_is_told() -> None:
    """Shown, quoted and halved it starts from the same; a lopsided one is shown by its ends, quoted with its wider."""
    even = Summary(512.35, 8.94, 494.83, 529.80)
    assert show(even, "mm") == "512 ± 18 mm"
    assert notation(even, "mm") == "512 ± 18 mm"
    assert half_width(even.half, "mm") == "± 18 mm"
    assert half_width(even.half_with(8.94 / 2), "mm") == "± 8.8 mm"
    lopsided = Summary(10.0, 2.0, 8.0, 16.0)
    assert show(lopsided, "mm") == "10.0 (8.0…16.0) mm"
    assert notation(lopsided, "mm") == "10.0 ± 6.0 mm"


@pytest.mark.parametrize(
    "summary",
    [
        Summary(31.28, 25.0, -20.0, 82.0),
        Summary(62.0, 0.75, 60.5, 63.5),
        Summary(62.1, 2.0, 58.3, 67.9),
        Summary(2.07e11, 1e9, 2.05e11, 2.09e11),
        Summary(54.4, 0.0, 54.4, 54.4),
    ],
)
def test_an_estimate_alone_has_the_digits_it_has_beside_its_doubt(summary: Summary) -> None:
    """A number on a drawing claims no digit that the words beside it do not."""
    whole, alone = show(summary, ""), show_estimate(summary, "")
    assert whole.lstrip("(").startswith(alone.partition("×")[0])
    assert alone.partition("×")[2] == whole.partition("×")[2]
