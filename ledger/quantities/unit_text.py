"""The grammar of a unit: `kg·m²`, `1/min`, `N·m/rad`, `J/(kg·K)`.

    unit      numerator { "/" ( power | "(" product ")" ) }
    numerator "1" | product | "(" product ")"
    product   power { ("·" | "*" | space) power }
    power     symbol [ "²" | "⁻¹" | "^2" | "**2" | "^0.5" ]

A product after a slash needs its parentheses: people disagree about `J/kg·K`. `Nm` is read as `(N·m)`.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from ledger.quantities import vocabulary
from ledger.quantities.refusal import NotationError

_RAISED = "⁰¹²³⁴⁵⁶⁷⁸⁹⁻"
_LEVEL = "0123456789-"
_LOWER = str.maketrans(_RAISED, _LEVEL)
_RAISE = str.maketrans(_LEVEL, _RAISED)
_TOKEN = re.compile(
    rf"""\s*(?:
        (?P<name>°[CF]?|[A-Za-zµΩ]+|[%‰])
            (?P<power>[{_RAISED}]+|\s?(?:\^|\*\*)\s?[+-]?[0-9]+(?:\.[0-9]+)?)?
      | (?P<sign>[·*/()]|1(?![0-9.]))
    )\s*""",
    re.VERBOSE,
)
_SAME = str.maketrans(
    {
        "\u03bc": "µ",
        "\u2126": "Ω",
        "\u22c5": "·",
        "\u2219": "·",
        "\u2022": "·",
        "\u00d7": "·",
        "\u2212": "-",
        "\u00ba": "°",
    }
)
_EXPECTED = "a unit such as `mm`, `N·m` or `1/min`"
HIGHEST_POWER = 12
SHARES = ("%", "‰", "ppm")


@dataclass(frozen=True)
class UnitText:
    """A unit as read: its tidy text, and each symbol with its power."""

    tidy: str
    powers: tuple[tuple[str, float], ...]


@lru_cache(maxsize=4096)
def read_unit(text: str) -> UnitText:
    """Return a unit as read; an empty text is the unit of pure numbers. NotationError says what is wrong."""
    tokens = _tokens(text)
    if not tokens:
        return UnitText("", ())
    above, place = _numerator(text, tokens)
    below: list[tuple[str, float]] = []
    while place < len(tokens):
        if tokens[place] != "/":
            remedy = f"Put what stands under the line in parentheses, as in `{_example(above, below, tokens[place:])}`."
            raise _odd(text, remedy if below else "Join units with `·`, and put one line before what divides.")
        part, place = _part(text, tokens, place + 1)
        below.extend(part)
    if len(above) + len(below) > 1 and any(name in SHARES for name, _ in (*above, *below)):
        remedy = "Work the share out: write `62 ± 3.1 mm`, not `62 ± 5 % mm`."
        raise NotationError(text, "a percentage alone, or a unit without one", remedy)
    return UnitText(_tidy(above, below), tuple(above) + tuple((name, -power) for name, power in below))


Token = str | tuple[str, float]


def _tokens(text: str) -> list[Token]:
    tokens: list[Token] = []
    plain = text.translate(_SAME)
    place = 0
    while place < len(plain):
        found = _TOKEN.match(plain, place)
        if found is None:
            if plain[place:].isspace():
                break
            raise _stray(text, plain, place)
        name = found["name"]
        if name is None:
            tokens.append(found["sign"])
        elif name in vocabulary.TOGETHER and found["power"] is None:
            first, second = vocabulary.TOGETHER[name]
            tokens += ["(", (first, 1.0), (second, 1.0), ")"]
        else:
            if vocabulary.pint_name(name) is None:
                digits = re.match("[0-9]*", plain[found.end("name") :])
                given = text if text.strip() == name else f"{name} in {text.strip()}"
                raise vocabulary.unknown(name, given, digits[0].translate(_RAISE) if digits else "")
            tokens.append((name, _power(text, found["power"])))
        place = found.end()
    return tokens


def _power(text: str, written: str | None) -> float:
    if written is None:
        return 1.0
    level = written.translate(_LOWER).replace("^", "").replace("**", "").strip()
    if not re.fullmatch(r"[+-]?[0-9]+(\.[0-9]+)?", level):
        raise _odd(text, "Write the power as `²`, `⁻¹` or `^2`.")
    power = float(level)
    if power == 0 or abs(power) > HIGHEST_POWER:
        raise _odd(text, f"Powers lie between -{HIGHEST_POWER} and {HIGHEST_POWER} and are not 0.")
    return power


def _numerator(text: str, tokens: list[Token]) -> tuple[list[tuple[str, float]], int]:
    if tokens[0] == "1":
        if len(tokens) == 1 or tokens[1] != "/":
            raise _odd(text, "After `1` comes a line and what stands under it, as in `1/min`.")
        return [], 1
    if tokens[0] == "(":
        return _part(text, tokens, 0)
    return _product(text, tokens, 0)


def _part(text: str, tokens: list[Token], place: int) -> tuple[list[tuple[str, float]], int]:
    """Read one power, or a product in parentheses, from `place`."""
    if place < len(tokens) and tokens[place] == "(":
        product, place = _product(text, tokens, place + 1)
        if place == len(tokens) or tokens[place] != ")":
            raise _odd(text, "Close the parenthesis.")
        return product, place + 1
    if place < len(tokens) and isinstance(token := tokens[place], tuple):
        return [token], place + 1
    raise _odd(text, "A unit is missing there.")


def _product(text: str, tokens: list[Token], place: int) -> tuple[list[tuple[str, float]], int]:
    product: list[tuple[str, float]] = []
    while True:
        if place == len(tokens) or not isinstance(token := tokens[place], tuple):
            raise _odd(text, "A unit is missing there.")
        product.append(token)
        place += 1
        if place < len(tokens) and tokens[place] in ("·", "*"):
            place += 1
        elif place == len(tokens) or not isinstance(tokens[place], tuple):
            return product, place


def _tidy(above: list[tuple[str, float]], below: list[tuple[str, float]]) -> str:
    upper = "·".join(_symbol(name, power) for name, power in above) or "1"
    if not below:
        return upper
    lower = "·".join(_symbol(name, power) for name, power in below)
    return f"{upper}/({lower})" if len(below) > 1 else f"{upper}/{lower}"


def _symbol(name: str, power: float) -> str:
    if power == 1:
        return name
    return name + (str(int(power)).translate(_RAISE) if power == int(power) else f"^{power:g}")


def _example(above: list[tuple[str, float]], below: list[tuple[str, float]], rest: list[Token]) -> str:
    return _tidy(above, below + [token for token in rest if isinstance(token, tuple)])


def _odd(text: str, remedy: str) -> NotationError:
    return NotationError(text, _EXPECTED, remedy)


def _stray(text: str, plain: str, place: int) -> NotationError:
    character = plain[place:].lstrip()[0]
    if character in vocabulary.HINTS:
        return vocabulary.unknown(character, text)
    if character.isdigit() and plain[:place].rstrip()[-1:].isalpha():
        return _odd(text, "Raise the power, as in `m³` or `m^3`.")
    if character == "-":
        return _odd(text, "Write a product with a raised dot, as in `N·m`.")
    return _odd(text, f"Take out what begins at `{plain[place:].strip()[:20]}`.")
