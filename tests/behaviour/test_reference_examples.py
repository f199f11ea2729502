"""The lines that the reference shows for fields are ones that the fields take."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Any

import pytest
from pydantic import BaseModel, ConfigDict, TypeAdapter, ValidationError

from ledger.cli.reference import parts_of, reference
from ledger.entries.models import MODELS
from ledger.entries.wording import example_of
from ledger.entries.yamlstrict import load


def fields() -> Iterator[tuple[str, str, Any]]:
    """Yield every field of every kind and of the parts inside, with its owner and its type."""
    for kind, model in MODELS.items():
        owned: list[tuple[str, type[BaseModel]]] = [(kind, model)]
        for name, field in model.model_fields.items():
            owned += [(field.alias or name, part) for part in parts_of(field.annotation)]
        for owner, part in owned:
            for name, field in part.model_fields.items():
                if name != "kind":
                    yield owner, field.alias or name, Annotated[field.annotation, *field.metadata, None]


FIELDS = list({(owner, key): (owner, key, type_) for owner, key, type_ in fields()}.values())


def taken(type_: Any, line: str) -> Any:
    """Return what a field reads from a line of front matter."""
    ((_, value),) = load(line, "example").data.items()
    whole = TypeAdapter(dict[str, type_], config=ConfigDict(strict=True, arbitrary_types_allowed=True))
    return whole.validate_python({"value": value})


@pytest.mark.parametrize(("owner", "key", "type_"), FIELDS, ids=[f"{owner}.{key}" for owner, key, _ in FIELDS])
def test_every_field_takes_its_example(owner: str, key: str, type_: Any) -> None:
    """No field is without a line, and the line shown is one that the model accepts."""
    line = example_of(owner, key)
    assert line.startswith(f"{key}: ")
    assert "…" not in line
    taken(type_, line)


def test_a_wrong_example_would_be_refused() -> None:
    """The check above refuses a line that its field does not take."""
    type_ = next(type_ for owner, key, type_ in FIELDS if (owner, key) == ("marks", "box"))
    with pytest.raises(ValidationError):
        taken(type_, "box: [812, 440]")


def test_the_reference_says_words_and_corners() -> None:
    """Allowed words of an enumeration stand in it, and what the four numbers of a box are."""
    said = reference()
    assert "one of `in-use`, `prototype`, `patent-only`" in said
    assert "left, top, right, bottom" in said
