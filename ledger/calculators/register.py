"""The calculators the ledger knows: an explicit list, one file each."""

from __future__ import annotations

from ledger.calculators.axial_length import AXIAL_LENGTH
from ledger.calculators.bearing_life import BEARING_LIFE
from ledger.calculators.contract import Calculator
from ledger.calculators.dog_teeth import DOG_TEETH
from ledger.calculators.dog_window import DOG_WINDOW
from ledger.calculators.face_cam_disc import FACE_CAM_DISC
from ledger.calculators.fork_screw import FORK_SCREW
from ledger.calculators.hydraulic_fork import HYDRAULIC_FORK
from ledger.calculators.model_scale import MODEL_SCALE
from ledger.calculators.oil_feed import OIL_FEED
from ledger.calculators.one_way_element import ONE_WAY_ELEMENT
from ledger.calculators.ratio_ladder import RATIO_LADDER
from ledger.calculators.selector_drum import SELECTOR_DRUM
from ledger.calculators.sensor_wheel import SENSOR_WHEEL
from ledger.calculators.shaft_section import SHAFT_SECTION
from ledger.calculators.shift_gap import SHIFT_GAP
from ledger.calculators.shift_states import SHIFT_STATES
from ledger.calculators.sliding_key import SLIDING_KEY
from ledger.calculators.spline import SPLINE
from ledger.calculators.tooth_duty import TOOTH_DUTY
from ledger.calculators.tooth_flank import TOOTH_FLANK
from ledger.calculators.tooth_pairs import TOOTH_PAIRS
from ledger.calculators.tooth_root import TOOTH_ROOT
from ledger.calculators.torque_headroom import TORQUE_HEADROOM

CALCULATORS: tuple[Calculator, ...] = (
    SHIFT_STATES,
    AXIAL_LENGTH,
    TORQUE_HEADROOM,
    SELECTOR_DRUM,
    FACE_CAM_DISC,
    FORK_SCREW,
    HYDRAULIC_FORK,
    DOG_WINDOW,
    SENSOR_WHEEL,
    DOG_TEETH,
    SHAFT_SECTION,
    SPLINE,
    ONE_WAY_ELEMENT,
    SLIDING_KEY,
    TOOTH_PAIRS,
    TOOTH_ROOT,
    TOOTH_FLANK,
    SHIFT_GAP,
    RATIO_LADDER,
    BEARING_LIFE,
    TOOTH_DUTY,
    OIL_FEED,
    MODEL_SCALE,
)
REGISTER: dict[str, Calculator] = {calculator.name: calculator for calculator in CALCULATORS}
