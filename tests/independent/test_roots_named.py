"""The uncertain quantities that calculations stand on are those that running them draws, under the same names."""

from __future__ import annotations

import numpy as np

from ledger.calculators.bench import Bench
from ledger.calculators.drawing import Drawing
from ledger.calculators.register import REGISTER
from ledger.calculators.roots import roots
from ledger.quantities.notation import parse
from tests.toys import TOYS, calculation, chosen, value


def toys() -> Bench:
    """A plate that stands on parts in a row, which stand on measurements; defaults, limits, a choice, exact sizes."""
    row = calculation(
        "axial-length",
        {
            "layout": {
                "rows": [
                    {"part": "left", "length": "1..2 cm"},
                    {"part": "mid", "length": "2 cm"},
                    {"part": "right", "length": "measurements/panel"},
                ],
                "reason": "for the test",
            },
        },
    )
    plate = calculation(
        "plate",
        {
            "width": {"calculation": "calculations/row", "output": "length"},
            "height": chosen("2..4 mm"),
            "thickness": value("3 ± 0.2 mm"),
            "density": "measurements/density",
        },
        criteria=[
            {"output": "thin", "holds": True},
            {"output": "mass", "at-least": "1 g", "at-most": "2..3 g"},
            {"output": "edge", "at-most": "measurements/reach"},
        ],
    )
    measured = {"panel": "0.01..0.02 m", "density": "7 ± 0.1 kg/dm³", "idle": "1..2 m", "reach": "50 ± 1 mm"}
    quantities = {f"measurements/{name}": parse(text) for name, text in measured.items()}
    calculations = {"calculations/row": row, "calculations/plate": plate}
    return Bench({**TOYS, **REGISTER}, calculations, quantities, Drawing(200))


def test_roots_are_what_a_run_draws() -> None:
    """Names and draws are those that evaluating the calculations and their criteria makes, none more and none less."""
    made = toys()
    refs = made.upstream_of("calculations/plate")
    choice = next(iter(made.chosen(refs)))
    runs = made.evaluate(refs, choice)
    made.against("calculations/plate", runs)
    found = roots(made, ["calculations/plate"])
    assert list(found) == list(made.drawing.roots)
    again = Drawing(200)
    for root, stated in found.items():
        ratio = np.asarray(again.draw(stated.quantity, root)) / made.drawing.roots[root]
        assert np.ptp(ratio) < 1e-12 * abs(ratio[0])  # the same draws, in another unit


def test_what_is_exact_or_chosen_is_no_root() -> None:
    """Exact sizes, choices, truths and what no calculation uses are not among them: the check can fail."""
    found = roots(toys(), ["calculations/plate"])
    assert ("measurements/idle",) not in found
    assert not any("height" in root for root in found)
    assert ("calculations/plate", "criterion", "1", "at-least") not in found
    assert found["calculations/plate", "criterion", "1", "at-most"].label == "limit of mass"
    assert found["calculations/row", "layout", "0", "length"].label.endswith(
        "row 1, Length of one piece, with its limits"
    )
    assert found["measurements/panel",].calculation is None
