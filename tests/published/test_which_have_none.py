"""Every calculator is held to printed values, or the reason why it cannot be is written here."""

from __future__ import annotations

from pathlib import Path

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

NONE = {
    "shift-states": "no printed worked example of positions or binding was found; it is enumerated and searched",
    "face-cam-disc": "no printed worked example of a grooved disc was found; its motion laws are the drum's",
}

IN_PART = {
    "selector-drum": "motion laws and jamming are printed; no worked drum cam was found",
    "dog-window": "impact and common speed are printed; the chance of entry is held to simulated entries",
    "sensor-wheel": "times and resolutions are printed; foretelling an entry is held to simulation",
    "dog-teeth": "printed keys stand in for dogs: the same shear, bearing and bending",
    "one-way-element": "printed contacts stand in; no whole element was found",
    "sliding-key": "printed keys; the force to draw keys under torque has no printed case",
    "tooth-root": "form factors and worked bending stresses by other methods are printed; no ISO 6336 result was found",
    "tooth-flank": "contact factors and worked stresses by other methods are printed; no ISO 6336 result was found",
    "tooth-pairs": "pairs and counts are printed; the probabilities are held to brute force and calibration",
    "shift-gap": "its parts and closed forms; no whole lap is printed, so one is held to a general solver",
    "ratio-ladder": "steps and speeds of single gears are printed; no whole ladder was found",
    "tooth-duty": "Palmgren-Miner sums are printed; no gear's load spectrum over a distance was found",
    "oil-feed": "orifices and turning liquids are printed apart; no turning shaft with holes was found",
    "model-scale": "standard sizes and fits are printed; the whole is held to hand calculation",
}


def test_every_calculator_is_listed_once() -> None:
    """Each calculator has a published case or a reason why not, never both, and the files named are there."""
    assert set(PUBLISHED) | set(NONE) >= set(REGISTER)
    assert not set(PUBLISHED) & set(NONE)
    assert set(IN_PART) <= set(PUBLISHED)
    for calculator in set(REGISTER) & set(PUBLISHED):
        assert (HERE / PUBLISHED[calculator]).is_file(), calculator
    assert all(len(reason.split()) > 5 for reason in (*NONE.values(), *IN_PART.values()))
