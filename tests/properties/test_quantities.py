"""What holds for any quantity, chance or summary."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from ledger.quantities import vocabulary
from ledger.quantities.chance import ABOVE, BELOW, LADDER, parse_chance, word_for
from ledger.quantities.draws import generator
from ledger.quantities.notation import NotationError, Quantity, parse
from ledger.quantities.quantity import render
from ledger.quantities.summary import Summary, show, summarise
from ledger.quantities.unit_text import SHARES
from ledger.quantities.units import check_unit, convert, same_dimension

UNITS = ("", "mm", "N·m", "kg·m²", "1/min", "J/(kg·K)", "%", "°", "lbf·ft", "µm", "m⁻¹", "MPa^0.5")
sizes = st.floats(1e-12, 1e12) | st.floats(-1e12, -1e-12) | st.integers(-1000, 1000).map(float)
units = st.sampled_from(UNITS)


@st.composite
def quantities(draw: st.DrawFn) -> Quantity:
    """Any quantity, as its numbers."""
    unit, start = draw(units), draw(sizes)
    width = max(abs(start), 1.0) * draw(st.floats(1e-6, 10))
    shape = draw(st.sampled_from(("exact", "normal", "rectangular", "triangular", "limits", "whole")))
    if shape == "whole":
        values = draw(st.lists(st.integers(-500, 500), min_size=1, max_size=6, unique=True))
        parts = [draw(st.floats(0.01, 1)) for _ in values]
        numbers = tuple(
            float(one) for value, part in zip(values, parts, strict=True) for one in (value, part / sum(parts))
        )
        return Quantity("", "whole", "", numbers)
    if shape == "limits":
        return Quantity("", "rectangular", unit, (start - width, start + width / 2), start)
    if shape == "triangular":
        mode = start + width * draw(st.floats(0, 1))
        return Quantity("", shape, unit, (start, min(mode, start + width), start + width))
    return Quantity("", shape, unit, {"exact": (start,), "normal": (start, width)}.get(shape, (start, start + width)))


@given(quantities())
def test_what_is_rendered_reads_back_the_same(quantity: Quantity) -> None:
    """The notation of a quantity reads back as the same shape, unit and floats."""
    text = render(quantity.shape, quantity.unit, quantity.numbers, quantity.stated)
    back = parse(text)
    assert (back.shape, back.unit, back.stated) == (quantity.shape, quantity.unit, quantity.stated)
    assert back.numbers == quantity.numbers
    assert back.text == text


@given(quantities(), st.integers(0, 10**9))
def test_draws_lie_in_the_support(quantity: Quantity, seed: int) -> None:
    """No draw lies outside the least and greatest possible value; whole draws are among the stated values."""
    draws = quantity.draw(200, generator("support", str(seed)))
    low, high = quantity.support
    assert draws.shape == (200,)
    assert np.isfinite(draws).all()
    assert ((draws >= low) & (draws <= high)).all()
    if quantity.shape == "whole":
        assert set(draws) <= set(quantity.chances)


@given(st.lists(st.text(max_size=8), min_size=1, max_size=4))
def test_same_names_same_draws(names: list[str]) -> None:
    """The same names give the same draws."""
    assert (generator(*names).random(5) == generator(*names).random(5)).all()


@given(st.lists(st.text(max_size=4), min_size=1, max_size=3), st.lists(st.text(max_size=4), min_size=1, max_size=3))
def test_other_names_other_draws(names: list[str], others: list[str]) -> None:
    """Different names give different draws, even when they run together to the same letters."""
    assume(names != others)
    assert (generator(*names).random(5) != generator(*others).random(5)).any()
    assert (generator("ab", "c").random(5) != generator("a", "bc").random(5)).any()


KNOWN = sorted({*vocabulary.ALONE, *vocabulary.ANGLES, *vocabulary.PREFIXED, "kN", "µm", "mrad", "kW"})


@given(sizes, st.sampled_from(KNOWN), st.sampled_from(KNOWN))
def test_conversion_there_and_back(value: float, one: str, other: str) -> None:
    """A value converted to another unit and back is the same value, to rounding."""
    assume(same_dimension(one, other))
    assert convert(convert(value, one, other), other, one) == pytest.approx(value, rel=1e-14)


@pytest.mark.parametrize("name", KNOWN)
def test_every_unit_of_the_vocabulary_has_a_size(name: str) -> None:
    """Each listed unit is known to pint by the name given, and stands for itself in a product; shares stand alone."""
    assert convert(1.0, name, name) == 1.0
    if name in SHARES:
        with pytest.raises(NotationError, match="work the share out"):
            parse(f"62 ± 5 {name} mm")
    else:
        assert convert(1.0, f"{name}²·mm", f"mm·{name}²") == pytest.approx(1, rel=1e-15)
    assert check_unit(name) == name


@given(quantities(), st.sampled_from([("mm", "in"), ("1/min", "rad/s"), ("lbf·ft", "N·m"), ("°", "rad"), ("%", "")]))
def test_doubt_converts_with_the_value(quantity: Quantity, pair: tuple[str, str]) -> None:
    """Mean, deviation and support convert by one factor, and the text in the new unit says so."""
    assume(quantity.shape != "whole")
    one, other = pair
    here = parse(render(quantity.shape, one, quantity.numbers, quantity.stated))
    there = here.to(other)
    assert there.mean == pytest.approx(
        convert(here.mean, one, other), rel=1e-9, abs=1e-9 * convert(here.std, one, other)
    )
    assert there.std == pytest.approx(convert(here.std, one, other), rel=1e-9)
    assert parse(there.text).numbers == there.numbers
    assert there.shape == here.shape
    assert there.unit == other


@given(st.text(max_size=30) | st.text("0123456789.±+-/() kmN·²:,e", max_size=30))
def test_any_text_is_read_or_refused_in_full(text: str) -> None:
    """Whatever is written is either read, with finite numbers, or refused with what was expected and how to mend it."""
    refused = None
    try:
        quantity = parse(text)
    except NotationError as error:
        refused = error
    if refused is not None:
        assert refused.expected
        assert refused.remedy[-1] in ".?"
        assert "\n" not in str(refused)
    else:
        assert np.isfinite(quantity.numbers).all()
        back = parse(render(quantity.shape, quantity.unit, quantity.numbers, quantity.stated))
        assert back.numbers == quantity.numbers


@given(st.text("mkgNs·*/()²³⁻¹^2 1°%", max_size=12))
def test_a_tidy_unit_is_tidy(text: str) -> None:
    """Tidying a tidied unit changes nothing, and it keeps its meaning."""
    try:
        tidy = check_unit(text)
    except NotationError:
        return
    assert check_unit(tidy) == tidy
    assert same_dimension(text, tidy)


@given(st.floats(0, 1))
def test_opposite_chances_get_opposite_words(chance: float) -> None:
    """A chance and its complement stand on mirrored rungs of the ladder."""
    assume(all(abs(chance - end) > 1e-11 or chance == end for _, *ends in LADDER for end in ends))
    rungs = [BELOW, *(words[0] for words, _, _ in LADDER), ABOVE]
    assert rungs.index(word_for(chance)) + rungs.index(word_for(1 - chance)) == len(rungs) - 1


@given(st.floats(0, 1), st.floats(0, 1))
def test_ranges_of_chances_read_back(one: float, other: float) -> None:
    """A range written with its floats reads back as the same floats, and its middle lies within."""
    low, high = sorted((one, other))
    assume(low < high)
    chance = parse_chance(f"{low!r}..{high!r}")
    assert (chance.low, chance.high) == (low, high)
    assert low <= chance.middle <= high


draws = st.lists(st.floats(-1e200, 1e200), min_size=1, max_size=60)


@given(draws, st.booleans())
def test_summaries_are_finite_and_ordered(values: list[float], shortest: bool) -> None:
    """A summary's interval lies within its draws; its numbers are finite, and its text is too."""
    summary = summarise(np.array(values), shortest=shortest)
    assert min(values) <= summary.low <= summary.high <= max(values)
    assert summary.uncertainty >= 0
    assert all(np.isfinite((summary.estimate, summary.uncertainty)))
    text = show(summary, "mm")
    assert "nan" not in text
    assert "inf" not in text


@given(st.lists(st.floats(-1e6, 1e6), min_size=2, max_size=60), st.integers(-40, 40))
def test_summaries_scale_with_their_draws(values: list[float], power: int) -> None:
    """Draws twice as large give a summary twice as large, exactly, since a power of two rounds nothing."""
    assume(all(value == 0 or abs(value) > 1e-200 for value in values))
    one, other = summarise(np.array(values)), summarise(np.array(values) * 2.0**power)
    scaled = Summary(*(number * 2.0**power for number in (one.estimate, one.uncertainty, one.low, one.high)))
    assert scaled == other


@given(st.floats(-1e5, 1e5), st.floats(1e-3, 1e5))
def test_a_shown_summary_reads_back_as_notation(estimate: float, half: float) -> None:
    """What stands after ± is the half-width that covers 95 %, within what its digits leave out."""
    text = show(Summary(estimate, half / 1.96, estimate - half, estimate + half), "mm")
    assume("×" not in text)
    back = parse(text)
    assert back.std * 1.959963984540054 == pytest.approx(half, rel=0.13)
    assert back.mean == pytest.approx(estimate, abs=0.15 * half)
