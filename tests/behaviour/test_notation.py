"""What a person may write as a quantity, and what is said when it cannot be read."""

from __future__ import annotations

import pickle

import pytest

from ledger.quantities.notation import Z95, NotationError, Quantity, parse

READ = [
    ("62 mm", "exact", "mm", (62,)),
    ("62mm", "exact", "mm", (62,)),
    ("  62   mm ", "exact", "mm", (62,)),
    ("62\u202fmm", "exact", "mm", (62,)),
    (31, "exact", "", (31,)),
    (2.5, "exact", "", (2.5,)),
    (1e-7, "exact", "", (1e-7,)),
    ("-4.5 mm", "exact", "mm", (-4.5,)),
    ("−4.5 mm", "exact", "mm", (-4.5,)),
    ("1.2e3 N", "exact", "N", (1200,)),
    ("12 %", "exact", "%", (12,)),
    ("62 ± 3 mm", "normal", "mm", (62, 3 / Z95)),
    ("62 +/- 3 mm", "normal", "mm", (62, 3 / Z95)),
    ("62±3 mm", "normal", "mm", (62, 3 / Z95)),
    ("62 ± 3 mm (k=1)", "normal", "mm", (62, 3)),
    ("62 ± 3 mm (k=2)", "normal", "mm", (62, 1.5)),
    ("62 ± 3 mm ( k = 2 )", "normal", "mm", (62, 1.5)),
    ("-62 ± 3 J/(kg·K) (k=1)", "normal", "J/(kg·K)", (-62, 3)),
    ("55..68 mm", "rectangular", "mm", (55, 68)),
    ("-68 .. -55 mm", "rectangular", "mm", (-68, -55)),
    ("−1.5..2.5", "rectangular", "", (-1.5, 2.5)),
    ("55..61..68 mm", "triangular", "mm", (55, 61, 68)),
    ("55..55..68 mm", "triangular", "mm", (55, 55, 68)),
    ("20 +0/-0.05 mm", "rectangular", "mm", (19.95, 20)),
    ("20 0/-0.05 mm", "rectangular", "mm", (19.95, 20)),
    ("20 −0.02/−0.05 mm", "rectangular", "mm", (19.95, 19.98)),
    ("20 +0.3/+0.1 mm", "rectangular", "mm", (20.1, 20.3)),
    ("30: 0.2, 31: 0.7, 32: 0.1", "whole", "", (30, 0.2, 31, 0.7, 32, 0.1)),
    ("30: 0, 31: 1", "whole", "", (31, 1)),
]


@pytest.mark.parametrize(("written", "shape", "unit", "numbers"), READ)
def test_what_is_read(written: str | float, shape: str, unit: str, numbers: tuple[float, ...]) -> None:
    """Every form of the notation is read as its shape, unit and numbers."""
    quantity = parse(written)
    assert (quantity.shape, quantity.unit, quantity.numbers) == (shape, unit, numbers)
    assert quantity.text == (written if isinstance(written, str) else repr(written))
    assert parse(quantity) is quantity


@pytest.mark.parametrize(
    ("written", "tidy"),
    [
        ("N*m", "N·m"),
        ("N m", "N·m"),
        ("Nm", "N·m"),
        ("kNm", "kN·m"),
        ("Nm/rad", "N·m/rad"),
        ("J/Nm", "J/(N·m)"),
        ("nm", "nm"),
        ("N⋅m", "N·m"),
        ("kg·m^2", "kg·m²"),
        ("kg m**2", "kg·m²"),
        ("μm", "µm"),
        ("s^-1", "s⁻¹"),
        ("1 / min", "1/min"),
        ("(N·m)/rad", "N·m/rad"),
        ("m/s/s", "m/(s·s)"),
        ("°", "°"),
        ("deg", "deg"),
        ("lbf·ft", "lbf·ft"),
        ("rpm", "rpm"),
        ("hp", "hp"),
        ("ms", "ms"),
        ("kW", "kW"),
        ("mm³", "mm³"),
    ],
)
def test_units_are_tidied(written: str, tidy: str) -> None:
    """Units written in the ways of keyboards and typesetters come out in one way."""
    assert parse(f"5 {written}").unit == tidy


