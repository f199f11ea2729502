"""The JSON Schema of the document, made from the models that entries and the document are checked by.

Fields of entries have readers of their own, of which a schema can know nothing; what each of them takes in the form
that `fronts.plain` writes is said here. A reader that is not known here is refused.

Source: JSON Schema, draft 2020-12.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, get_args

from pydantic import TypeAdapter
from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue
from pydantic_core import core_schema

from ledger.entries import fields, picks
from ledger.handing.document import Ledger
from ledger.handing.fronts import plain

NAME = "ledger.schema.json"
_WORD = r"[a-z0-9]+(?:-[a-z0-9]+)*"
_SAID: JsonSchemaValue = {"type": "string", "minLength": 1}


def _text(pattern: str, description: str) -> JsonSchemaValue:
    return {"type": "string", "pattern": pattern, "description": description}


def _words(description: str) -> JsonSchemaValue:
    return {"type": "string", "minLength": 1, "description": description}


def _ref(folder: str) -> JsonSchemaValue:
    return _text(f"^{folder}/{_WORD}$", "A reference: folder and name of an entry.")


def _measure(description: str) -> JsonSchemaValue:
    chance = {"type": "number", "minimum": 0, "maximum": 1}
    return {"anyOf": [chance, _SAID], "description": description}


_QUANTITY = _words("A quantity: `62 ± 3 mm`, `55..68 mm`, `55..61..68 mm`, `20 +0/-0.05 mm`, `30: 0.2, 31: 0.8`.")
_CHANCE = _measure("A chance: a number, a range such as `0.2..0.6`, or a word of the ICD 203 ladder.")
_FACTOR: JsonSchemaValue = {
    "anyOf": [{"type": "number", "exclusiveMinimum": 0}, {"type": "string", "pattern": r"^\S+\.\.\S+$"}],
    "description": "A factor: a number, or a range such as `2..5`.",
}
_HYPOTHESIS = f"hypotheses/{_WORD}"


def _reader(annotated: Any) -> Callable[..., Any]:
    """Return the function that reads a field: the last one stated with its type."""
    found: Callable[..., Any] = get_args(annotated)[-1].func
    return found


SHAPES: dict[Callable[..., Any], JsonSchemaValue] = {
    _reader(fields.Prose): _words("Some words."),
    _reader(fields.Name): _text(f"^{_WORD}$", "A name of small letters, digits and single hyphens."),
    _reader(fields.Date): _text(r"^[0-9]{4}(?:-[0-9]{2}(?:-[0-9]{2})?)?$", "A year, a month or a day."),
    _reader(fields.AnyReference): _ref(f"(?:{'|'.join(sorted(fields.KINDS))})"),
    _reader(fields.SourceName): _ref("sources"),
    _reader(fields.PrecedentName): _ref("precedents"),
    _reader(fields.MeasurementName): _ref("measurements"),
    _reader(fields.QuestionName): _ref("questions"),
    _reader(fields.HypothesisName): _ref("hypotheses"),
    _reader(fields.CalculationName): _ref("calculations"),
    _reader(fields.QuantityField): _QUANTITY,
    _reader(fields.ChanceField): _CHANCE,
    _reader(fields.OpenChanceField): _CHANCE,
    _reader(fields.FactorField): _FACTOR,
    _reader(picks.KnownField): {"anyOf": [_SAID, {"type": "array", "items": _SAID}]},
    _reader(picks.LensField): {
        "anyOf": [{"enum": list(picks.LENS_WORDS)}, {"type": "object", "additionalProperties": _QUANTITY}]
    },
    fields.rival: _text(f"^(?:{fields.OTHERS}|{_HYPOTHESIS})$", "A hypothesis, or `others`."),
    fields.answer: _text(f"^(?:{fields.NONE_OF_THESE}|{_HYPOTHESIS})$", "A hypothesis, or `none-of-these`."),
}


class _Generator(GenerateJsonSchema):
    """The schema of models as their plain data is written."""

    def function_plain_schema(self, schema: core_schema.PlainValidatorFunctionSchema) -> JsonSchemaValue:
        reader = schema["function"]["function"]
        if reader not in SHAPES:
            # Pydantic leaves out of a union whatever it has an error of its own for.
            raise LookupError(f"no shape is known of what {reader.__qualname__} reads")
        return dict(SHAPES[reader])

    def function_after_schema(self, schema: core_schema.AfterValidatorFunctionSchema) -> JsonSchemaValue:
        shape = SHAPES.get(schema["function"]["function"])
        return super().function_after_schema(schema) if shape is None else dict(shape)

    def dict_schema(self, schema: core_schema.DictSchema) -> JsonSchemaValue:
        """Hold every key of a mapping to its pattern, and not only let those that keep it have the right values."""
        made = super().dict_schema(schema)
        for pattern, values in made.pop("patternProperties", {}).items():
            made |= {"propertyNames": {"pattern": pattern}, "additionalProperties": values}
        return made

    def encode_default(self, dft: Any) -> Any:
        return super().encode_default(plain(dft))


def schema() -> dict[str, Any]:
    """Return the schema of the document. Raises LookupError for a field whose reader is not known here."""
    made = TypeAdapter(Ledger).json_schema(by_alias=True, schema_generator=_Generator)
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **made}
