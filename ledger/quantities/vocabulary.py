"""The units the ledger knows, by the symbols people write, and what to say about those it does not know.

A closed list: general unit libraries read `Nm`, `PS`, `mil` and `px` as something no workshop means by them. The values
are names for pint, which supplies the factors.
"""

from __future__ import annotations

from difflib import get_close_matches
from functools import cache

from ledger.quantities.refusal import NotationError

ANGLES = {
    "rad": "radian",
    "deg": "degree",
    "°": "degree",
    "arcmin": "arcminute",
    "arcsec": "arcsecond",
    "gon": "gon",
    "rev": "turn",
    "turn": "turn",
    "radian": "radian",
    "degree": "degree",
    "degrees": "degree",
}
PREFIXED = {
    "m": "meter",
    "g": "gram",
    "s": "second",
    "N": "newton",
    "Pa": "pascal",
    "bar": "bar",
    "W": "watt",
    "J": "joule",
    "Wh": "watt_hour",
    "Hz": "hertz",
    "L": "liter",
    "l": "liter",
    "V": "volt",
    "A": "ampere",
    "Ω": "ohm",
    "ohm": "ohm",
    "H": "henry",
    "T": "tesla",
    "K": "kelvin",
}
PREFIXES = {"n": "nano", "µ": "micro", "u": "micro", "m": "milli", "k": "kilo", "M": "mega", "G": "giga"}
ALONE = {
    # lengths, areas and volumes
    "cm": "centimeter",
    "dm": "decimeter",
    "in": "inch",
    "ft": "foot",
    "yd": "yard",
    "mi": "mile",
    "thou": "thou",
    "mil": "thou",
    "micron": "micrometer",
    "cc": "cubic_centimeter",
    "cL": "centiliter",
    "cl": "centiliter",
    "dL": "deciliter",
    "dl": "deciliter",
    # mass
    "t": "metric_ton",
    "lb": "pound",
    "oz": "ounce",
    "slug": "slug",
    # time and speed
    "min": "minute",
    "h": "hour",
    "day": "day",
    "mph": "mile_per_hour",
    # turns in a time: pure counts, see `units`
    "rpm": "1 / minute",
    "rps": "1 / second",
    # force, pressure, power, viscosity
    "daN": "dekanewton",
    "lbf": "pound_force",
    "ozf": "ounce_force",
    "kip": "kip",
    "kgf": "kilogram_force",
    "kp": "kilogram_force",
    "dyn": "dyne",
    "hPa": "hectopascal",
    "psi": "pound_force_per_square_inch",
    "ksi": "kip_per_square_inch",
    "atm": "standard_atmosphere",
    "hp": "horsepower",
    "PS": "metric_horsepower",
    "P": "poise",
    "cP": "centipoise",
    "St": "stokes",
    "cSt": "centistokes",
    # shares
    "%": "percent",
    "‰": "permille",
    "ppm": "ppm",
    # pictures
    "px": "pixel",
    # spelled out
    "millimetre": "millimeter",
    "millimeter": "millimeter",
    "centimetre": "centimeter",
    "centimeter": "centimeter",
    "kilometre": "kilometer",
    "kilometer": "kilometer",
    "kilogram": "kilogram",
    "metre": "meter",
    "meter": "meter",
    "inch": "inch",
    "inches": "inch",
    "foot": "foot",
    "feet": "foot",
    "gram": "gram",
    "tonne": "metric_ton",
    "sec": "second",
    "second": "second",
    "seconds": "second",
    "minute": "minute",
    "minutes": "minute",
    "hr": "hour",
    "hour": "hour",
    "hours": "hour",
    "newton": "newton",
    "pascal": "pascal",
    "watt": "watt",
    "joule": "joule",
    "litre": "liter",
    "liter": "liter",
    "percent": "percent",
}
# Torques as workshops write them. No prefix is spelt `N`, so that none of these is another unit; to a power they would
# be either of two.
TOGETHER = {"Nm": ("N", "m"), "kNm": ("kN", "m"), "mNm": ("mN", "m"), "Nmm": ("N", "mm")}
COMMON = (
    "mm", "cm", "m", "km", "µm", "in", "ft", "thou", "g", "kg", "t", "lb", "N", "kN", "daN", "lbf", "kgf",
    "s", "ms", "min", "h", "rpm", "1/min", "Hz", "rad", "deg", "Pa", "kPa", "MPa", "GPa", "bar", "psi",
    "W", "kW", "MW", "hp", "PS", "J", "kJ", "V", "A", "K", "L", "cc", "cSt", "mph", "px", "%",
)  # fmt: skip

