"""As much of an entry as can be checked although some of its fields have faults.

What has a fault is left out: a field, an item of a list, one value of a mapping. The rest becomes an entry whose
required fields may be missing, so that the rules over the whole ledger can be asked of the sound parts in the same run.
Such an entry is for checking only; it is never posted.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from types import GenericAlias
from typing import Annotated, Any, get_origin

from annotated_types import MinLen
from pydantic import BaseModel, Field, ValidationError, create_model, model_validator

from ledger.entries.models import Calculation, Entry, Hypothesis, Measurement
from ledger.entries.parts import Criterion, Observed, Part, Picked
from ledger.entries.wording import field_names, nearest_field, trail

MOST_ROUNDS = 50
Trail = tuple[str | int, ...]
# Fields whose value says whether there is anything to check: without them nothing is said of the rest.
_DECISIVE = frozenset({"withdrawn"})
_RULES = {Hypothesis: "prior_has_ground", Criterion: "one_limit"}


@dataclass(frozen=True)
class Salvaged:
    """What is left of an entry; `spoiled` and `kept` as a document has them."""

    entry: Entry
    spoiled: frozenset[str]
    kept: Mapping[str, tuple[int, ...]]


def salvage(model: type[Entry], front: Mapping[str, Any], spoiled: Iterable[str]) -> Salvaged | None:
    """Return what can be checked of front matter with faults, or None. `spoiled` are paths to leave out at once."""
    dropped = {found for path in spoiled if path != "kind" and (found := _followed(path, front))}
    meant = {nearest_field(key, model) for key in front if key not in field_names(model)} - {None, *front}
    missing = {name for name, info in field_names(model).items() if info.is_required() and name not in front}
    for _ in range(MOST_ROUNDS):
        if _DECISIVE & (meant | {each[0] for each in dropped}):
            return None
        kept: dict[Trail, tuple[int, ...]] = {}
        data = _without(front, (), dropped, kept)
        try:
            entry = _lenient(model).model_validate(data, by_alias=True, by_name=False)
        except ValidationError as error:
            units = {_unit(_original(trail(one["loc"], data), kept)) for one in error.errors(include_url=False)}
            if () in units or units <= dropped:
                return None
            dropped |= units
        else:
            assert isinstance(entry, model)
            observed = front.get("observed")
            if isinstance(observed, dict):
                missing |= {f"observed.{name}" for name in field_names(Observed) if name not in observed}
            paths = {_dotted(each) for each in dropped} | missing | {each for each in meant if each}
            return Salvaged(entry, frozenset(paths), {_dotted(each): numbers for each, numbers in kept.items()})
    return None


def _unit(found: Trail) -> Trail:
    """Return the least thing around an error that an entry can be without."""
    if found[:1] == ("inputs",):
        return found[:5] if found[2:3] == ("rows",) and len(found) >= 5 else found[:2]
    if found[:1] in (("criteria",), ("outcomes",), ("picked",)):
        return found[:3]
    return found[:2]


def _without(value: Any, at: Trail, dropped: set[Trail], kept: dict[Trail, tuple[int, ...]]) -> Any:
    """Return a copy without what was dropped; note which items of shortened lists were kept, numbered from one."""
    if isinstance(value, dict):
        return {
            key: _without(inner, (*at, key), dropped, kept) for key, inner in value.items() if (*at, key) not in dropped
        }
    if isinstance(value, list):
        numbers = tuple(position for position in range(len(value)) if (*at, position) not in dropped)
        if len(numbers) < len(value):
            kept[at] = tuple(position + 1 for position in numbers)
        return [_without(value[position], (*at, position), dropped, kept) for position in numbers]
    return value


def _original(found: Trail, kept: Mapping[Trail, tuple[int, ...]]) -> Trail:
    """Return where something found in shortened data stands in the whole."""
    whole: Trail = ()
    for step in found:
        whole = (*whole, kept[whole][step] - 1 if isinstance(step, int) and whole in kept else step)
    return whole


def _followed(path: str, front: Mapping[str, Any]) -> Trail:
    """Return a dotted path as keys and positions, as far as it is there."""
    data: Any = front
    found: list[str | int] = []
    while path:
        if isinstance(data, dict):
            key = next((key for key in data if path == key or path.startswith(f"{key}.")), None)
            if key is None:
                break
            found.append(key)
            data, path = data[key], path[len(key) + 1 :]
        elif isinstance(data, list):
            number, _, path = path.partition(".")
            # What stands under a key's second mention need not be there under its first, which counts.
            if not number.isdecimal() or int(number) > len(data):
                break
            found.append(int(number) - 1)
            data = data[int(number) - 1]
        else:
            break
    return _unit(tuple(found))


def _dotted(found: Trail) -> str:
    return ".".join(str(step + 1) if isinstance(step, int) else step for step in found)


@cache
def _lenient(model: type[Part]) -> type[BaseModel]:
    """Return the model with nothing required, no least counts, and no rule over several fields."""
    fields: dict[str, Any] = {}
    for name, info in model.model_fields.items():
        kind: Any = info.annotation
        if model is Calculation and name == "criteria":
            kind = GenericAlias(list, (_lenient(Criterion),))
        elif model is Calculation and name == "observed":
            kind = _lenient(Observed) | None
        elif model is Measurement and name == "picked":
            kind = _lenient(Picked) | None
        for each in info.metadata:
            if not isinstance(each, MinLen):
                kind = Annotated[kind, each]
        if info.is_required() and name != "kind":
            origin = get_origin(info.annotation)
            default: Any = Field(default_factory=origin) if origin in (list, dict) else None
        else:
            default = info.get_default(call_default_factory=True) if name != "kind" else ...
        fields[name] = (kind, default)
    rules: dict[str, Any] = {}
    if model in _RULES:
        rules[_RULES[model]] = model_validator(mode="after")(_unasked)
    return create_model(model.__name__, __base__=model, __validators__=rules, **fields)


def _unasked(part: Any) -> Any:
    return part
