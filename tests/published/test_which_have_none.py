"""Every calculator is held to printed values, or `ledger/calculators/printed.py` says why it cannot be."""

from __future__ import annotations

from pathlib import Path

from ledger.calculators.printed import CASES, IN_PART, WITHOUT
from ledger.calculators.register import REGISTER

HERE = Path(__file__).parent

PUBLISHED = {
    "axial-length": "test_stacks_published.py",
    "torque-headroom": "test_torque_published.py",
    "selector-drum": "test_selector_drum_published.py",
    "fork-screw": "test_fork_screw_published.py",
    "hydraulic-fork": "test_hydraulic_fork_published.py",
    "dog-window": "test_dog_window_published.py",
    "sensor-wheel": "test_sensor_wheel_published.py",
    "dog-teeth": "test_dog_teeth_published.py",
    "shaft-section": "test_shaft_section_published.py",
    "spline": "test_spline_published.py",
    "one-way-element": "test_one_way_element_published.py",
    "sliding-key": "test_sliding_key_published.py",
    "tooth-pairs": "test_tooth_pairs_published.py",
    "tooth-root": "test_tooth_root_published.py",
    "tooth-flank": "test_tooth_flank_published.py",
    "shift-gap": "test_shift_gap_published.py",
    "ratio-ladder": "test_ratio_ladder_published.py",
    "model-scale": "test_model_scale_published.py",
    "bearing-life": "test_bearing_life_published.py",
    "tooth-duty": "test_tooth_duty_published.py",
    "oil-feed": "test_oil_feed_published.py",
}


def test_every_calculator_is_listed_once() -> None:
    """Each calculator has a published case or a reason why not, never both, and the files named are there."""
    assert set(PUBLISHED) | set(WITHOUT) >= set(REGISTER)
    assert not set(PUBLISHED) & set(WITHOUT)
    assert set(IN_PART) <= set(PUBLISHED)
    for calculator in set(REGISTER) & set(PUBLISHED):
        assert (HERE / PUBLISHED[calculator]).is_file(), calculator
    assert all(len(reason.split()) > 5 for reason in (*WITHOUT.values(), *IN_PART.values()))
    assert {case.calculator for case in CASES} <= set(PUBLISHED)
