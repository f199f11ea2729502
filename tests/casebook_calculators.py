"""The calculators that the hand-made casebook names; they compute nothing to speak of."""

from __future__ import annotations

from ledger.calculators.contract import Calculator, Choice, Number, Output, Rows, Text, Truth, Whole

AXIAL = Calculator(
    name="axial-length",
    title="Length of parts in a row",
    purpose="Adds the lengths and gaps of parts that stand in a row on one shaft.",
    inputs=(
        Rows("layout", "Parts in order", (Text("part", "Part"), Number("length", "Length", "mm", 0)), least=2),
        Number("play", "Play in all", "mm", 0, 20, default="0.4 mm"),
    ),
    outputs=(Output("length", "Length in all", "mm"),),
    formula="L = sum of the lengths\n  + play",
    sources=("Plain addition; the spread follows from the parts' spreads.",),
    assumptions=("The parts touch or keep the stated play.",),
    cautions=("A shaft that turns draws in cloth and fingers: cover a model before it runs.",),
    compute=lambda **raw: {"length": raw["play"]},
)
STATES = Calculator(
    name="shift-states",
    title="Positions a shifting drum needs",
    purpose="Counts the positions of a drum that has to hold every gear and neutral in turn.",
    inputs=(
        Whole("gears", "Gears", 1, 16),
        Number("angle", "Angle between positions", "deg", 5, 120, above=True),
        Choice("order", "Order of the gears", ("in a row", "free"), default="in a row"),
        Truth("neutral", "Neutral at one end", default=True),
    ),
    outputs=(
        Output("positions", "Positions", form="whole"),
        Output("sweep", "Angle swept in all", "deg"),
        Output("fits", "Fits into one turn", form="truth"),
        Output("table", "Positions in order", form="rows"),
    ),
    formula="n = gears + 1; sweep = (n - 1) x angle",
    sources=("Counting; see the table it prints.",),
    assumptions=("One position for each gear and one for neutral.",),
    cautions=("Detent springs hold energy: wear eye protection when you open one.",),
    compute=lambda **raw: {},
)
TORQUE = Calculator(
    name="torque-headroom",
    title="Torque left over at the shifting shaft",
    purpose="Compares the torque a motor gives with what the shift needs.",
    inputs=(Number("needed", "Torque needed", "N*m", 0), Number("given", "Torque given", "N*m", 0)),
    outputs=(Output("headroom", "Headroom", "N*m"),),
    formula="H = given - needed",
    sources=("Definition of headroom.",),
    assumptions=("Both torques act at the same shaft.",),
    cautions=("For understanding and models only; rates no part that carries people.",),
    compute=lambda **raw: {},
)
REGISTER = {one.name: one for one in (AXIAL, STATES, TORQUE)}
