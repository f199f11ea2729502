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
