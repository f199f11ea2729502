"""What a form is filled with from another calculation's draws: it covers what they cover, and reads well."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.calculators.contract import Number
from ledger.publishing.live import filling
from ledger.quantities.notation import Z95, parse
from ledger.quantities.summary import Summary, show, summarise

INPUT = Number("length", "Length", "mm", low=-1e9, high=1e9)
ABOVE_NOUGHT = Number("length", "Length", "mm", low=0.0, high=1e9)
# Two digits of a half-width round it by a twentieth at most, and what it stands about as much.
ROUNDED = 0.051


@st.composite
def normals(draw: st.DrawFn) -> Summary:
    """Return draws about some mean, small and great, summed up."""
    mean = draw(st.floats(-1e4, 1e4))
    deviation = draw(st.floats(1e-3, 1e3))
    seed = draw(st.integers(0, 9))
    return summarise(mean + deviation * np.random.default_rng(seed).standard_normal(2000))


@given(normals())
def test_the_half_width_covers_what_the_interval_covers(summary: Summary) -> None:
    """The notation's normal has the mean and, to two digits, the longer arm of the 95 % interval."""
    text = filling.stated_as(INPUT, summary, "mm")
    assert " ± " in text
    quantity = parse(text)
    assert quantity.mean == pytest.approx(summary.estimate, abs=ROUNDED * summary.half)
    assert Z95 * quantity.std == pytest.approx(summary.half, rel=ROUNDED)
    middle, _, half = text.removesuffix(" mm").partition(" ± ")
    assert len(half.replace(".", "").strip("0")) <= 2
    assert len(middle.partition(".")[2]) == len(half.partition(".")[2])


def test_it_reads_as_its_page_shows_it() -> None:
    """A flat doubt too: the half-width is that of the interval, not so many standard deviations."""
    flat = summarise(np.linspace(10.0, 14.0, 2001))
    assert filling.stated_as(INPUT, flat, "mm") == "12.0 ± 1.9 mm"
    assert show(flat, "mm") == "12.0 ± 1.9 mm"
    assert filling.stated_as(INPUT, Summary(85.123456, 2.4, 80.4, 89.8), "mm") == "85.1 ± 4.7 mm"
    assert filling.stated_as(INPUT, Summary(12345.678, 600.0, 11170.0, 13520.0), "mm") == "12300 ± 1200 mm"


def test_a_lopsided_doubt_is_filled_in_by_its_ends() -> None:
    """As a triangle over the interval where one has that mean, else as the interval; to the same digits."""
    assert filling.stated_as(INPUT, Summary(2.123456, 0.7, 1.012345, 3.901234), "mm") == "1.0..1.5..3.9 mm"
    assert filling.stated_as(INPUT, Summary(1.2, 0.7, 1.012345, 3.901234), "mm") == "1.0..3.9 mm"


def test_rounding_leaves_nothing_that_an_input_does_not_permit() -> None:
    """An end that two digits would take to nought keeps more of them where nought is not permitted."""
    assert filling.stated_as(ABOVE_NOUGHT, Summary(2.0, 1.0, 0.004, 5.0), "mm") == "0.004..0.996..5 mm"


def test_many_standard_deviations_are_found_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """The check refuses a half-width that is not the interval's."""
    monkeypatch.setattr(filling.Summary, "half", property(lambda one: Z95 * one.uncertainty))
    with pytest.raises(AssertionError):
        test_it_reads_as_its_page_shows_it()
