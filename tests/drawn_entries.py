"""Front matter drawn for tests from the fields of each kind's model, which accepts it, with awkward text in it."""

from __future__ import annotations

import types
import typing
from typing import Any

from hypothesis import strategies as st
from pydantic import AfterValidator

from ledger.entries import fields, models, parts
from tests.drawn_numbers import chances, coordinates, dates, factors, quantities
from tests.drawn_words import answers, bodies, names, prose, references, texts


def bearings() -> st.SearchStrategy[Any]:
    """How probable a note is under a rival, or how surely something absent would have shown."""
    return st.one_of(chances(), chances().map(lambda chance: {"would-show": chance}))


def _pairs(count: int) -> st.SearchStrategy[list[Any]]:
    return st.lists(coordinates(), min_size=count, max_size=count)


_ENDS = st.lists(_pairs(2), min_size=2, max_size=2)
_PLACES: dict[str, st.SearchStrategy[Any]] = {
    "box": _pairs(4),
    "polygon": st.lists(_pairs(2), min_size=3, max_size=5),
    "line": _ENDS,
    "point": _pairs(2),
    "span": _pairs(2),
    "page": st.one_of(st.integers(0, 900), texts()),
    "clause": texts(),
}


def marks() -> st.SearchStrategy[dict[str, Any]]:
    """Marks with one place each; page and clause may stand together."""
    one = st.sampled_from(sorted(_PLACES)).flatmap(
        lambda place: st.fixed_dictionaries({"label": prose(), place: _PLACES[place]})
    )
    both = st.fixed_dictionaries({"label": prose(), "page": _PLACES["page"], "clause": texts()})
    return st.one_of(one, both)


def picked() -> st.SearchStrategy[dict[str, Any]]:
    """Picks of a measurement: points by role, and quantities, words and lists of both that are known beside them."""
    one = st.one_of(quantities(), quantities(""), st.sampled_from(("left", "from-one-end", "unknown", "none")))
    known = st.dictionaries(names(), st.one_of(one, st.lists(one, min_size=1, max_size=3)), max_size=3)
    lens = st.one_of(
        st.sampled_from(("none", "unknown")), st.dictionaries(names(), quantities(""), min_size=1, max_size=3)
    )
    points = st.dictionaries(names(), st.lists(_pairs(2), min_size=1, max_size=4), min_size=1, max_size=3)
    doubt = st.one_of(st.integers(1, 9), st.floats(0.1, 9))
    return st.fixed_dictionaries(
        {"by": names(), "points": points},
        optional={"file": prose(), "doubt": doubt, "known": known, "lens": lens, "size": _pairs(2)},
    )


def _cells() -> st.SearchStrategy[Any]:
    return st.one_of(
        texts(), st.integers(-(10**9), 10**9), st.floats(allow_nan=False, allow_infinity=False), st.booleans()
    )


def givens() -> st.SearchStrategy[Any]:
    """Inputs of a calculation, bound once, in short and long forms."""
    row = st.dictionaries(texts().filter(lambda key: len(key) <= 60), _cells(), max_size=3)
    return st.one_of(
        names().map(lambda name: f"measurements/{name}"),
        st.tuples(names(), names()).map(lambda pair: f"calculations/{pair[0]}#{pair[1]}"),
        st.fixed_dictionaries({"value": _cells(), "reason": prose()}),
        st.fixed_dictionaries({"chosen": quantities(), "reason": prose()}),
        st.fixed_dictionaries({"measurement": references("measurements")}, optional={"reason": prose()}),
        st.fixed_dictionaries({"calculation": references("calculations"), "output": texts()}),
        st.fixed_dictionaries({"rows": st.lists(row, max_size=3), "reason": prose()}),
    )


def settled() -> st.SearchStrategy[Any]:
    """What a parameter of the model is, in short and long forms."""
    row = st.dictionaries(texts().filter(lambda key: len(key) <= 60), _cells(), max_size=3)
    return st.one_of(
        _cells(),
        st.lists(row, max_size=3),
        names().map(lambda name: f"measurements/{name}"),
        st.fixed_dictionaries({"calculation": references("calculations"), "output": texts()}),
        st.fixed_dictionaries(
            {"value": st.just("54 mm"), "grounds": st.lists(names().map(lambda name: f"sources/{name}"), max_size=2)}
        ),
    )


def quotes() -> st.SearchStrategy[dict[str, Any]]:
    """Numbers as a decision was taken on them."""
    of = st.one_of(
        names().map(lambda name: f"measurements/{name}"),
        st.tuples(names(), names()).map(lambda pair: f"calculations/{pair[0]}#{pair[1]}"),
    )
    return st.fixed_dictionaries({"of": of, "said": quantities()})


