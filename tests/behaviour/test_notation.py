"""What a person may write as a quantity or a chance, and what is said when it cannot be read."""

from __future__ import annotations

import pickle
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from ledger.quantities.chance import Chance, parse_chance, word_for
from ledger.quantities.draws import generator
from ledger.quantities.notation import Z95, NotationError, Quantity, parse
from ledger.quantities.summary import Summary, show, summarise

ROOT = Path(__file__).parents[2]

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


@pytest.mark.parametrize(
    ("written", "low", "high", "word"),
    [
        (0.3, 0.3, 0.3, None),
        (0, 0, 0, None),
        (1, 1, 1, None),
        ("0.3", 0.3, 0.3, None),
        ("0.2..0.6", 0.2, 0.6, None),
        ("Very  LIKELY", 0.8, 0.95, "very likely"),
        ("Highly probable", 0.8, 0.95, "very likely"),
        ("roughly even", 0.45, 0.55, "roughly even chance"),
    ],
)
def test_chances_are_read(written: str | float, low: float, high: float, word: str | None) -> None:
    """Numbers, ranges and words in any case are chances."""
    assert parse_chance(written) == Chance(low, high, word)


@pytest.mark.parametrize(
    ("written", "remedy"),
    [
        (1.2, "0.3"),
        (-0.1, "0.3"),
        (float("nan"), "0.3"),
        (True, "number"),
        (None, "number"),
        ("", "leave"),
        ("30 %", "0.3"),
        ("0.6..0.2", "`0.2..0.6`"),
        ("0.3..0.3", "`0.3`"),
        ("0.2-0.6", "0.2..0.6"),
        ("0.2..1.6", "0.3"),
        ("-0.2", "0.3"),
        ("very likly", "`very likely`"),
        ("perhaps", "almost no chance"),
        ("0.1..0.2..0.3", "words"),
    ],
)
def test_what_is_no_chance(written: str | float, remedy: str) -> None:
    """What is no chance is refused with a remedy."""
    with pytest.raises(NotationError) as caught:
        parse_chance(written)
    assert remedy in caught.value.remedy


@pytest.mark.parametrize(
    ("written", "remedy"),
    [
        (
            "About as  likely as not",
            "`about as likely as not` is a word of the IPCC's likelihood scale, 0.33..0.66 there, and ladders are "
            "never mixed: write `0.33..0.66`, or the ICD 203 word for the middle of it, `roughly even chance` "
            "(0.45..0.55).",
        ),
        (
            "virtually certain",
            "`virtually certain` is a word of the IPCC's likelihood scale, 0.99..1 there, and ladders are never mixed: "
            "write `0.99..1`, for ICD 203 has no word above 99 %.",
        ),
        (
            "highly likly",
            "Did you mean `highly likely`? `highly likely` is a word of the UK's PHIA yardstick, 0.8..0.9 there, and "
            "ladders are never mixed: write `0.8..0.9`, or the ICD 203 word for the middle of it, `very likely` "
            "(0.8..0.95).",
        ),
        ("high confidence", "Write the chance, such as `0.3`, `0.2..0.6` or `very likely`."),
    ],
)
def test_ladders_are_never_mixed(written: str, remedy: str) -> None:
    """A word of another ladder is refused with that ladder, its range, and what to write; confidence is no chance."""
    with pytest.raises(NotationError) as caught:
        parse_chance(written)
    assert caught.value.remedy == remedy


@pytest.mark.parametrize("chance", [-0.1, 1.1, float("nan")])
def test_no_word_for_what_is_no_chance(chance: float) -> None:
    """A number outside 0 to 1 has no word."""
    with pytest.raises(ValueError, match="no chance"):
        word_for(chance)