REFUSED = [
    ("", "quantity", "leave the field out"),
    ("   ", "quantity", "leave the field out"),
    ("twelve", "quantity", "Begin with the number"),
    ("nan mm", "finite", "not known"),
    ("inf", "finite", "not known"),
    ("-infinity mm", "finite", "not known"),
    (float("nan"), "finite", "not known"),
    (float("inf"), "finite", "not known"),
    (True, "quantity", "number"),
    (None, "quantity", "number"),
    ("1e999 mm", "in size", "exponent"),
    ("1e-400 mm", "in size", "exponent"),
    (10**400, "in size", "exponent"),
    ("62,5 mm", "decimal point", "62.5"),
    ("10,000 N", "no grouping", "10000"),
    ("10 000 N", "without grouping", "10000"),
    (".5 mm", "both sides", "0.5"),
    ("5. mm", "both sides", "5.0"),
    ("68..55 mm", "least number first", "`55..68 mm`"),
    ("55..70..68 mm", "likeliest", "`55..68..70 mm`"),
    ("55..55 mm", "some width", "`55 mm`"),
    ("55…68 mm", "two points", "`55..68 mm`"),
    ("55...68 mm", "two points", "`55..68 mm`"),
    ("55-68 mm", "two points", "`55..68 mm`"),
    ("55 – 68 mm", "two points", "`55..68 mm`"),
    ("55..61..68..70 mm", "two or three", "`55..61..68 mm`"),
    ("62 ± -3 mm", "above zero", "`62 ± 3 mm`"),
    ("62 ± 0 mm", "above zero", "`62 mm`"),
    ("62 ± mm", "each side of ±", "`62 ± 3 mm`"),
    ("62 mm ± 3 mm", "unit once", "`62 ± 3 mm`"),
    ("(62 ± 3) mm", "unit once", "`62 ± 3 mm`"),
    ("62 ± 3 mm (k=0)", "coverage factor", "(k=2)"),
    ("62 mm (k=2)", "coverage factor", "(k=2)"),
    ("20 -0.05/+0 mm", "upper deviation", "`20 +0/-0.05 mm`"),
    ("20 +0/-0 mm", "some width", "`20 mm`"),
    ("20 +0.05 mm", "both limits", "`20 +0/-0.05 mm`"),
    ("30: 0.2, 31: 0.7", "add up to 1", "0.9"),
    ("30: 1.2, 31: -0.2", "from 0 to 1", "shares"),
    ("30.5: 0.5, 31: 0.5", "whole numbers", "30.5"),
    ("30: 0.5, 30: 0.5", "once", "30"),
    ("30 mm: 0.5, 31 mm: 0.5", "whole numbers", "without unit"),
    ("5 Nm²", "unit", "`N·m`"),
    ("5 kNm^2", "unit", "`kN·m`"),
    ("5 NM", "unit", "`N·m`"),
    ("5 KW", "unit", "`kW`"),
    ("5 Mpa", "unit", "`MPa`"),
    ("5 kgm2", "unit", "`kg·m²`"),
    ("5 milimetre", "unit", "`millimetre`"),
    ("5 m3", "unit", "`m³`"),
    ("5 N-m", "unit", "`N·m`"),
    ("5 J/kg·K", "unit", "`J/(kg·K)`"),
    ("5 ton", "unit", "1000 kg"),
    ("5 lbs", "unit", "`lbf`"),
    ("31 teeth", "unit", "no unit"),
    ("3000 U/min", "unit", "`1/min`"),
    ("3000 RPM", "unit", "`rpm`"),
    ("3000 /min", "number", "`1/min`"),
    ("80 °C", "kelvin", "273.15"),
    ("176 degF", "kelvin", "459.67"),
    ('5"', "unit", "`in`"),
    ("5 $", "unit", "`$`"),
    ("5 qqqqqq", "unit", "mm, in"),
    ("5 (mm", "unit", "parenthesis"),
    ("5 mm^0", "unit", "not 0"),
    ("9" * 3000, "quantity", "one quantity"),
]


