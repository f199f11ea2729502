"""Printed entropies and information gains."""

from __future__ import annotations

import numpy as np
import pytest

from ledger.weighing.information import entropy
from ledger.weighing.looking import worth
from ledger.weighing.values import NONE

PLAY, STAY = 9 / 14, 5 / 14
JOINT = np.array([[4, 2, 1, 1], [2, 4, 1, 1], [2, 2, 2, 2], [8, 0, 0, 0]]) / 32


def test_prb_10_entropy_of_fourteen_days() -> None:
    """PRB-10: nine days yes and five no have 0.940 bit. Mitchell, Machine Learning (1997), §3.4.1."""
    assert entropy([PLAY, STAY]) == pytest.approx(0.940, abs=0.0005)


def test_prb_10_gain_of_the_outlook() -> None:
    """PRB-10: sunny 2+ 3-, overcast 4+ 0-, rain 3+ 2-: 0.2467 bit. Mitchell, Machine Learning (1997), §3.4.2.

    The book prints 0.246, worked from rounded entropies, hence a tolerance of 1e-3.
    """
    outlook = {
        "sunny": {"yes": 2 / 9, "no": 3 / 5},
        "overcast": {"yes": 4 / 9, "no": 0.0},
        "rain": {"yes": 3 / 9, "no": 2 / 5},
    }
    found = worth({"yes": PLAY, "no": STAY, NONE: 0.0}, outlook)
    assert found.gain == pytest.approx(0.246, abs=1e-3)
    assert found.gain == pytest.approx(0.2467, abs=5e-5)
    assert found.outcomes["overcast"].chance == pytest.approx(4 / 14)
    assert found.outcomes["sunny"].confidences["yes"] == pytest.approx(2 / 5)


def test_prb_11_joint_table() -> None:
    """PRB-11: H(X) 7/4, H(Y) 2, H(X, Y) 27/8, I 3/8 bit, exact. Cover & Thomas, 2nd ed., ex. 2.2.1.

    X runs along the columns and Y along the rows; all chances are powers of two, so the sums are exact.
    """
    assert entropy(JOINT.sum(axis=0)) == 7 / 4
    assert entropy(JOINT.sum(axis=1)) == 2
    assert entropy(JOINT) == 27 / 8
    assert entropy(JOINT.sum(axis=0)) + entropy(JOINT.sum(axis=1)) - entropy(JOINT) == 3 / 8


def test_prb_11_conditional_entropies() -> None:
    """PRB-11: H(X | Y) 11/8 and H(Y | X) 13/8 bit, as what a look at the other leaves open; ex. 2.2.1."""
    rows = {f"y{number}": 0.25 for number in range(4)} | {NONE: 0.0}
    looks = {f"x{x}": {f"y{y}": float(JOINT[y, x] / 0.25) for y in range(4)} for x in range(4)}
    found = worth(rows, looks)
    assert 2 - found.gain == pytest.approx(13 / 8, abs=1e-12)
    left = sum(one.chance * entropy(list(one.confidences.values())) for one in found.outcomes.values())
    assert left == pytest.approx(13 / 8, abs=1e-12)
    assert entropy(JOINT) - entropy(JOINT.sum(axis=1)) == 11 / 8


@pytest.mark.parametrize(
    ("kept", "printed"),
    [({"one": 0.85, "zero": 0.15}, 0.15), ({"one": 0.85, "zero": 0.0}, 0.36)],
    ids=["symmetric", "one-sided"],
)
def test_a_look_is_a_noisy_channel(kept: dict[str, float], printed: float) -> None:
    """Of two rivals of 0.1 and 0.9, a look wrong with 0.15 tells 0.15 bit; one never wrong of the second, 0.36 bit.

    MacKay, Information Theory, Inference, and Learning Algorithms (2003), §9.5, examples 9.5 and 9.6: the binary
    symmetric and the Z channel, f = 0.15. Two digits are printed, the last from rounded entropies.
    """
    look = {"shown": kept, "not": {rival: 1 - chance for rival, chance in kept.items()}}
    found = worth({"one": 0.1, "zero": 0.9, NONE: 0.0}, look)
    assert found.gain == pytest.approx(printed, abs=0.006)
