"""Tooth pairs and models through the engine, and what is said where nothing fits or inputs are impossible."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from ledger.calculators.binding import Upstream, bind
from ledger.calculators.contract import Calculator
from ledger.calculators.drawing import Drawing
from ledger.calculators.model_scale import MODEL_SCALE
from ledger.calculators.running import outcomes, run
from ledger.calculators.tooth_pairs import TOOTH_PAIRS
from ledger.entries.parts import Given
from ledger.errors import CalculationRefused
from ledger.mechanics.fits import fit, limits, standard_tolerance
from ledger.mechanics.model_scale import scaled_torque
from ledger.mechanics.standard_bearings import nearest_bore
from ledger.mechanics.standard_modules import nearest_module
from tests.gearboxes import beside, exact, gear, normal, weigh
from tests.independent.test_model_scale_by_hand import model, part

REF = "calculations/try"


def through_the_engine(
    calculator: Calculator, rows: dict[str, list[dict[str, Any]]], **given: object
) -> dict[str, Any]:
    """Bind and run as an entry does."""
    inputs = {name: Given(value=value, reason="stated") for name, value in given.items()}
    inputs |= {name: Given(rows=one, reason="stated") for name, one in rows.items()}
    raw, _ = bind(REF, calculator, inputs, Upstream({}, {}, {}), Drawing(2000))
    return run(REF, calculator, raw)


def test_an_entry_of_counts_ratios_and_a_distance() -> None:
    """A printed first gear, a counted third, a measured distance and a step-up that is in question."""
    raw = through_the_engine(
        TOOTH_PAIRS,
        {
            "gears": [
                {"gear": "1", "ratio": "1.860", "how": "rounded"},
                {"gear": "2", "ratio": "1.415..1.425"},
                {"gear": "3", "driver": "26: 0.2, 27: 0.6, 28: 0.2", "driven": "44: 0.15, 45: 0.7, 46: 0.15"},
            ],
            "beside": [{"name": "step-up", "driver": 33, "driven": 22}, {"name": "nothing"}],
        },
        distance="181 ± 5 mm",
        module="5.0 ± 0.15 mm",
        asked="3",
    )
    assert (raw["driver"], raw["driven"]) == (27, 45)
    assert raw["beside_chance"] == pytest.approx(1, abs=1e-4)
    told = {outcome.name: outcome for outcome in outcomes(TOOTH_PAIRS, raw)}
    assert told["fits"].chance == 1
    assert told["finding"].value.startswith("Most probable: 1 19:53, 2 23:49, 3 27:45")
    assert {point["series"] for point in told["curves"].value} == {"1", "2", "3"}


def test_eight_wanted_ratios() -> None:
    """Eight ratios, wanted to two per cent, nothing else known: a flat field of sets, the best of them all the same."""
    ratios = (2.8, 2.13, 1.67, 1.32, 1.12, 0.95, 0.85, 0.7)
    rows = [gear(str(place), ratio, "measured or wanted") for place, ratio in enumerate(ratios, start=1)]
    found = weigh(rows, closeness=0.02)
    chances = [row["probability [%]"] for row in found["sets"]]
    assert chances == sorted(chances, reverse=True)
    assert len(chances) == 10


def test_conflicts_are_told_in_words() -> None:
    """No pair for one gear; pairs for each but no common distance; a distance that nothing closes."""
    found = weigh([gear("1", 9.5, decimals=1), gear("2", 1.5)], most=60)
    assert found["finding"].startswith("Nothing fits: no pair of permitted wheels gives what is stated for 1.")
    assert "Widen the least and most teeth (12 to 60)" in found["finding"]
    assert (found["fits"], found["set_chance"]) == (False, 0)
    assert {row["gear"] for row in found["pairs"]} == {"2"}
    assert sum(row["probability [%]"] for row in found["pairs"]) <= 100 + 1e-9
    counted = [gear("1", 0.0, "rounded", driver=20, driven=20), gear("2", 0.0, "rounded", driver=30, driven=40)]
    found = weigh([one | {"how": "measured or wanted"} for one in counted], odd=0.0)
    assert "1 needs 40; 2 needs 70" in found["finding"]
    assert "Widen the greatest difference from the common sum (two gears are at least 30 apart)" in found["finding"]
    assert [(row["gear"], row["driving"], row["driven"]) for row in found["pairs"]] == [("1", 20, 20), ("2", 30, 40)]
    found = weigh([gear("1", 1.5)], distance=exact(20.0), module=exact(5.0))
    assert "no sum of permitted teeth closes the shaft distance" in found["finding"]
    assert "Widen the least and greatest sum of profile shifts" in found["finding"]
    assert (18, 27) in {(row["driving"], row["driven"]) for row in found["pairs"]}


def test_impossible_boxes_are_refused_all_at_once() -> None:
    """Every fault in one refusal."""
    with pytest.raises(ValueError, match="least tooth count") as caught:
        weigh(
            [gear("1", normal(1.5, 0.1)), gear("1", 0.0, "measured or wanted")],
            least=40, most=20, shift_low=1.0, shift_high=0.0, modules="as stated", module=normal(5, 0.1), asked="9",
        )  # fmt: skip
    for words in (
        "stands in 2 rows", "no gear '9'", "above the most", "least profile shift sum", "A module in doubt",
        "without doubt", "neither a ratio nor a tooth count",
    ):  # fmt: skip
        assert words in str(caught.value)


def test_a_pair_that_meshes_at_another_distance_only() -> None:
    """A vague distance leaves pairs of far sums; those whose base circles overlap at the mean distance are told so."""
    rows = [gear("1", 1.0, decimals=0, driver=14)]
    found = weigh(rows, distance=normal(60, 40), module=exact(5.0), shift_low=0.0, shift_high=0.1, least=14, most=40)
    assert any(row["closes with x₁ + x₂"].startswith("not at") for row in found["pairs"])


def test_more_decimals_than_printed_are_refused() -> None:
    """1.323 has not been printed with two decimals."""
    with pytest.raises(ValueError, match=r"4: 1\.323 has more than 2 decimals"):
        weigh([gear("4", 1.323, decimals=2)])


def test_candidates_of_no_chance_are_refused() -> None:
    """All that may lie in the path with chance zero is no statement."""
    with pytest.raises(ValueError, match="chance zero"):
        weigh([gear("1", 1.5)], beside=[beside("nothing", chance=0.0)])


def test_a_module_stated_where_none_is_standard_is_refused() -> None:
    """5.1 to 5.4 mm holds no module of ISO 54."""
    draws = np.random.default_rng(1).uniform(5.1, 5.4, 2000)
    module = {"draws": draws, "low": 5.1, "high": 5.4, "nominal": 5.25}
    with pytest.raises(ValueError, match="No standard module"):
        weigh([gear("1", 1.5)], module=module, distance=exact(180.0))


def test_a_continuous_doubt_of_a_plain_input_is_refused() -> None:
    """A search is run once for each different value: a helix angle in doubt has too many."""
    with pytest.raises(CalculationRefused, match="more than 1000"):
        through_the_engine(TOOTH_PAIRS, {"gears": [{"gear": "1", "ratio": "1.5"}]}, helix="20 ± 1 °")


def test_a_model_as_an_entry() -> None:
    """Scale, module, a shaft in doubt with its bearing, and torque: told in the units people read."""
    raw = through_the_engine(
        MODEL_SCALE,
        {
            "gears": [{"gear": "1", "driver": 19, "driven": 53}],
            "parts": [{"part": "shaft", "size": "70 ± 2 mm", "kind": "shaft", "bearing": "ball, series 02"}],
        },
        scale=0.3,
        module="5 mm",
        process="cut from metal",
        torque="3.1 kN·m",
        strength="900 MPa",
        model_strength="60..85 MPa",
    )
    told = {outcome.name: outcome for outcome in outcomes(MODEL_SCALE, raw)}
    assert told["model_module"].summary.estimate == 1.5
    assert told["model_torque"].summary.estimate == pytest.approx(3100 * 0.027 * 72.5 / 900, rel=0.01)
    assert "6204" in told["parts"].value[0]["note"]
    assert "model_mass" not in told


def test_impossible_models_are_refused() -> None:
    """Gears without a module, a torque without strengths, a fit on a wall, one name twice: all at once."""
    with pytest.raises(ValueError, match="without the module") as caught:
        model(
            gears=[{"gear": "x", "driver": 20, "driven": 30}], torque=5.0,
            parts=[part("x", 5.0, "wall", fit="H7/g6")],
        )  # fmt: skip
    for words in ("strength of both materials", "only a shaft", "x stands in 2 rows"):
        assert words in str(caught.value)


@pytest.mark.parametrize(
    "asked",
    [
        lambda: nearest_module(0.01),
        lambda: nearest_module(2.0, "series III"),
        lambda: nearest_bore(200.0, "drawn cup"),
        lambda: nearest_bore(20.0, "plain"),
        lambda: limits(200.0, "H7"),
        lambda: limits(20.0, "zc7"),
        lambda: limits(20.0, "S7"),
        lambda: limits(20.0, "k9"),
        lambda: limits(0.0, "g6"),
        lambda: standard_tolerance(20.0, 3),
        lambda: fit(20.0, "h7", "g6"),
        lambda: limits(np.array([5.0, np.nan]), "g6"),
        lambda: scaled_torque(1.0, -0.3, 900.0, 60.0),
        lambda: scaled_torque(np.nan, 0.3, 900.0, 60.0),
    ],
)
def test_impossible_sizes_are_refused(asked: Any) -> None:
    """Outside the tables nothing is guessed, and NaN never passes."""
    with pytest.raises(ValueError, match=r"\w"):
        asked()
