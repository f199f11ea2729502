"""A model in which every section of the build sheet is in use, and another value for each of its parameters."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

# A model in which every section is in use, as lines by parameter.
WHOLE = {
    "scale": "0.3",
    "process": "cut from metal",
    "least-wall": "0.4 mm",
    "least-tip": "0.3 mm",
    "least-gap": "0.03 mm",
    "gear-module": "1.5 mm",
    "centre-distance": "54.4 +0.03/-0 mm",
    "gear-backlash": "0.06..0.10 mm",
    "gear-shifts": "divided between both wheels",
    "gear-profile": "A",
    "gear-pressure": "20 °",
    "gear-helix": "0 °",
    "gear-process": "as the model",
    "gear-material": "brass",
    "gear-pairs": [
        "{gear: first, driver: 19, driven: 53}",
        "{gear: second, driver: 23, driven: 49}",
    ],
    "gear-blanks": [
        "{gear: first, face: 15 mm, driver_bore: 12 mm, driven_bore: 14 mm}",
        "{gear: second, face: 14 mm, driver_bore: 12 mm, driven_bore: 14 mm}",
    ],
    "shaft-span": "60 ± 0.1 mm",
    "shaft-stations": [
        "{shaft: input, part: first, length: 15 mm, diameter: 12 mm}",
        "{shaft: input, part: washer, length: 0.8 mm, diameter: 12 mm, outside: 18 mm}",
        "{shaft: input, part: sleeve, length: 13.2 mm}",
        "{shaft: input, part: rest, closes: true}",
        "{shaft: output, part: collar, length: 0.2 mm}",
        "{shaft: output, part: first, length: 15 mm}",
    ],
    "shaft-float": "0.1..0.2 mm",
    "shafts": ["{shaft: input, stock: 12 mm, left: 10 mm, right: 30 mm, left_diameter: 10 mm, right_diameter: 11 mm}"],
    "shaft-axes": ["{axis: idler, from_first: 36 mm, from_second: 49.5 mm}"],
    "shaft-process": "as the model",
    "bearings": [
        '{seat: a, shaft: 10 mm, kind: "ball, series 10", shaft_class: k6, wall: front, axis: input, '
        "housing_class: H7}",
        '{seat: b, shaft: 12 mm, kind: "ball, series 10", shaft_class: k6, wall: front, axis: output}',
    ],
    "bearing-fits": ["{place: free gears, size: 14 mm, fit: H9/d9}"],
    **{
        f"{kind}-{name}": value
        for kind in ("drum", "disc")
        for name, value in {
            "tracks": ['{track: one, stands: "0 + 0 -"}', '{track: two, stands: "- 0 0 +"}'],
            "travel": "3.3 mm",
            "pin": "2.4 mm",
            "play": "0.1 mm",
            "depth": "1.8 mm",
            "dwell": "0.2",
            "law": "harmonic",
            "spread": "full turn",
            "turn": "300 °",
            "moves": "1",
            "order": "leaving first",
            "limit": "40 °",
            "points": "5 °",
            "process": "as the model",
            "material": "brass",
            "bore": "8 mm",
        }.items()
    },
    "drum-diameter": "60 mm",
    "drum-wall": "2 mm",
    "disc-radius": "18 mm",
    "disc-grooves": "2",
    "disc-land": "2 mm",
    "disc-rim": "1.5 mm",
    "disc-thickness": "8 mm",
    "disc-x": "27 mm",
    "disc-y": "-75 mm",
    "disc-z": "40 mm",
    "disc-pins": "left",
    "disc-front": "+y",
    "dogs": [
        "{kind: tall, count: 6, angle: 14 °, height: 3 mm, back: 35 °, at: -10 °}",
        "{kind: short, count: 6, angle: 11 °, height: 1.5 mm, at: 10 °}",
    ],
    "dog-rings": [
        '{ring: lower, radius: 18.6 mm, width: 4 mm, window: 38 °, inside: "first, driven", depth: 4 mm, '
        "slopes: leading}"
    ],
    "dog-angle-at": "root",
    "dog-across": "0.2 mm",
    "dog-space": "13.2 mm",
    "dog-sleeve": "6.6 mm",
    "dog-travel": "3.3 mm",
    "dog-shear": "70 MPa",
    "dog-pressure": "100 MPa",
    "dog-bending": "100 MPa",
    "dog-share": "0.5..1",
    "dog-process": "as the model",
    "forks": [
        "{fork: upper, sleeve: 45 mm, groove_bottom: 40 mm, station: sleeve, track: one}",
        "{fork: lower, sleeve: 45 mm, groove_bottom: 40 mm, track: two}",
    ],
    "fork-groove": "2.6 mm",
    "fork-play": "0.2 mm",
    "fork-play-under": "0.3 mm",
    "fork-sleeve": "6.6 mm",
    "fork-arms": "4 mm",
    "fork-rail": "5 mm",
    "fork-boss": "9 mm",
    "fork-rails": [
        "{rail: upper, at_x: 8 mm, at_y: -60 mm, left: 18 mm, right: 18 mm}",
        "{rail: lower, at_x: 30 mm, at_y: -60 mm}",
    ],
    "fork-process": "as the model",
    "fork-material": "brass sheet",
    "hub-seats": [
        "{shaft: input, part: first, size: 12 mm, held: runs free, fit: E8/h6}",
        "{shaft: input, part: sleeve, size: 12 mm, held: is keyed, fit: K7/h6}",
        "{shaft: output, part: first, size: 14 mm, held: is keyed, fit: H7/h6}",
    ],
    "hub-splines": ["{hub: sleeve, spline: 6 × 26 × 30, ring: lower}"],
    "hub-material": "steel",
    "sleeve-material": "brass",
    "hub-process": "as the model",
    "casing-walls": ["{wall: front, side: left, thickness: 14 mm}", "{wall: rear, side: right, thickness: 14 mm}"],
    "casing-bores": ["{axis: idler, size: 8 mm, hole: H7}", "{axis: drain, size: 6 mm, at_x: 20 mm, at_y: 60 mm}"],
    "casing-rail-hole": "F8",
    "casing-detents": [
        "{detent: one, rail: upper, ball: 3 mm, z: -7 mm, side: -y}",
        "{detent: places, rail: disc, ball: 4 mm, side: +x}",
    ],
    "casing-process": "as the model",
    "casing-material": "PETG",
    "full-size": ["{number: gear-wheels/first-driven/tip, measured: measurements/hub-width}"],
    "more-parts": ["{part: guard, made_by: bought}"],
}
# What each parameter is changed to; of a table, its rows.
OTHERWISE = {
    "scale": "0.31",
    "process": "printed from resin",
    "least-wall": "0.45 mm",
    "least-tip": "0.35 mm",
    "least-gap": "0.04 mm",
    "gear-module": "1.501 mm",
    "centre-distance": "54.5 +0.03/-0 mm",
    "gear-backlash": "0.07..0.11 mm",
    "gear-shifts": "none on the driving wheel",
    "gear-profile": "D",
    "gear-pressure": "20.5 °",
    "gear-helix": "2 °",
    "gear-process": "printed from powder",
    "gear-material": "steel",
    "gear-pairs": [WHOLE["gear-pairs"][0].replace("53", "54"), WHOLE["gear-pairs"][1]],
    "gear-blanks": [
        "{gear: first, face: 14.5 mm, driver_bore: 13 mm, driven_bore: 14 mm}",
        "{gear: second, face: 14 mm, driver_bore: 12 mm, driven_bore: 15 mm}",
    ],
    "shaft-span": "60.5 ± 0.1 mm",
    "shaft-stations": [one.replace("length: 15", "length: 15.2") for one in WHOLE["shaft-stations"]],
    "shaft-float": "0.2..0.3 mm",
    "shafts": [one.replace("30 mm", "31 mm").replace("11 mm", "11.5 mm") for one in WHOLE["shafts"]],
    "shaft-axes": [one.replace("36 mm", "35 mm") for one in WHOLE["shaft-axes"]],
    "shaft-process": "printed from powder",
    "bearings": [one.replace("series 10", "series 02") for one in WHOLE["bearings"]],
    "bearing-fits": ["{place: free gears, size: 15 mm, fit: H8/f7}"],
    **{
        f"{kind}-{name}": value
        for kind in ("drum", "disc")
        for name, value in {
            "tracks": ['{track: one, stands: "0 + 0 -", pin_at: 5 °}', '{track: two, stands: "0 - 0 +"}'],
            "travel": "3.4 mm",
            "pin": "2.5 mm",
            "play": "0.12 mm",
            "depth": "1.9 mm",
            "dwell": "0.25",
            "law": "cycloidal",
            "spread": "part of a turn",
            "turn": "290 °",
            "moves": "2",
            "order": "arriving first",
            "limit": "5 °",
            "points": "6 °",
            "process": "printed from powder",
            "material": "steel",
            "bore": "9 mm",
        }.items()
    },
    "drum-diameter": "61 mm",
    "drum-wall": "2.1 mm",
    "disc-radius": "19 mm",
    "disc-grooves": "1",
    "disc-land": "2.1 mm",
    "disc-rim": "1.6 mm",
    "disc-tracks": ['{track: one, stands: "0 + 0 -"}', '{track: two, stands: "0 - 0 +"}'],
    "disc-thickness": "8.1 mm",
    "disc-x": "28 mm",
    "disc-y": "-76 mm",
    "disc-z": "41 mm",
    "disc-pins": "right",
    "disc-front": "-y",
    "dogs": [
        "{kind: tall, count: 5, angle: 15 °, height: 2.9 mm, back: 30 °, at: -9 °}",
        "{kind: short, count: 5, angle: 12 °, height: 1.4 mm, at: 9 °}",
    ],
    "dog-rings": [
        '{ring: lower, radius: 18.7 mm, width: 4.1 mm, window: 39 °, inside: "first, driven", depth: 4.1 mm, '
        "slopes: trailing}"
    ],
    "dog-angle-at": "tip",
    "dog-across": "0.3 mm",
    "dog-space": "13.1 mm",
    "dog-sleeve": "6.5 mm",
    "dog-travel": "2.9 mm",
    "dog-shear": "10 MPa",
    "dog-pressure": "10 MPa",
    "dog-bending": "10 MPa",
    "dog-share": "0.6..1",
    "dog-process": "printed from powder",
    "forks": [one.replace("45 mm", "46 mm").replace("40 mm", "41 mm") for one in WHOLE["forks"]],
    "fork-groove": "2.7 mm",
    "fork-play": "0.25 mm",
    "fork-play-under": "0.35 mm",
    "fork-sleeve": "6.7 mm",
    "fork-arms": "4.1 mm",
    "fork-rail": "5.1 mm",
    "fork-boss": "9.1 mm",
    "fork-rails": [one.replace("-60", "-61").replace("18 mm", "19 mm") for one in WHOLE["fork-rails"]],
    "fork-process": "printed from powder",
    "fork-material": "steel sheet",
    "hub-seats": [one.replace("E8/h6", "E9/h9").replace("H7/h6", "K7/h6") for one in WHOLE["hub-seats"]],
    "hub-splines": ["{hub: sleeve, spline: 6 × 28 × 32, ring: lower}"],
    "hub-material": "brass",
    "sleeve-material": "steel",
    "hub-process": "printed from powder",
    "casing-walls": [one.replace("14 mm", "15 mm") for one in WHOLE["casing-walls"]],
    "casing-bores": ["{axis: idler, size: 9 mm, hole: N7}", "{axis: drain, size: 6 mm, at_x: 21 mm, at_y: 61 mm}"],
    "casing-rail-hole": "H8",
    "casing-detents": [
        "{detent: one, rail: upper, ball: 4 mm, z: -8 mm, side: +x}",
        "{detent: places, rail: disc, ball: 3 mm, side: -x}",
    ],
    "casing-process": "printed from powder",
    "casing-material": "brass",
    "full-size": ["{number: gear-wheels/first-driven/root, measured: measurements/hub-width}"],
    "more-parts": ["{part: guard, count: 2, made_by: bought}"],
}


def fixes(lines: Mapping[str, Any]) -> str:
    """Return the block of `fixes` with these lines."""
    told = []
    for name, value in lines.items():
        rows = "".join(f"\n    - {row}" for row in value) if isinstance(value, list) else f" {value}"
        told.append(f"\n  {name}:{rows}")
    return "".join(told) + "\n"
