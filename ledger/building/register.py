"""The sections of the build sheet, in the order they are computed and shown: an explicit list, one file each."""

from __future__ import annotations

from ledger.building.bearings import BEARINGS
from ledger.building.bill import BILL
from ledger.building.casing import CASING
from ledger.building.contract import Section, entry_name
from ledger.building.disc import DISC
from ledger.building.dogs import DOGS
from ledger.building.drum import DRUM
from ledger.building.forks import FORKS
from ledger.building.full_size import FULL_SIZE
from ledger.building.gears import GEARS
from ledger.building.hubs import HUB_SECTION
from ledger.building.least_features import LEAST_FEATURES
from ledger.building.model import MODEL
from ledger.building.shafts import SHAFTS
from ledger.calculators.contract import Input

SECTIONS: tuple[Section, ...] = (
    MODEL,
    GEARS,
    SHAFTS,
    BEARINGS,
    DRUM,
    DISC,
    DOGS,
    FORKS,
    HUB_SECTION,
    CASING,
    LEAST_FEATURES,
    FULL_SIZE,
    BILL,
)


def parameters(sections: tuple[Section, ...] = SECTIONS) -> dict[str, tuple[Section, Input]]:
    """Return by its name in entries every parameter that a decision can fix, with its section."""
    return {entry_name(one.name): (section, one) for section in sections for one in section.parameters}
