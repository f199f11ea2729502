"""Statements of provenance gathered, and written as PROV-JSON.

Things, activities and agents have names; relations are anonymous and numbered in the order they were made.

Source: PROV-DM, W3C Recommendation of 30 April 2013, sections 5.1 to 5.5; The PROV-JSON Serialization, W3C Member
Submission of 24 April 2013, sections 2 and 3.
"""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

WORDS = f"urn:uuid:{uuid.uuid5(uuid.NAMESPACE_OID, 'witness-ledger words')}#"
ORDER = (
    "entity", "activity", "agent",
    "wasGeneratedBy", "used", "wasInvalidatedBy", "wasDerivedFrom", "wasAttributedTo", "wasAssociatedWith",
    "specializationOf",
)  # fmt: skip


def word(name: str) -> dict[str, str]:
    """Return one of the ledger's own words as a qualified name."""
    return {"$": f"word:{name}", "type": "prov:QUALIFIED_NAME"}


def prov(name: str) -> dict[str, str]:
    """Return one of PROV's words as a qualified name."""
    return {"$": f"prov:{name}", "type": "prov:QUALIFIED_NAME"}


@dataclass
class Statements:
    """Statements of one ledger. `space` is the namespace of its names, an IRI that ends where they begin."""

    space: str
    said: dict[str, dict[str, dict[str, Any]]] = field(default_factory=lambda: {kind: {} for kind in ORDER})
    relations: int = 0

    def entity(self, name: str, **attributes: Any) -> str:
        """State a thing; return its name."""
        return self._named("entity", name, attributes)

    def activity(self, name: str, **attributes: Any) -> str:
        """State an activity; return its name."""
        return self._named("activity", name, attributes)

    def agent(self, name: str, **attributes: Any) -> str:
        """State an agent; return its name."""
        return self._named("agent", name, attributes)

    def generated(self, entity: str, activity: str, time: str | None = None) -> None:
        """State that an activity made a thing, at a time in UTC where it is known."""
        self._relation("wasGeneratedBy", entity=entity, activity=activity, time=time)

    def used(self, activity: str, entity: str) -> None:
        """State that an activity used a thing."""
        self._relation("used", activity=activity, entity=entity)

    def invalidated(self, entity: str, activity: str, time: str) -> None:
        """State that an activity ended a thing."""
        self._relation("wasInvalidatedBy", entity=entity, activity=activity, time=time)

    def derived(self, made: str, source: str, kind: str = "", activity: str | None = None) -> None:
        """State that a thing stands on another. `kind` is one of PROV's: Revision, PrimarySource, Quotation."""
        kinds = {"type": prov(kind)} if kind else {}
        self._relation("wasDerivedFrom", generatedEntity=made, usedEntity=source, activity=activity, **kinds)

    def attributed(self, entity: str, agent: str) -> None:
        """State whose a thing is."""
        self._relation("wasAttributedTo", entity=entity, agent=agent)

    def associated(self, activity: str, agent: str) -> None:
        """State who took part in an activity."""
        self._relation("wasAssociatedWith", activity=activity, agent=agent)

    def specialised(self, specific: str, general: str) -> None:
        """State that a thing is another, as it stood for a time."""
        self._relation("specializationOf", specificEntity=specific, generalEntity=general)

    def document(self) -> dict[str, Any]:
        """Return everything as PROV-JSON."""
        prefixes = {"ledger": self.space, "word": WORDS}
        return {"prefix": prefixes, **{kind: said for kind, said in self.said.items() if said}}

    def _named(self, kind: str, name: str, attributes: Mapping[str, Any]) -> str:
        whole = f"ledger:{name}"
        self.said[kind][whole] = _attributes(attributes)
        return whole

    def _relation(self, kind: str, **attributes: Any) -> None:
        self.relations += 1
        self.said[kind][f"_:r{self.relations}"] = _attributes(attributes)


_PROV = frozenset(
    {"activity", "agent", "endTime", "entity", "generalEntity", "generatedEntity", "label", "specificEntity",
     "startTime", "time", "type", "usedEntity"}
)  # fmt: skip


def _attributes(attributes: Mapping[str, Any]) -> dict[str, Any]:
    """Return attributes under PROV's names, or ours; those without a value stay out."""
    return {
        f"{'prov' if name in _PROV else 'word'}:{name}": value
        for name, value in attributes.items()
        if value is not None
    }
