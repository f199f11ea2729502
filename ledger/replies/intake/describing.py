"""The intake described as OpenAPI 3.1, from the same models that check what is sent."""

from __future__ import annotations

from functools import cache
from typing import Any

from ledger.replies.document import UUID
from ledger.replies.intake.reading import Envelope

_ERROR = {
    "type": "object",
    "required": ["error", "faults"],
    "additionalProperties": False,
    "properties": {
        "error": {"type": "string"},
        "faults": {
            "type": "array",
            "items": {
                "type": "object",
                "required": ["field", "given", "expected", "remedy"],
                "additionalProperties": False,
                "properties": {name: {"type": "string"} for name in ("field", "given", "expected", "remedy")},
            },
        },
    },
}
_DAY = {"type": "string", "format": "date"}
_COUNTS = {"type": "object", "additionalProperties": {"type": "integer", "minimum": 0}}
_WORDS = {
    "400": "It is no JSON.",
    "401": "The token is missing or wrong.",
    "403": "The page is not the site's own, or the proof of work does not hold.",
    "405": "Not by this method.",
    "408": "It did not arrive in time.",
    "409": "Another reply was taken under this id.",
    "413": "It is too large.",
    "415": "It is no JSON by its Content-Type, or it is compressed.",
    "422": "It has faults: all of them are listed.",
    "429": "Too many at once from one address: Retry-After says how long to wait.",
    "503": "It cannot be kept or read now: Retry-After says how long to wait.",
}
_LATER = {"Retry-After": {"description": "Seconds to wait.", "schema": {"type": "string", "pattern": "^[0-9]+$"}}}


@cache
def description() -> dict[str, Any]:
    """Return the OpenAPI document."""
    envelope = Envelope.model_json_schema(ref_template="#/components/schemas/{model}")
    schemas = {**envelope.pop("$defs"), "Envelope": envelope, "Error": _ERROR}
    return {
        "openapi": "3.1.0",
        "info": {"title": "Intake of replies", "version": "1", "description": "Takes replies in, and nothing else."},
        "paths": {
            "/replies": {
                "post": {
                    "operationId": "take",
                    "summary": "Take a reply. The same reply sent again gets the same answer.",
                    "requestBody": {"required": True, "content": _json({"$ref": "#/components/schemas/Envelope"})},
                    "responses": _responses(
                        "It is on the disk.",
                        _object(id={"type": "string", "pattern": UUID}, received=_DAY),
                        "400 403 408 409 413 415 422 429 503",
                    ),
                }
            },
            "/challenge": {
                "get": {
                    "operationId": "challenge",
                    "summary": "Get a challenge: find a nonce so that sha256 of `challenge:nonce` begins with `bits` "
                    "zero bits.",
                    "parameters": [_parameter("id", {"type": "string", "pattern": UUID}, required=True)],
                    "responses": _responses(
                        "A challenge for the reply with this id.",
                        _object(
                            challenge={"type": "string"},
                            bits={"type": "integer", "minimum": 0},
                            seconds={"type": "integer", "minimum": 1},
                        ),
                        "403 422",
                    ),
                }
            },
            "/health": _get("health", "Whether replies can be kept.", _object(status={"const": "well"}), "403 422 503"),
            "/counts": _get(
                "counts",
                "How many replies are kept, by the day they came, and what became of calls since the start.",
                _object(
                    replies={"type": "integer", "minimum": 0},
                    waiting={"type": "integer", "minimum": 0, "description": "Of these, not yet kept elsewhere."},
                    days=_COUNTS,
                    since={"type": "string", "format": "date-time"},
                    outcomes=_COUNTS,
                ),
                "401 403 422 503",
                secured=True,
            ),
            "/export": {
                "get": {
                    "operationId": "export",
                    "summary": "Replies in the order they came: a JSON object with seq, received and reply a line. "
                    "`kept` says that all up to this number are kept elsewhere and may be deleted here.",
                    "security": [{"token": []}],
                    "parameters": [
                        _parameter("after", {"type": "integer", "minimum": 0, "maximum": 10**18 - 1, "default": 0}),
                        _parameter("limit", {"type": "integer", "minimum": 1, "maximum": 1000, "default": 500}),
                        _parameter("kept", {"type": "integer", "minimum": 0, "maximum": 10**18 - 1}),
                    ],
                    "responses": {
                        "200": {
                            "description": "A page of replies; an empty one after the last.",
                            "headers": {
                                "Intake-Store": {
                                    "description": "The mark of the store: numbers are its own.",
                                    "required": True,
                                    "schema": {"type": "string", "pattern": "^[0-9a-f]{32}$"},
                                }
                            },
                            "content": {"application/x-ndjson": {"schema": {"type": "string"}}},
                        },
                        **_refusals("401 403 422 503"),
                    },
                }
            },
            "/openapi.json": _get("described", "This document.", {"type": "object"}, "403 422"),
        },
        "components": {"schemas": schemas, "securitySchemes": {"token": {"type": "http", "scheme": "bearer"}}},
    }


def _get(name: str, summary: str, schema: dict[str, Any], statuses: str, *, secured: bool = False) -> dict[str, Any]:
    operation = {"operationId": name, "summary": summary, "responses": _responses(summary, schema, statuses)}
    return {"get": {**operation, "security": [{"token": []}]} if secured else operation}


def _responses(words: str, schema: dict[str, Any], statuses: str) -> dict[str, Any]:
    return {"200": {"description": words, "content": _json(schema)}, **_refusals(statuses)}


def _refusals(statuses: str) -> dict[str, Any]:
    error = _json({"$ref": "#/components/schemas/Error"})
    return {
        status: {
            "description": _WORDS[status],
            "content": error,
            **({"headers": _LATER} if status in ("429", "503") else {}),
        }
        for status in [*statuses.split(), "405"]
    }


def _parameter(name: str, schema: dict[str, Any], *, required: bool = False) -> dict[str, Any]:
    return {"name": name, "in": "query", "required": required, "schema": schema}


def _object(**properties: dict[str, Any]) -> dict[str, Any]:
    return {
        "type": "object",
        "required": list(properties),
        "additionalProperties": False,
        "properties": properties,
    }


def _json(schema: dict[str, Any]) -> dict[str, Any]:
    return {"application/json": {"schema": schema}}
