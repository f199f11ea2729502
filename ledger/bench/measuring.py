"""Measuring from picks as they stand on the page, before they are an entry."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ledger.bench.asking import Picks
from ledger.bench.placing import placed
from ledger.bench.showing import about
from ledger.bench.telling import Told, found, refused, wrong
from ledger.errors import PhotoRefused
from ledger.photo.declaring import Method
from ledger.photo.methods import REGISTER, Given, LensGiven, measure, wrongs
from ledger.photo.pictures import find
from ledger.photo.values import FINEST, WIDEST
from ledger.photo.wrong import Wrong, unknown


@dataclass(frozen=True)
class Stated:
    """Picks as a method takes them; what is left empty on the page is left out."""

    method: Method
    points: dict[str, list[list[float]]]
    known: dict[str, Given]
    lens: LensGiven
    doubt: float
    size: tuple[float, float] | None
    recording: Path | None
    file: str


def measured(root: Path, picks: Picks) -> Told:
    """Return what picks give, or everything that is wrong with them; never both."""
    try:
        one = stated(root, picks)
        if isinstance(one, list):
            return {"wrong": wrong(one)}
        faults = wrongs(one.method, one.points, one.known, one.lens, one.size, one.doubt)
        if faults:
            return {"wrong": wrong(doubt_wrong(picks.doubt) if fault.field == "doubt" else fault for fault in faults)}
    except PhotoRefused as error:
        return {"wrong": refused(error)}
    try:
        return {
            "found": found(
                one.method,
                measure(
                    one.method,
                    one.points,
                    one.known,
                    one.lens,
                    one.size,
                    one.doubt,
                    picks.count,
                    one.file,
                    one.recording,
                ),
            )
        }
    except PhotoRefused as error:
        return {"wrong": placed(one.method, one.known, error)}


def stated(root: Path, picks: Picks) -> Stated | list[Wrong]:
    """Return picks as a method takes them, or what is wrong with method or doubt. PhotoRefused for the picture."""
    method = REGISTER.get(picks.by)
    if method is None:
        return [unknown("by", picks.by, list(REGISTER), "a way of measuring")]
    doubt = doubt_of(picks)
    if doubt is None:
        return [doubt_wrong(picks.doubt)]
    listens = method.medium == "recording"
    return Stated(
        method,
        {role: places for role, places in picks.points.items() if places},
        known_of(picks),
        lens_of(picks),
        doubt,
        None if listens else about(root, picks.file).size,
        find(root, picks.file) if listens else None,
        picks.file,
    )


def doubt_of(picks: Picks) -> float | None:
    """Return the doubt of a pick [px], or None where it is no number."""
    try:
        return float(picks.doubt)
    except ValueError:
        return None


def doubt_wrong(given: str) -> Wrong:
    """Return what is wrong with a doubt that is no number of pixels, or none that a pick can have."""
    expected = f"a number of pixels between {FINEST:f} and {WIDEST:.0f}"
    return Wrong("doubt", f"`{given}`", expected, "1 is usual for a sharp edge.")


def known_of(picks: Picks) -> dict[str, Any]:
    """Return what is known, without what was left empty."""
    return {name: given for name, given in picks.known.items() if (any(given) if isinstance(given, list) else given)}


def lens_of(picks: Picks) -> Any:
    """Return the lens as it was stated: a word, its terms without empty ones, or None."""
    if isinstance(picks.lens, dict):
        return {name: term for name, term in picks.lens.items() if term} or None
    return picks.lens or None