@pytest.mark.parametrize(
    ("summary", "unit", "text"),
    [
        (Summary(62.0, 0, 62, 62), "mm", "62 mm"),
        (Summary(62.0, 1e-15, 62, 62.00000000000001), "mm", "62 mm"),
        (Summary(25.4, 0, 25.4, 25.4), "mm", "25.4 mm"),
        (Summary(1 / 3, 0, 1 / 3, 1 / 3), "", "0.333333"),
        (Summary(31, 0, 31, 31), "", "31"),
        (Summary(0, 0, 0, 0), "mm", "0 mm"),
        (Summary(2.07e11, 0, 2.07e11, 2.07e11), "Pa", "2.07×10¹¹ Pa"),
        (Summary(62.04, 0.76, 60.53, 63.53), "mm", "62.0 ± 1.5 mm"),
        (Summary(62.04, 0.3, 61.44, 62.64), "mm", "62.0 ± 0.6 mm"),
        (Summary(-5.0, 0.2, -5.36, -4.64), "mm", "−5.0 ± 0.4 mm"),
        (Summary(-0.01, 0.5, -1, 1), "mm", "0.0 ± 1.0 mm"),
        (Summary(30.2, 0.5, 29.2, 31.2), "°", "30.2 ± 1.0°"),
        (Summary(62.1, 2.5, 58.3, 67.9), "mm", "62.1 (58.3…67.9) mm"),
        (Summary(0.5, 0.4, -0.01, 2), "mm", "0.5 (0.0…2.0) mm"),
        (Summary(123456, 1150, 121156, 125756), "N", "123500 ± 2300 N"),
        (Summary(2.07e11, 1e9, 2.05e11, 2.09e11), "Pa", "(2.070 ± 0.020)×10¹¹ Pa"),
        (Summary(2e-5, 5e-7, 1.9e-5, 2.1e-5), "m", "(2.00 ± 0.10)×10⁻⁵ m"),
        (Summary(3e-5, 5e-6, 2.5e-5, 4.5e-5), "m", "3.0 (2.5…4.5)×10⁻⁵ m"),
    ],
)
def test_summaries_as_shown(summary: Summary, unit: str, text: str) -> None:
    """A summary is shown with the digits its doubt allows, or by its ends when it is lopsided."""
    assert show(summary, unit) == text


def test_what_was_written_is_what_is_shown() -> None:
    """The ± of a summary is the ± of the notation: the half-width that covers 95 %."""
    draws = parse("62 ± 3 mm").draw(200_000, generator("shown"))
    assert show(summarise(draws), "mm") == "62.0 ± 3.0 mm"


@pytest.mark.parametrize("draws", [[], [1.0, float("nan")], [float("inf")], [1e301]])
def test_no_summary_of_what_is_no_number(draws: list[float]) -> None:
    """Nothing, NaN and infinity have no summary."""
    with pytest.raises(ValueError, match="finite"):
        summarise(np.array(draws))


@pytest.mark.parametrize("level", [0, 1, 95, float("nan")])
def test_no_summary_at_an_impossible_level(level: float) -> None:
    """A level lies between 0 and 1."""
    with pytest.raises(ValueError, match="level"):
        summarise(np.array([1.0, 2.0]), level)


def test_one_draw_is_exact() -> None:
    """A single draw, or draws all alike, have no doubt."""
    assert summarise(np.array([3.0])) == summarise(np.full(1000, 3.0)) == Summary(3.0, 0.0, 3.0, 3.0)


def test_draws_need_a_name() -> None:
    """Without a name there is no seed."""
    with pytest.raises(ValueError, match="name"):
        generator()


def test_draws_are_those_of_before() -> None:
    """The seed of a name never changes: the first draws of one are written down here."""
    assert list(generator("measurements/hub-width").random(2)) == pytest.approx(
        [0.2579857391185918, 0.22940202123866127], rel=1e-15
    )


LIGHT = {
    "import ledger.quantities.chance": {"pint", "numpy"},
    "import ledger.quantities.notation": {"pint", "numpy"},
    "from ledger.quantities.notation import parse; parse('62 ± 3 N·m')": {"pint", "numpy"},
    "import ledger.quantities.summary, ledger.quantities.draws": {"pint"},
}


def loaded(code: str) -> set[str]:
    """The names of the modules a fresh interpreter has loaded after some code."""
    program = f"import sys; sys.path.insert(0, {str(ROOT)!r}); {code}; print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    return set(done.stdout.split())


@pytest.mark.parametrize("code", LIGHT)
def test_light_modules_stay_light(code: str) -> None:
    """Chances and the reading of notation load neither pint nor numpy; draws and summaries load no pint."""
    assert not LIGHT[code] & loaded(code)


def test_a_heavy_module_would_be_noticed() -> None:
    """A conversion does load pint, and a draw numpy: the check above can fail."""
    code = "from ledger.quantities.notation import parse; import ledger.quantities.draws; parse('1 in').to('mm')"
    assert {"pint", "numpy"} <= loaded(code)


def test_a_quantity_is_frozen() -> None:
    """A quantity cannot be changed after it was read."""
    quantity = parse("62 mm")
    assert isinstance(quantity, Quantity)
    with pytest.raises(AttributeError):
        quantity.unit = "in"  # type: ignore[misc]