@pytest.mark.parametrize(("written", "expected", "remedy"), REFUSED)
def test_what_is_refused(written: str | float, expected: str, remedy: str) -> None:
    """What cannot be read is refused with what was expected and a remedy that fits the mistake."""
    with pytest.raises(NotationError) as caught:
        parse(written)
    assert expected in caught.value.expected
    assert remedy in caught.value.remedy
    assert caught.value.given
    assert len(caught.value.given) <= 80


def test_a_refusal_is_one_sentence_and_a_value_error() -> None:
    """The text of a refusal is one sentence, it is a ValueError, and it survives being sent between processes."""
    error = NotationError("68..55 mm", "the least number first", "Did you mean `55..68 mm`?")
    assert str(error) == "given 68..55 mm, expected the least number first; did you mean `55..68 mm`?"
    assert isinstance(error, ValueError)
    back = pickle.loads(pickle.dumps(error))
    assert (back.given, back.expected, back.remedy) == (error.given, error.expected, error.remedy)


def test_chances_are_normalised() -> None:
    """Chances that add up to 1 within a millionth are scaled to add up; beyond that they are refused."""
    assert sum(parse("1: 0.3333333, 2: 0.3333333, 3: 0.3333333").chances.values()) == pytest.approx(1, abs=1e-15)
    with pytest.raises(NotationError):
        parse("1: 0.333333, 2: 0.333333, 3: 0.333332")


@pytest.mark.parametrize(
    ("written", "nominal"),
    [
        ("20 +0/-0.05 mm", 20),
        ("62 ± 3 mm", 62),
        ("55..68 mm", 61.5),
        ("55..60..68", 60),
        ("30: 0.2, 31: 0.8", 31),
        ("5 mm", 5),
    ],
)
def test_the_nominal_number(written: str, nominal: float) -> None:
    """A drawing's limits keep the size they are written about; other forms have their middle, mode or likeliest."""
    assert parse(written).nominal == nominal


@pytest.mark.parametrize("speed", ["3000 rpm", "3000 1/min", "3000 rev/min", "50 Hz", "50 1/s", "3000 min^-1"])
def test_shaft_speeds_are_what_a_workshop_means(speed: str) -> None:
    """However it is written, 3000 a minute is 3000 for a calculator in 1/min, and 314.16 for one in rad/s."""
    assert parse(speed).to("1/min").mean == pytest.approx(3000, rel=1e-15)
    assert parse(speed).to("rpm").mean == pytest.approx(3000, rel=1e-15)
    assert parse(speed).to("rad/s").mean == pytest.approx(314.1592653589793, rel=1e-14)
    assert parse("314.1592653589793 rad/s").to("1/min").mean == pytest.approx(3000, rel=1e-14)


@pytest.mark.parametrize(
    ("written", "unit"),
    [
        ("5 N·m", "mm"),
        ("30", "°"),
        ("0.5 rad", ""),
        ("5", "mm"),
        ("30: 1", "mm"),
        ("80 px", "mm"),
        ("1e100 m", "nm"),
        ("5 mm", "qq"),
    ],
)
def test_units_that_do_not_convert_are_refused(written: str, unit: str) -> None:
    """A quantity of another dimension is refused, and the refusal names it or the unit."""
    with pytest.raises(NotationError) as caught:
        parse(written).to(unit)
    assert caught.value.given in (written, unit)


def test_the_same_unit_changes_nothing() -> None:
    """Asking for the unit a quantity has, however that is written, returns the quantity."""
    torque = parse("5 N*m")
    assert torque.to("N·m") is torque is torque.to("N m")


def test_a_quantity_is_frozen() -> None:
    """A quantity cannot be changed after it was read."""
    quantity = parse("62 mm")
    assert isinstance(quantity, Quantity)
    with pytest.raises(AttributeError):
        quantity.unit = "in"  # type: ignore[misc]
