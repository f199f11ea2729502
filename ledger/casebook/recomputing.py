"""Results brought up to date: what a changed input touches is computed again, all else is taken from the store."""

from __future__ import annotations

import hashlib
import io
import json
import platform
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cache, cached_property
from importlib import resources
from importlib.resources.abc import Traversable
from typing import Any
from zipfile import BadZipFile

import numpy as np
from pydantic import TypeAdapter, ValidationError

from ledger.calculators.bench import Bench, Run
from ledger.calculators.contract import Calculator, Draws
from ledger.calculators.drawing import Drawing
from ledger.calculators.results import Result
from ledger.calculators.sweeping import feasibility, result
from ledger.casebook.items import Held
from ledger.entries.models import Calculation
from ledger.errors import CalculationRefused, StoreDamaged
from ledger.quantities.notation import Quantity
from ledger.store.derived import Cached

RESULT: TypeAdapter[Result] = TypeAdapter(Result)
PART = "part of a feasibility "
COMPUTING = ("mechanics", "quantities", "calculators")
Progress = Callable[[str], None]


@dataclass(frozen=True)
class Parts:
    """Feasibilities by fewer calculations than test a hypothesis, each set worked out once, when it is asked for.

    keys   of all calculations, by ref: what their results were made from
    kept   what the store has; `fresh` is what it should be given
    """

    bench: Bench
    keys: Mapping[str, str]
    kept: Mapping[str, Cached]
    fresh: dict[str, Cached] = field(default_factory=dict)
    _made: dict[tuple[str, ...], Held | None] = field(default_factory=dict)

    def held(self, refs: Iterable[str]) -> Held | None:
        """Return in which draws all criteria of some calculations hold; None if that cannot be computed."""
        tested = tuple(sorted(refs))
        if tested not in self._made:
            self._made[tested] = self._held(tested)
        return self._made[tested]

    def _held(self, tested: tuple[str, ...]) -> Held | None:
        name, key = PART + _digest(tested), _digest([self.keys[ref] for ref in tested])
        if name in self.kept and self.kept[name].key == key:
            return Held(np.asarray(Unpacked(self.kept[name].draws)["held"], dtype=bool), tested)
        try:
            held = feasibility(self.bench, tested)
        except CalculationRefused:
            return None
        self.fresh[name] = Cached(key, json.dumps(tested), pack({"held": held}))
        return Held(held, tested)

    def untrue(self, kept: Mapping[str, Cached]) -> list[tuple[str, ...]]:
        """Return the sets of calculations by which a store has another feasibility than they give, worked out anew."""
        wrong = []
        for name in sorted(replace(self, kept=kept).current()):
            tested = tuple(json.loads(kept[name].summary))
            if self.held(tested) is None or self.fresh[name] != kept[name]:
                wrong.append(tested)
        return wrong

    def current(self) -> set[str]:
        """Return the names of what the store has and nothing has changed under."""
        return {
            name
            for name, one in self.kept.items()
            if name.startswith(PART) and one.key == _digest([self.keys.get(ref, "") for ref in json.loads(one.summary)])
        }


@dataclass(frozen=True)
class Computed:
    """All results and what goes with them; `fresh` are those that had to be computed now.

    predicted and holds are as `Ground` in cases takes them. `parts` are for whoever asks what fewer calculations would
    say.
    """

    results: Mapping[str, Result]
    refused: Mapping[str, str]
    predicted: Mapping[str, tuple[np.ndarray, str]]
    holds: Mapping[str, Held]
    bench: Bench
    fresh: Mapping[str, Cached]
    current: frozenset[str]
    parts: Parts


@cache
def code_digest(packages: tuple[str, ...] = COMPUTING) -> str:
    """Return a digest of the source that computes and of what it runs on: nothing kept outlives its formula or draws.

    Another numpy may draw otherwise, and another processor sum in another order, which shows in a last digit.
    """
    vectors = np.show_config(mode="dicts")["SIMD Extensions"]
    digest = hashlib.sha256(json.dumps([np.__version__, sys.platform, platform.machine(), vectors]).encode())
    for package in packages:
        for name, text in sources(resources.files("ledger") / package):
            digest.update(name.encode() + b"\0" + text)
    return digest.hexdigest()


def sources(folder: Traversable, above: str = "") -> Iterator[tuple[str, bytes]]:
    """Yield path and text of every module of a package, those of the packages within it too, in order of name."""
    for one in sorted(folder.iterdir(), key=lambda each: each.name):
        if one.is_dir():
            yield from sources(one, f"{above}{one.name}/")
        elif one.name.endswith(".py"):
            yield above + one.name, one.read_bytes()


