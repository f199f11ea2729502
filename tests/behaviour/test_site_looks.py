"""The site's own colours: every pair that carries text can be read."""

from __future__ import annotations

import re
from importlib.resources import files

import pytest

from ledger.publishing import pages

LEAST = 4.5
TEXTS = ("--wl-ink", "--wl-soft", "--wl-link", "--wl-brass", "--wl-for", "--wl-against")
GROUNDS = ("--wl-paper", "--wl-raised")


def colours(scheme: str) -> dict[str, str]:
    """Return the colours that the style sheet names for a scheme."""
    sheet = pages.assets()["assets/witness/witness.css"].decode()
    part = re.search(rf'\[data-md-color-scheme="{scheme}"\] \{{(.*?)\}}', sheet, re.DOTALL)
    assert part is not None
    return dict(re.findall(r"(--wl-[a-z0-9-]+): (#[0-9a-f]{6});", part[1]))


def contrast(one: str, other: str) -> float:
    """Return the contrast of two colours.

    (L1 + 0.05) / (L2 + 0.05), L the relative luminance of sRGB. Source: WCAG 2.2 (2023), definitions of contrast ratio
    and relative luminance.
    """
    bright, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (bright + 0.05) / (dark + 0.05)


def _luminance(colour: str) -> float:
    parts = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return sum(weight * part for weight, part in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def bench_colours(place: int) -> dict[str, str]:
    """Return the colours that the bench's style sheet names, 0 by day, 1 by night."""
    sheet = (files("ledger.bench") / "assets" / "bench.css").read_text("utf-8")
    named = [
        dict(re.findall(r"(--wl-[a-z0-9-]+): (#[0-9a-f]{6});", part)) for part in re.findall(r"\{([^{}]*)\}", sheet)
    ]
    return [one for one in named if one][place]


@pytest.mark.parametrize(("place", "scheme"), [(0, "default"), (1, "slate")])
def test_the_bench_has_the_colours_of_the_pages(place: int, scheme: str) -> None:
    """What both style sheets name, by day and by night, is the same colour in both; another scheme's is told apart."""
    own, there, other = bench_colours(place), colours(scheme), bench_colours(1 - place)
    shared = own.keys() & there.keys()
    assert set(TEXTS) | set(GROUNDS) <= shared
    assert {name: own[name] for name in shared} == {name: there[name] for name in shared}
    assert {name: other[name] for name in shared} != {name: there[name] for name in shared}


@pytest.mark.parametrize("scheme", ["default", "slate"])
@pytest.mark.parametrize("ground", GROUNDS)
@pytest.mark.parametrize("text", TEXTS)
def test_text_can_be_read(scheme: str, ground: str, text: str) -> None:
    """Every colour of text stands out from every ground by 4.5 to 1 or more, by day and by night."""
    known = colours(scheme)
    assert contrast(known[text], known[ground]) >= LEAST


@pytest.mark.parametrize("scheme", ["default", "slate"])
def test_the_header_can_be_read(scheme: str) -> None:
    """The header's words and the outline of its focus stand out from it."""
    assert contrast("#f4f7f5", colours(scheme)["--wl-petrol"]) >= LEAST
    assert contrast("#cfdcd9", colours(scheme)["--wl-petrol"]) >= LEAST
    assert contrast("#ffc37d", colours(scheme)["--wl-petrol"]) >= 3


@pytest.mark.parametrize("scheme", ["default", "slate"])
def test_bars_can_be_told_from_their_ground(scheme: str) -> None:
    """A bar stands out from its track, and its range line from both, by 3 to 1 or more."""
    known = colours(scheme)
    assert contrast(known["--wl-share"], known["--wl-track"]) >= 3
    assert contrast(known["--wl-range"], known["--wl-track"]) >= 3


@pytest.mark.parametrize("scheme", ["default", "slate"])
def test_lines_of_a_chart_can_be_told_from_their_ground(scheme: str) -> None:
    """Each of the eight colours of a chart's lines stands out from the page by 3 to 1 or more."""
    known = colours(scheme)
    assert all(contrast(known[f"--wl-line-{place}"], known["--wl-paper"]) >= 3 for place in range(8))


def test_pale_grey_is_found_out() -> None:
    """The check knows known contrasts: black on white is 21, and #777777 on white just fails."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21, abs=1e-9)
    assert contrast("#777777", "#ffffff") < LEAST
    assert contrast("#767676", "#ffffff") >= LEAST