def criteria() -> st.SearchStrategy[dict[str, Any]]:
    """Limits, bands and truths that an output must keep."""
    limit = st.one_of(
        quantities(),
        names().map(lambda name: f"measurements/{name}"),
        st.fixed_dictionaries({"measurement": references("measurements")}),
        st.fixed_dictionaries({"calculation": references("calculations"), "output": texts()}),
    )
    return st.one_of(
        st.fixed_dictionaries({"output": texts(), "at-least": limit}, optional={"at-most": limit}),
        st.fixed_dictionaries({"output": texts(), "at-most": limit}),
        st.fixed_dictionaries({"output": texts(), "holds": st.booleans()}),
    )


def _of_fields() -> dict[Any, st.SearchStrategy[Any]]:
    return {
        fields.Prose: prose(),
        fields.Name: names(),
        fields.Date: dates(),
        fields.AnyReference: st.sampled_from(sorted(models.KINDS)).flatmap(
            lambda folder: names().map(lambda name: f"{folder}/{name}")
        ),
        fields.SourceName: references("sources"),
        fields.PrecedentName: references("precedents"),
        fields.MeasurementName: references("measurements"),
        fields.QuestionName: references("questions"),
        fields.HypothesisName: references("hypotheses"),
        fields.CalculationName: references("calculations"),
        fields.QuantityField: quantities(),
        fields.ChanceField: chances(),
        fields.OpenChanceField: chances(),
        fields.FactorField: factors(),
        fields.Credibility: st.one_of(st.integers(1, 6), st.integers(1, 6).map(str)),
        models.Bearings: st.dictionaries(st.one_of(names(), st.just("others")), bearings(), max_size=4),
        models.ChangedInputs: st.dictionaries(
            names(), st.dictionaries(texts().filter(lambda key: len(key) <= 60), prose(), max_size=3), max_size=3
        ),
        parts.Mark: marks(),
        models.Picked: picked(),
        parts.Quote: quotes(),
        models.Criterion: criteria(),
        typing.Annotated[str, AfterValidator(fields.answer)]: answers(),
        float: st.integers(1, 99).map(lambda hundredths: hundredths / 100),
        str: texts(),
        bool: st.booleans(),
    }


def of_annotation(annotation: Any) -> st.SearchStrategy[Any]:
    """Plain data that a model's field of that annotation accepts."""
    known = _of_fields()
    if annotation in known:
        return known[annotation]
    origin, arguments = typing.get_origin(annotation), typing.get_args(annotation)
    if origin is typing.Annotated:
        bound = {parts.Given: givens, parts.Fixed: settled}.get(arguments[0])
        return bound() if bound else of_annotation(arguments[0])
    if origin is typing.Literal:
        return st.sampled_from(arguments)
    if origin in (typing.Union, types.UnionType):
        return st.one_of(*(of_annotation(argument) for argument in arguments if argument is not type(None)))
    if origin is list:
        return st.lists(of_annotation(arguments[0]), min_size=1, max_size=3)
    if origin is dict:
        keys = of_annotation(arguments[0]).map(str).filter(lambda key: len(key) <= 60)
        return st.dictionaries(keys, of_annotation(arguments[1]), min_size=2, max_size=3)
    if isinstance(annotation, type) and issubclass(annotation, parts.Part):
        return of_model(annotation)
    raise TypeError(f"no strategy for {annotation!r}")


def of_model(model: type[parts.Part]) -> st.SearchStrategy[dict[str, Any]]:
    """Front matter for every field of a model, the optional ones now and then."""
    hints = typing.get_type_hints(model, include_extras=True)
    required, optional = {}, {}
    for name, field in model.model_fields.items():
        key = field.alias or name
        (required if field.is_required() else optional)[key] = of_annotation(hints[name])
    return st.fixed_dictionaries(required, optional=optional)


def _with_ground(front: dict[str, Any]) -> dict[str, Any]:
    return front if "precedents" in front or "reason" in front else {**front, "reason": "Nothing else is known."}


def _once_named(front: dict[str, Any]) -> dict[str, Any]:
    """Keep, of keys that name the same entry short and in full, the full one."""
    kept = {
        field: {key: value for key, value in front[field].items() if f"{folder}/{key}" not in front[field]}
        for field, folder in (
            ("predicts", "measurements"),
            ("favours", "hypotheses"),
            ("confidences", "hypotheses"),
            ("least-confidence", "hypotheses"),
        )
        if field in front
    }
    return {**front, **kept}


def fronts(kind: str) -> st.SearchStrategy[dict[str, Any]]:
    """Front matter that the kind's model accepts."""
    made = of_model(models.MODELS[kind])
    return made.map(_with_ground).map(_once_named) if kind == "hypothesis" else made.map(_once_named)


def documents() -> st.SearchStrategy[tuple[str, str, dict[str, Any], str]]:
    """A folder, a name, front matter and a body of any kind."""
    return st.sampled_from(sorted(models.FOLDERS)).flatmap(
        lambda kind: st.tuples(st.just(models.FOLDERS[kind]), names(), fronts(kind), bodies())
    )
