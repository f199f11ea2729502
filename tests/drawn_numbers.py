"""Numbers drawn for tests as a person writes them: dates, places, quantities, chances, factors."""

from __future__ import annotations

from hypothesis import strategies as st


def dates() -> st.SearchStrategy[str | int]:
    """Years, months and days."""
    return st.one_of(st.integers(1800, 2100), st.sampled_from(("2031", "2031-05", "2031-05-17", "1911-12-31")))


def coordinates() -> st.SearchStrategy[float]:
    """Pixels or seconds, whole or not."""
    return st.one_of(st.integers(-50, 5000), st.floats(-1e6, 1e6))


def quantities(unit: str = "mm") -> st.SearchStrategy[str | int | float]:
    """Quantities in every notation, all of the one unit."""
    lengths = st.tuples(st.integers(1, 900), st.integers(1, 90), st.integers(1, 90))
    tail = f" {unit}" if unit else ""

    def say(drawn: tuple[int, int, int]) -> st.SearchStrategy[str | int | float]:
        first, second, third = drawn
        low, mode, high = first, first + second, first + second + third
        texts = (
            f"{first} ± {second}{tail}",
            f"{first} ± {second}{tail} (k=1)",
            f"{low}..{high}{tail}",
            f"{low}..{mode}..{high}{tail}",
            f"{first}.5{tail}" if unit else f"{first} ± 0.5",
            f"{first} +0/-0.05{tail}",
        )
        return st.sampled_from(texts + (() if unit else (first, first + 0.5, f"{low}: 0.2, {mode}: 0.7, {high}: 0.1")))

    return lengths.flatmap(say)


def chances() -> st.SearchStrategy[str | float]:
    """Chances as numbers, ranges and words."""
    return st.one_of(
        st.integers(1, 99).map(lambda hundredths: hundredths / 100),
        st.tuples(st.integers(1, 40), st.integers(41, 99)).map(lambda ends: f"{ends[0] / 100}..{ends[1] / 100}"),
        st.sampled_from(("very likely", "likely", "unlikely", "very unlikely")),
    )


def factors() -> st.SearchStrategy[str | float]:
    """Factors on a pair of hypotheses, as numbers and ranges."""
    return st.one_of(
        st.integers(1, 50).map(lambda tenths: tenths / 10),
        st.tuples(st.integers(1, 9), st.integers(11, 40)).map(lambda ends: f"{ends[0] / 10}..{ends[1] / 10}"),
    )
