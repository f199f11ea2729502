"""What pages say of grounds and consequences; what they share is worked out once for all of them."""

from __future__ import annotations

from functools import cached_property

from ledger.casebook.items import Item
from ledger.casebook.values import Casebook
from ledger.publishing import impacts, staling, traced
from ledger.publishing.addresses import Ways
from ledger.tracing.staleness import Stale, stale
from ledger.tracing.trace import Trace, trace
from ledger.tracing.withdrawal import Test


class Tracer:
    """The grounds of a casebook, the impact of losing any of them, and the decisions gone stale."""

    def __init__(self, casebook: Casebook) -> None:
        self.casebook = casebook

    @cached_property
    def _stale(self) -> dict[str, Stale]:
        # What decisions stood on is kept with the course, so asking for that first works nothing out twice.
        self.casebook.course()
        return stale(self.casebook)

    @cached_property
    def test(self) -> Test:
        """Return what works out impacts in the casebook."""
        return Test(self.casebook)

    def stands_on(self, item: Item, ways: Ways) -> traced.Traced | None:
        """Return what a standing decision stands on; None for all else."""
        if item.kind != "decision" or item.ref not in self.casebook.entries:
            return None
        return traced.traced(self.trace(item.ref), ways)

    def trace(self, ref: str) -> Trace:
        """Return what a standing entry stands on, not yet drawn."""
        return trace(self.casebook, ref, self.test.grounds)

    def impact(self, item: Item, ways: Ways) -> impacts.Impact | None:
        """Return what stands on a standing source, note or measurement; None for all else."""
        return impacts.impact(self.test, item, ways)

    def flag(self, item: Item, ways: Ways) -> staling.Flag | None:
        """Return why a decision must be taken again, or what cannot be told of it; None where there is nothing."""
        one = self._stale.get(item.ref)
        return staling.flag(self.casebook, one, ways) if one is not None else None

    def flags(self, ways: Ways, fixing: bool = False) -> tuple[staling.Flag, ...]:
        """Return the decisions that must be taken again; with `fixing` those alone that settle something of a model."""
        return tuple(
            staling.flag(self.casebook, one, ways)
            for one in self._stale.values()
            if one.reasons and (not fixing or staling.fixes(self.casebook, one))
        )

    def sweep(self, here: str) -> str:
        """Return the page that withdraws every source in turn."""
        return impacts.sweep_page(self.casebook, self.test, here)