def recompute(
    register: Mapping[str, Calculator],
    calculations: Mapping[str, tuple[Calculation, Mapping[str, Any]]],
    measurements: Mapping[str, Quantity],
    kept: Mapping[str, Cached],
    count: int,
    progress: Progress = lambda _: None,
    explained: bool = True,
) -> Computed:
    """Return the result of every calculation and the feasibility of every tested hypothesis.

    `calculations` by ref as model and as front matter; `kept` what the store has. A calculation that cannot be
    computed is refused with its reason and everything that stands on it with it; the rest goes on. Results that are not
    `explained` say nothing of which doubt matters, and may not be kept in a store.
    """
    bench = Bench(register, {ref: entry for ref, (entry, _) in calculations.items()}, measurements, Drawing(count))
    base = f"{code_digest()} {count}"
    keys: dict[str, str] = {}
    results: dict[str, Result] = {}
    refused: dict[str, str] = {}
    draws: dict[str, Mapping[str, Draws]] = {}
    fresh: dict[str, Cached] = {}
    for ref in bench.order():
        keys[ref] = _key(base, ref, bench, calculations[ref][1], keys)
        blocked = [one for one in bench.upstream_of(ref) if one in refused]
        if blocked:
            refused[ref] = f"{ref} stands on {', '.join(blocked)}, which could not be computed"
            continue
        had = _kept(kept.get(ref), keys[ref])
        if had is not None:
            results[ref], draws[ref] = had, Unpacked(kept[ref].draws)
            if not any(bench.calculations[one].chosen for one in bench.upstream_of(ref)):
                bench.settled[ref] = Run(draws[ref])
            continue
        try:
            results[ref], draws[ref] = result(bench, ref, explained)
        except CalculationRefused as error:
            refused[ref] = str(error)
            continue
        progress(ref)
        fresh[ref] = Cached(keys[ref], RESULT.dump_json(results[ref]).decode(), pack(draws[ref]))
    holds = _feasibilities(bench, keys, refused, kept, fresh, progress)
    predicted = {
        ref: (np.asarray(draws[ref][entry.observed.output]), _unit(bench, ref, entry.observed.output))
        for ref, entry in bench.calculations.items()
        if entry.observed is not None and entry.observed.output in draws.get(ref, {})
    }
    parts = Parts(bench, keys, kept)
    current = frozenset([*results, *(f"feasibility/{ref}" for ref in holds), *parts.current()])
    return Computed(results, refused, predicted, holds, bench, fresh, current, parts)


def _feasibilities(
    bench: Bench,
    keys: Mapping[str, str],
    refused: dict[str, str],
    kept: Mapping[str, Cached],
    fresh: dict[str, Cached],
    progress: Progress,
) -> dict[str, Held]:
    """Return by hypothesis in which draws its criteria hold, and the calculations that test it."""
    tests: dict[str, list[str]] = {}
    for ref, entry in sorted(bench.calculations.items()):
        if entry.criteria and entry.uncounted is None and ref not in refused:
            for hypothesis in entry.hypotheses:
                tests.setdefault(hypothesis, []).append(ref)
    holds = {}
    for hypothesis, refs in sorted(tests.items()):
        name, key = f"feasibility/{hypothesis}", _digest([keys[ref] for ref in refs])
        if name in kept and kept[name].key == key:
            held = np.asarray(Unpacked(kept[name].draws)["held"], dtype=bool)
        else:
            try:
                held = feasibility(bench, tuple(refs))
            except CalculationRefused as error:
                refused[hypothesis] = str(error)
                continue
            progress(hypothesis)
            fresh[name] = Cached(key, json.dumps(float(held.mean())), pack({"held": held}))
        holds[hypothesis] = Held(held, tuple(refs))
    return holds


def _kept(row: Cached | None, key: str) -> Result | None:
    """Return the result that the store has under a key; None if it has none that can be read."""
    if row is None or row.key != key:
        return None
    try:
        return RESULT.validate_json(row.summary)
    except ValidationError:
        return None


def _key(base: str, ref: str, bench: Bench, front: Mapping[str, Any], keys: Mapping[str, str]) -> str:
    entry = bench.calculations[ref]
    said = {name: front.get(name) for name in ("calculator", "inputs", "criteria", "observed")}
    measured = sorted(
        (ground.measurement, bench.measurements[ground.measurement].text)
        for ground in entry.grounds()
        if ground.measurement is not None and ground.measurement in bench.measurements
    )
    upstream = [keys.get(one, "") for one in bench.upstream_of(ref)[:-1]]
    return _digest([base, ref, said, measured, upstream])


def _digest(parts: Iterable[Any]) -> str:
    return hashlib.sha256(json.dumps(list(parts), sort_keys=True).encode()).hexdigest()


def _unit(bench: Bench, ref: str, output: str) -> str:
    declared = bench.calculator(ref).output(output)
    return declared.unit if declared is not None else ""


def pack(draws: Mapping[str, Draws]) -> bytes:
    packed = io.BytesIO()
    arrays: dict[str, Any] = {name: np.asarray(values, dtype=float) for name, values in draws.items()}
    np.savez(packed, allow_pickle=False, **arrays)
    return packed.getvalue()


class Unpacked(Mapping[str, Draws]):
    """Draws by output out of what `pack` made, read when first asked for: most commands ask for few of them.

    Raises StoreDamaged, then, for bytes that `pack` did not make.
    """

    def __init__(self, packed: bytes) -> None:
        self._packed = packed

    @cached_property
    def _draws(self) -> dict[str, Draws]:
        try:
            with np.load(io.BytesIO(self._packed), allow_pickle=False) as arrays:
                return {name: arrays[name] for name in arrays.files}
        except (ValueError, EOFError, AttributeError, BadZipFile) as error:
            raise StoreDamaged(
                "Draws that the ledger keeps cannot be read. Empty the table they stand in, "
                "`sqlite3 witness.sqlite 'DELETE FROM result'`: all in it is computed again."
            ) from error

    def __getitem__(self, name: str) -> Draws:
        return self._draws[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._draws)

    def __len__(self) -> int:
        return len(self._draws)
