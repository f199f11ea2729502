"""What the build sheet tells of wheels, shafts, features, tracks and forks that do not go together."""

from __future__ import annotations

from pathlib import Path

import pytest

from ledger.building.sheet import build_sheet
from ledger.casebook.opening import open_casebook
from ledger.errors import FaultsFound
from tests.sheets import DRAWS, LATCH, PAIR, decision, grid, investigation, number, said, sheet_of


def test_a_pair_whose_counts_do_not_fit_the_distance_is_in_the_way(tmp_path: Path) -> None:
    """19 and 53 teeth of 1.5 mm do not mesh 60 mm apart, nor 50; the other pairs stay on the sheet."""
    for distance in (60, 50):
        more = PAIR + f"    - {{gear: odd, driver: 19, driven: 53, distance: {distance} mm}}\n"
        sheet = sheet_of(tmp_path / str(distance), more)
        assert {problem.about.partition(",")[0] for _, problem in sheet.wrong} == {"gear odd"}
        assert number(sheet, "gear-pairs", "first", "distance") == 54


def test_counts_in_doubt_are_no_wheel(tmp_path: Path) -> None:
    """A part is made to one number; which must be decided."""
    sheet = sheet_of(tmp_path, PAIR.replace("driver: 19", 'driver: "19: 0.5, 20: 0.5"'))
    assert "anything from 19 to 20" in said(sheet)
    assert "Decide which." in said(sheet)
    assert len(sheet.wrong) == 1


def test_one_wheel_in_two_pairs_is_listed_once_and_must_be_one(tmp_path: Path) -> None:
    """An idler is driven by one pair and drives the next; with two faces it would be two wheels."""
    rows = """
    - {gear: in, driver: 23, driven: 25, distance: 36 mm, driven_is: idler}
    - {gear: out, driver: 25, driven: 41, distance: 49.5 mm, driver_is: idler}
  gear-blanks:
    - {gear: in, face: 10 mm}
    - {gear: out, face: 10 mm}
"""
    sheet = sheet_of(tmp_path / "one", PAIR.rstrip("\n") + rows)
    assert [row[0] for row in grid(sheet, "gear-wheels").rows].count("idler") == 1
    assert sheet.wrong == ()
    apart = sheet_of(tmp_path / "two", PAIR.rstrip("\n") + rows.replace("out, face: 10", "out, face: 12"))
    ((_, problem),) = apart.wrong
    assert problem.about == "wheel idler"
    assert "two pairs that ask for different wheels" in problem.said


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        (("length: 15 mm", "length: 70 mm"), "too long in all draws"),
        (("{gear: a, face: 15 mm}", "{gear: a, face: 16 mm}"), "The face is 16 mm, its station on one 15 mm long."),
        (("{gear: a, face: 15 mm}", "{gear: b, face: 15 mm}"), "There is no pair b in `gear-pairs`."),
        (("shaft: one, stock", "shaft: three, stock"), "no stations in `shaft-stations`; there are one, two"),
        (("length: 1 mm}", "length: 100 mm}"), "does not stand opposite itself at all"),
    ],
)
def test_what_does_not_go_together_is_in_the_way(tmp_path: Path, change: tuple[str, str], expected: str) -> None:
    """Stations too long, faces wider than their station, blanks and shafts of nothing, gears that miss their mate."""
    fixes = (
        PAIR.replace("gear: first", "gear: a")
        + """
  gear-blanks:
    - {gear: a, face: 15 mm}
  shaft-span: 60 mm
  shaft-stations:
    - {shaft: one, part: a, length: 15 mm}
    - {shaft: two, part: washer, length: 1 mm}
    - {shaft: two, part: a, length: 15 mm}
  shafts:
    - {shaft: one, stock: 12 mm, left: 10 mm, right: 30 mm}
"""
    )
    assert sheet_of(tmp_path / "good", fixes).wrong == ()
    assert change[0] in fixes
    sheet = sheet_of(tmp_path / "bad", fixes.replace(*change))
    assert expected in said(sheet)
    assert sheet.wrong


def test_small_features_are_warned_of_by_process(tmp_path: Path) -> None:
    """A tip of 0.99 mm can be cut and printed; a wall of 0.3 mm can be neither; a gap of 0.2 mm can be cut only."""
    fixes = (
        PAIR.replace("cut from metal", "printed from filament")
        + """
  gear-blanks:
    - {gear: first, face: 15 mm, driver_bore: 24.1 mm}
  gear-backlash: 0.2 mm
"""
    )
    sheet = sheet_of(tmp_path, fixes)
    verdicts = {row[0]: row[-2] for row in grid(sheet, "least-features").rows}
    assert verdicts["first, driving: tooth tip"] == "can be made"
    assert verdicts["first, driving: wall under the root"] == "too small"
    assert verdicts["gear first, backlash square to the flanks"] == "too small"
    warned = [one.about for chapter in sheet.chapters for one in chapter.problems if not one.serious]
    assert "first, driving: wall under the root" in warned
    assert number(sheet, "other-processes", "cut from metal", "walls") == 1
    assert number(sheet, "other-processes", "cut from metal", "gaps") == 0