UNKNOWN_UNIT = "a unit the ledger knows"
_SOME = "mm, in, kg, s, rpm, °, N, N·m, MPa, kW, hp and %"
SHORT = 3
_COUNT = "Leave it out: a count has no unit."
_CELSIUS = "Add 273.15 and write `K`; a difference is the same number in `K`."
_FAHRENHEIT = "Write kelvin, (°F + 459.67)·5/9 in `K`; a difference is 5/9 of the number in `K`."
_SHAFT = "Did you mean `1/min` (the same as `rpm`)?"
_GALLON = "Write `L`: the imperial gallon is 4.54609 L, the United States gallon 3.785411784 L."
_TON = "Write `t` for 1000 kg; the short ton is 2000 `lb`, the long ton 2240 `lb`."
_POUND = "Write `lb` for mass or `lbf` for force."
_INCH = "Write `in` for inches, `ft` for feet, `arcmin` and `arcsec` for angles."
_LEVEL = "Write the ratio itself: a level has no factor."
HINTS = {
    **dict.fromkeys(("tooth", "teeth", "pcs", "off"), _COUNT),
    **dict.fromkeys(("°C", "C", "degC", "celsius", "Celsius"), _CELSIUS),
    **dict.fromkeys(("°F", "F", "degF", "fahrenheit", "Fahrenheit"), _FAHRENHEIT),
    **dict.fromkeys(("U", "tr", "tpm", "RPM", "Rpm", "upm", "revs"), _SHAFT),
    **dict.fromkeys(("gal", "gallon", "gallons"), _GALLON),
    **dict.fromkeys(("ton", "tons"), _TON),
    **dict.fromkeys(("lbs", "pound", "pounds", "#"), _POUND),
    **dict.fromkeys(("'", '"', "′", "″"), _INCH),
    **dict.fromkeys(("dB", "dBA"), _LEVEL),
    "NM": "Did you mean `N·m`?",
    "kph": "Did you mean `km/h`?",
    "kmh": "Did you mean `km/h`?",
    "CV": "Did you mean `PS`?",
    "ch": "Did you mean `PS`?",
    "sqmm": "Did you mean `mm²`?",
    "ccm": "Did you mean `cc` or `cm³`?",
}
_EXPECTED = {_CELSIUS: "a temperature in kelvin", _FAHRENHEIT: "a temperature in kelvin"}


@cache
def pint_name(name: str) -> str | None:
    """Return what pint calls the unit of that symbol, or None if the ledger does not know it."""
    known = ALONE.get(name) or ANGLES.get(name) or PREFIXED.get(name)
    if known is None and name == "mrad":
        return "milliradian"
    if known is None and name[:1] in PREFIXES and name[1:] in PREFIXED:
        return PREFIXES[name[0]] + PREFIXED[name[1:]]
    return known


def is_angle(name: str) -> bool:
    """Return whether the unit of that symbol measures an angle."""
    return name in ANGLES or name == "mrad"


def unknown(name: str, given: str, power: str = "") -> NotationError:
    """Return the refusal of an unknown unit within `given`, with the nearest known one, to that raised power."""
    hint = HINTS.get(name)
    if hint is not None:
        return NotationError(given, _EXPECTED.get(hint, UNKNOWN_UNIT), hint)
    near = _nearest(name)
    remedy = f"Did you mean `{near}{power}`?" if near else f"Known are, among others, {_SOME}."
    return NotationError(given, UNKNOWN_UNIT, remedy)


def _nearest(name: str) -> str | None:
    # Another case, or two signs in the wrong order.
    for same in (str.casefold, sorted):
        for known in COMMON:
            if same(known) == same(name):
                return known
    for place in range(1, len(name)):
        left, right = name[:place], name[place:]
        if pint_name(left) and pint_name(right) and left not in right and right not in left:
            return f"{left}·{right}"
    # Of short symbols nearly all differ by a sign or two, so what is near has to be nearer the longer it is.
    cutoff = 0.6 if len(name) <= SHORT else 0.75
    begun = [known for known in (*COMMON, *ALONE, *ANGLES) if known[0].casefold() == name[0].casefold()]
    close = get_close_matches(name, begun, 1, cutoff) if len(name) > 1 else []
    return close[0] if close else None
