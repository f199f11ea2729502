"""The sections of the build sheet, in the order they are computed and shown: an explicit list, one file each."""

from __future__ import annotations

from ledger.building.contract import Section, entry_name
from ledger.building.sections.bill import BILL
from ledger.building.sections.casing.casing import CASING
from ledger.building.sections.dogs.dogs import DOGS
from ledger.building.sections.forks.forks import FORKS
from ledger.building.sections.full_size import FULL_SIZE
from ledger.building.sections.gears.gears import GEARS
from ledger.building.sections.hubs.hubs import HUB_SECTION
from ledger.building.sections.least_features import LEAST_FEATURES
from ledger.building.sections.model import MODEL
from ledger.building.sections.shafts.bearings import BEARINGS
from ledger.building.sections.shafts.shafts import SHAFTS
from ledger.building.sections.tracks.disc import DISC
from ledger.building.sections.tracks.drum import DRUM
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