def test_own_least_features_hold_instead_of_the_usual(tmp_path: Path) -> None:
    """Whoever can cut a gap of 0.01 mm says so; who cannot cut a tip of 1.1 mm does as well."""
    sheet = sheet_of(tmp_path, PAIR + "  least-tip: 1.1 mm\n")
    verdicts = {row[0]: row[-2] for row in grid(sheet, "least-features").rows}
    assert verdicts["first, driving: tooth tip"] == "too small"
    assert verdicts["first, driven: tooth tip"] == "can be made"


def test_tracks_that_cannot_be_cut_are_in_the_way_or_warned_of(tmp_path: Path) -> None:
    """A bend narrower than the pin; a pressure angle above its limit; more faces than a disc has; no drum left."""
    steep = sheet_of(tmp_path / "steep", LATCH.replace("travel: 6", "travel: 25"))
    assert "above the limit of 30°" in said(steep)
    narrow = sheet_of(tmp_path / "narrow", LATCH.replace("pin: 3", "pin: 11").replace("travel: 6", "travel: 25"))
    assert "within half the track's width" in said(narrow) or "more narrowly" in said(narrow)
    assert narrow.wrong
    thin = sheet_of(tmp_path / "thin", LATCH.replace("diameter: 30", "diameter: 1.5"))
    assert "The track is 2 mm deep, the drum 1.5 mm thick." in said(thin)
    uneven = sheet_of(tmp_path / "uneven", LATCH.replace('"0 + 0"}', '"0 + 0"}\n    - {track: other, stands: "0 +"}'))
    assert "Track other states 2 stands" in said(uneven)
    disc = LATCH.replace("drum-diameter: 30", "disc-radius: 20").replace("drum-", "disc-")
    rows = "".join(f'\n    - {{track: t{one}, stands: "0 + 0"}}' for one in range(3))
    many = sheet_of(tmp_path / "many", disc.replace('\n    - {track: bolt, stands: "0 + 0"}', rows))
    assert "need 3 faces; a disc has two" in said(many)


MISLED = (
    LATCH
    + """
  shaft-stations:
    - {shaft: one, part: sleeve, length: 10 mm}
  forks:
    - {fork: bolt, sleeve: 30 mm, groove_bottom: 26 mm, track: bold, station: nowhere}
  fork-groove: 3 mm
  fork-arms: 4 mm
  fork-rail: 5 mm
"""
)


def test_a_fork_whose_track_or_sleeve_is_none_is_not_posted(tmp_path: Path) -> None:
    """Each fault says where it stands, what was given, what was expected and how to mend it; nothing is posted."""
    with pytest.raises(FaultsFound) as found:
        sheet_of(tmp_path, MISLED)
    told = {one.field: one for one in found.value.faults}
    assert set(told) == {"fixes.forks.1.track", "fixes.forks.1.station"}
    track = told["fixes.forks.1.track"]
    assert (track.file, track.given) == ("entries/decisions/model.md", "`bold`")
    assert decision(MISLED).splitlines()[track.line - 1].strip().startswith("- {fork: bolt")
    assert track.expected == "a track in `drum-tracks` or a track in `disc-tracks`"
    assert track.remedy == "Did you mean `bolt`?"
    assert told["fixes.forks.1.station"].remedy == "There are: sleeve."


def test_a_track_that_is_renamed_under_a_fork_is_found(tmp_path: Path) -> None:
    """Though the decision on the forks is as it was; while no track is decided, any name may stand."""
    split = MISLED.index("  forks:")
    forks = MISLED[split:].replace("bold", "bolt").replace(", station: nowhere", "")
    alone = {"decisions/forks": decision("\n" + forks)}
    folder = investigation(tmp_path, alone)
    investigation(folder, {**alone, "decisions/model": decision(MISLED[:split])}, at="2031-05-18T09:00:00Z")
    renamed = decision(MISLED[:split].replace("track: bolt", "track: latch"))
    with pytest.raises(FaultsFound) as found:
        investigation(folder, {**alone, "decisions/model": renamed}, at="2031-05-19T09:00:00Z")
    (fault,) = found.value.faults
    assert (fault.file, fault.field, fault.given) == ("entries/decisions/forks.md", "fixes.forks.1.track", "`bolt`")
    assert fault.remedy == "There are: latch."


def test_a_fork_without_its_sleeve_or_track_is_in_the_way(tmp_path: Path) -> None:
    """Where an older program let it pass: names that lead nowhere are told with those that are there."""
    folder = investigation(tmp_path, {"decisions/model": decision(MISLED)}, checked=False)
    sheet = build_sheet(open_casebook(folder, count=DRAWS))
    assert "There is no track bold. There are: bolt." in said(sheet)
    assert "There is no station nowhere in `shaft-stations`. There are: sleeve." in said(sheet)
    assert len(sheet.wrong) == 2
