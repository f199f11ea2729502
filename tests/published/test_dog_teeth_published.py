"""Dogs. No published worked example was found (DOG-2): printed keys and splines serve, as dogs of one or of eight."""

from __future__ import annotations

import pytest

from ledger.calculators.dog_teeth import DOG_TEETH
from ledger.quantities.units import convert
from tests.capacities import computed


def test_a_key_is_one_dog() -> None:
    """DOG-2 by KEY-1: a block of 1/8 in at 0.25 in, 1/16 in deep: 0.472 in long for shear, 0.565 in for bearing.

    Wentzell, Machine Design, ex. 15.1, p. 332.
    """
    torque = convert(180, "lbf·in", "N·m")
    found = computed(
        DOG_TEETH, count=1, share=1.0, radius=6.35, thickness=25.4 / 8, width=25.4, engagement=25.4 / 16,
        shear=convert(12.2, "ksi", "MPa"), bearing=convert(20.4, "ksi", "MPa"), bending=1000.0,
    )  # fmt: skip
    assert torque / found["shear_capacity"] == pytest.approx(0.472, abs=0.0005)
    assert torque / found["bearing_capacity"] == pytest.approx(0.565, abs=0.0005)


def test_eight_splines_are_eight_radial_dogs() -> None:
    """SPL-1, RUL-5 with dogs: 4 mm deep, 111 mm long at 28 mm and 6 MPa hold 596.8 N·m; 1278.9 N pull them out.

    Sadhu Singh, ex. 7.3, p. 204.
    """
    found = computed(
        DOG_TEETH, form="radial", count=8, share=1.0, radius=28.0, thickness=10.0, width=111.0, engagement=4.0,
        shear=100.0, bearing=6.0, bending=1000.0, friction=0.06, torque=596.8,
    )  # fmt: skip
    assert found["capacity"] == pytest.approx(596.8, rel=1e-3)
    assert found["release_force"] == pytest.approx(1278.9, rel=1e-4)
