"""A calculator run without a ledger: inputs as `name=value` words, tables from CSV files by pandas."""

from __future__ import annotations

from collections.abc import Mapping, Set
from dataclasses import replace
from pathlib import Path
from typing import Any

from ledger.calculators.bench import DRAWS, Bench
from ledger.calculators.contract import Calculator, Rows, Truth
from ledger.calculators.declared import check_calculations
from ledger.calculators.drawing import Drawing
from ledger.calculators.register import REGISTER
from ledger.calculators.results import Result
from ledger.calculators.sweeping import result
from ledger.entries.models import Calculation
from ledger.entries.parts import Given
from ledger.entries.reading import read_text
from ledger.entries.signs import check_signs
from ledger.entries.writing import write
from ledger.errors import Fault, FaultsFound, nearest, of_command

REF = "the command line"


def known(name: str) -> Calculator:
    """Return the calculator of that name; FaultsFound with the nearest name otherwise."""
    if name in REGISTER:
        return REGISTER[name]
    near = nearest(name, REGISTER)
    remedy = f"Did you mean `{'` or `'.join(near)}`?" if near else f"There are: {', '.join(REGISTER)}."
    raise FaultsFound([of_command("calculator", f"`{name}`", "a calculator the ledger knows", remedy)])


def run_adhoc(
    name: str, words: list[str], folder: Path, draws: int = DRAWS
) -> tuple[Calculator, dict[str, Given], Result]:
    """Return the calculator, its inputs and its result for inputs such as `power=520 ± 10 kW` or `layout=@stack.csv`.

    Raises FaultsFound for words that cannot be read, all at once, and CalculationRefused for inputs that cannot be
    computed.
    """
    calculator = known(name)
    faults: list[Fault] = []
    given: dict[str, Given] = {}
    for word in words:
        one, equals, value = word.partition("=")
        declared = calculator.input(one)
        if not equals or declared is None:
            faults.append(_unreadable(word, one, calculator))
        elif one in given:
            faults.append(of_command(one, "the input twice", "each input once", "Remove one of the two."))
        elif isinstance(declared, Rows):
            rows = _table(one, value, folder, faults)
            given[one] = Given(rows=rows, reason=f"read from {value.removeprefix('@')}")
        else:
            cell: Any = (
                {"true": True, "yes": True, "false": False, "no": False}.get(value)
                if isinstance(declared, Truth)
                else value
            )
            given[one] = Given(value=value if cell is None else cell, reason="given on the command line")
    for each in calculator.inputs:
        optional = each.optional if isinstance(each, Rows) else each.default is not None
        if each.name not in given and not optional and not any(fault.field == each.name for fault in faults):
            unit = getattr(each, "unit", "")
            example = "@table.csv" if isinstance(each, Rows) else f"a value{f' in {unit}' if unit else ''}"
            faults.append(of_command(each.name, "nothing", each.label, f"Give `{each.name}={example}`."))
    if faults := [*faults, *_values(calculator, given, {fault.field for fault in faults})]:
        raise FaultsFound(faults)
    entry = Calculation.model_construct(
        kind="calculation", title=name, calculator=name, hypotheses=[], inputs=given, criteria=[]
    )
    return calculator, given, result(Bench(REGISTER, {REF: entry}, {}, Drawing(draws)), REF)[0]


def _values(calculator: Calculator, given: Mapping[str, Given], told: Set[str]) -> list[Fault]:
    """Return the faults of values as an entry with them would have them, but of inputs that have been told of."""
    kept = {name: one for name, one in given.items() if name not in told}
    ref = "calculations/given-here"
    folder, _, name = ref.partition("/")
    try:
        documents = {ref: read_text(write(front_of(calculator, kept, calculator.title), "\n"), folder, name)}
        faults = [*check_signs(documents, {ref}), *check_calculations(REGISTER, documents, {ref})]
    except FaultsFound as found:
        faults = list(found.faults)
    return [
        replace(fault, file=REF, line=0, field=fault.field.removeprefix("inputs.").removesuffix(".value"))
        for fault in faults
        if fault.field != "inputs"
    ]


def _unreadable(word: str, name: str, calculator: Calculator) -> Fault:
    names = [each.name for each in calculator.inputs]
    near = nearest(name, names, 1)
    remedy = f"Did you mean `{near[0]}=…`?" if near else f"{calculator.name} takes: {', '.join(names)}."
    return of_command(name, f"`{word}`", f"name=value with an input of {calculator.name}", remedy)


def front_of(calculator: Calculator, given: Mapping[str, Given], title: str) -> dict[str, Any]:
    """Return the front matter of a calculation entry with these inputs."""
    inputs: dict[str, Any] = {}
    for name, one in given.items():
        inputs[name] = {"rows": one.rows} if one.rows is not None else {"value": one.value}
        inputs[name]["reason"] = one.reason
    return {"kind": "calculation", "title": title, "calculator": calculator.name, "inputs": inputs}


def _table(name: str, value: str, folder: Path, faults: list[Fault]) -> list[dict[str, Any]]:
    path = folder / value.removeprefix("@")
    if not value.startswith("@") or not path.is_file():
        given = f"`{value}`" + (", which is no file here" if value.startswith("@") else "")
        faults.append(of_command(name, given, "a CSV file, as @file.csv", "Its first line names the columns."))
        return []
    import pandas

    try:
        frame = pandas.read_csv(path, dtype=str, keep_default_na=False)
    except (pandas.errors.ParserError, pandas.errors.EmptyDataError, UnicodeDecodeError):
        remedy = "Write a line of column names, and under it rows with as many cells, apart by commas."
        faults.append(Fault(str(path), 0, name, "a file that is no such table", "a CSV table in UTF-8", remedy))
        return []
    return rows_of(frame)


def rows_of(frame: Any) -> list[dict[str, Any]]:
    """Return the rows of a pandas frame as an entry would give them; empty cells are left to the column's default."""
    words = {"true": True, "false": False}
    return [
        {
            str(column): words.get(cell, cell) if isinstance(cell, str) else cell
            for column, cell in row.items()
            if cell != ""
        }
        for row in frame.to_dict(orient="records")
    ]
