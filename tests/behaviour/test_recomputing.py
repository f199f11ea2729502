"""Results are kept while nothing they stand on changes, and computed again as soon as something does."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from ledger.casebook.recomputing import Computed, code_digest, recompute, sources
from ledger.quantities.notation import parse
from ledger.store.derived import Cached
from tests.toys import TOYS, calculation, chosen, value


def fronts(width: str = "10 ± 1 mm", gap: str = "0.2 m") -> dict:
    """Four calculations: b stands on a, d on c; the width is measured, the gap stated."""
    said = {
        "a": ("plate", {"width": "measurements/w", "height": value("1 mm")}),
        "b": ("plate", {"width": "calculations/a#edge", "height": value("2 mm")}),
        "c": ("fence", {"posts": value(3), "gap": value(gap)}),
        "d": ("plate", {"width": "calculations/c#length", "height": chosen("1..3 mm")}),
    }
    more = {"d": {"hypotheses": ["h"], "criteria": [{"output": "area", "at-most": "1 m²"}]}}
    return {
        f"calculations/{name}": (
            calculation(kind, inputs, **more.get(name, {})),
            {"inputs": inputs, **more.get(name, {})},
        )
        for name, (kind, inputs) in said.items()
    }


def compute(
    calculations: dict, width: str, kept: dict[str, Cached], toys: dict = TOYS
) -> tuple[Computed, dict[str, Cached]]:
    """Recompute and return what a store would then keep."""
    computed = recompute(toys, calculations, {"measurements/w": parse(width)}, kept, 500)
    return computed, {ref: one for ref, one in {**kept, **computed.fresh}.items() if ref in computed.current}


def names(computed: Computed) -> set[str]:
    """What was computed now."""
    return {ref.removeprefix("calculations/") for ref in computed.fresh}


def test_nothing_changed_nothing_computed() -> None:
    """A second run takes everything from what is kept and gives the same results."""
    first, kept = compute(fronts(), "10 ± 1 mm", {})
    assert names(first) == {"a", "b", "c", "d", "feasibility/hypotheses/h"}
    second, _ = compute(fronts(), "10 ± 1 mm", kept)
    assert second.fresh == {}
    assert second.results == first.results
    assert {ref: held.draws.tolist() for ref, held in second.holds.items()} == {
        ref: held.draws.tolist() for ref, held in first.holds.items()
    }


def test_a_changed_measurement_recomputes_what_stands_on_it_and_nothing_else() -> None:
    """The width stands under a and b only, the gap under c and d and the hypothesis that d tests."""
    _, kept = compute(fronts(), "10 ± 1 mm", {})
    wider, _ = compute(fronts(), "11 ± 1 mm", kept)
    assert names(wider) == {"a", "b"}
    longer, _ = compute(fronts(gap="0.4 m"), "10 ± 1 mm", kept)
    assert names(longer) == {"c", "d", "feasibility/hypotheses/h"}


@pytest.mark.parametrize("limit", ["measurements/w", "calculations/a#edge"])
def test_a_changed_limit_recomputes_what_it_limits(limit: str) -> None:
    """A limit taken from a measurement, or from what stands on one, moves with it; kept, it gives the same."""
    limited = {"criteria": [{"output": "edge", "at-least": limit}], "hypotheses": ["k"]}
    inputs = {"width": value("10 mm"), "height": value("1 mm")}
    four = fronts() | {"calculations/e": (calculation("plate", inputs, **limited), {"inputs": inputs, **limited})}
    first, kept = compute(four, "8 ± 1 mm", {})
    again, _ = compute(four, "8 ± 1 mm", {ref: one for ref, one in kept.items() if "/k" not in ref and "/e" not in ref})
    assert again.results == first.results
    assert first.holds["hypotheses/k"].share > 0.99
    wider, _ = compute(four, "12 ± 1 mm", kept)
    assert {"e", "feasibility/hypotheses/k"} <= names(wider)
    assert wider.holds["hypotheses/k"].share < 0.01


def test_what_is_kept_gives_the_same_as_what_is_computed() -> None:
    """b computed on the kept draws of a equals b computed together with a."""
    _, kept = compute(fronts(), "10 ± 1 mm", {})
    without_b = {ref: one for ref, one in kept.items() if ref != "calculations/b"}
    again, _ = compute(fronts(), "10 ± 1 mm", without_b)
    assert names(again) == {"b"}
    assert again.fresh["calculations/b"] == kept["calculations/b"]


def test_a_refused_calculation_takes_with_it_only_what_stands_on_it() -> None:
    """A missing measurement refuses a and b with their reasons; c and d go on."""
    computed = recompute(TOYS, fronts(), {}, {}, 500)
    assert set(computed.refused) == {"calculations/a", "calculations/b"}
    assert "measurements/w" in computed.refused["calculations/a"]
    assert "calculations/a" in computed.refused["calculations/b"]
    assert set(computed.results) == {"calculations/c", "calculations/d"}


def test_another_processor_or_numpy_keeps_its_own(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where sums may be made in another order, a last digit may be another: nothing kept elsewhere is taken."""
    here = code_digest.__wrapped__()
    assert code_digest.__wrapped__() == here
    with monkeypatch.context() as elsewhere:
        elsewhere.setattr(np, "show_config", lambda mode: {"SIMD Extensions": {"baseline": [], "found": ["ANOTHER"]}})
        assert code_digest.__wrapped__() != here
    with monkeypatch.context() as elsewhere:
        elsewhere.setattr(np, "__version__", "99.0")
        assert code_digest.__wrapped__() != here


def test_a_formula_in_a_folder_of_its_own_counts(tmp_path: Path) -> None:
    """A package may be divided into folders: a module in any of them is a source, by its path; other files are none."""
    for name, text in (
        ("flat.py", "a"),
        ("deep/__init__.py", ""),
        ("deep/down/formula.py", "b"),
        ("deep/rows.csv", "c"),
    ):
        file = tmp_path / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text)
    found = dict(sources(tmp_path))
    assert found == {"flat.py": b"a", "deep/__init__.py": b"", "deep/down/formula.py": b"b"}
