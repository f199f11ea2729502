"""Printed lives, loads and ratings. No load rating of a named size is a check value: makers differ."""

from __future__ import annotations

import pytest

from ledger.calculators.bearing_life import BEARING_LIFE
from ledger.mechanics import bearing_life as mechanics
from ledger.mechanics.bearing_life import EXPONENTS, equivalent_load, mean_load, needed_rating, rating_life, survival

BALL, ROLLER = EXPONENTS["ball"], EXPONENTS["roller"]


def test_brg_2_an_outer_ring_that_turns() -> None:
    """BRG-2: C 5590, 1250 radial, 625 axial, X 0.56, Y 1.2, the outer ring turning: 43.46 million revolutions.

    Jindal, Machine Design, ex. 18-2, p. 508; seen in a copy. The factor of rotation is not in ISO 281:2007; where the
    outer ring turns it multiplies X.
    """
    duty = [{"radial": 1250.0, "axial": 625.0, "x": 0.56 * 1.2, "y": 1.2, "speed": 1000.0}]
    assert BEARING_LIFE.compute(rating=5590.0, duty=duty)["life"] == pytest.approx(43.46, rel=1e-3)


def test_brg_3_a_cycle_of_three_loads() -> None:
    """BRG-3: a bearing of just the rating that its cycle needs survives with 90 %. Jindal, ex. 18-9, p. 512."""
    duty = [
        {"radial": 3000.0, "speed": 1440.0, "share": 0.25},
        {"radial": 4000.0, "speed": 1080.0, "share": 0.5},
        {"radial": 5000.0, "speed": 720.0, "share": 0.25},
    ]
    found = BEARING_LIFE.compute(rating=34_219.0, duty=duty, hours=10_000.0)
    assert found["needed_rating"] == pytest.approx(34_219, rel=1e-3)
    assert found["survival"] == pytest.approx(0.9, abs=1e-3)


def test_a_mean_load_of_minutes() -> None:
    """650 lb for 30 min, 750 for 10, 250 for 20, at one speed: 597 lb.

    Mott, Machine Elements in Mechanical Design, 4th ed., ex. 14-6, p. 626; seen in a copy.
    """
    assert mean_load([650.0, 750.0, 250.0], [30.0, 10.0, 20.0], BALL) == pytest.approx(597, abs=0.5)


def test_ratings_of_exercises() -> None:
    """1250 lb, 880 1/min, 20,000 h: 12,729 lb; 1450 lb, 1150 1/min, 12,000 h: 13,616 lb. Mott, ch. 14, ex. 2 and 4.

    Answers seen in a copy; the first was worked there with 1.056·10⁹ revolutions.
    """
    assert needed_rating(1250.0, 880.0, 20_000.0, BALL) == pytest.approx(12_729, abs=1)
    assert needed_rating(1450.0, 1150.0, 12_000.0, BALL) == pytest.approx(13_615.85, abs=0.5)


def test_lives_of_exercises() -> None:
    """3150 on 2200 lb: 2.94 million revolutions; 3150 on 4500 lb: 0.343. Mott, ch. 14, ex. 3; seen in a copy."""
    assert rating_life(3150.0, 2200.0, BALL) == pytest.approx(2.94, abs=0.005)
    assert rating_life(3150.0, 4500.0, BALL) == pytest.approx(0.343, abs=0.0005)


def test_a_roller_bearing() -> None:
    """10.279 kN over 1440 million revolutions on rollers: 91.1 kN. Shigley, 8th ed., solution 11-3; seen in a copy.

    480 1/min for 50,000 h are those 1440 million (solution 11-2).
    """
    assert needed_rating(10.279, 480.0, 50_000.0, ROLLER) == pytest.approx(91.1, abs=0.05)


@pytest.mark.parametrize(
    ("surviving", "printed"), [(0.90, 1.0), (0.95, 0.62), (0.96, 0.53), (0.97, 0.44), (0.98, 0.33), (0.99, 0.21)]
)
def test_factors_for_reliability(surviving: float, printed: float) -> None:
    """At 0.62 of the life 95 % survive, and so on to 99 %: the factors of ISO 281:1990, seen in a copy of a table."""
    low, high = (survival(printed + half, 1.5) for half in (0.005, -0.005))
    assert low <= surviving <= high


def test_a_wrong_exponent_is_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    """Rollers computed as balls, or loads averaged without the power, miss the printed figures."""
    with pytest.raises(AssertionError):
        assert needed_rating(10.279, 480.0, 50_000.0, BALL) == pytest.approx(91.1, abs=0.05)
    monkeypatch.setattr(mechanics, "mean_load", lambda loads, turns, p: mean_load(loads, turns, 1.0))
    with pytest.raises(AssertionError):
        test_brg_3_a_cycle_of_three_loads()


def test_equivalent_load_by_hand() -> None:
    """0.56·1250 + 1.2·625 = 1450. Jindal, ex. 18-2; recomputed."""
    assert equivalent_load(1250.0, 625.0, 0.56, 1.2) == pytest.approx(1450)
