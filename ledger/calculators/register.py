"""The calculators the ledger knows: an explicit list, one file each."""

from __future__ import annotations

from ledger.calculators.axial_length import AXIAL_LENGTH
from ledger.calculators.contract import Calculator
from ledger.calculators.shift_states import SHIFT_STATES
from ledger.calculators.torque_headroom import TORQUE_HEADROOM

CALCULATORS: tuple[Calculator, ...] = (SHIFT_STATES, AXIAL_LENGTH, TORQUE_HEADROOM)
REGISTER: dict[str, Calculator] = {calculator.name: calculator for calculator in CALCULATORS}
