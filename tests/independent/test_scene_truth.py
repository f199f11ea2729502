"""The demo photographs' truth file against plain geometry: points from dimensions, pixels from cameras, files as said.

Nothing here uses the scene's own modules: each point is worked out again from the parts' dimensions and each pixel
again from the camera, so that the file, the pictures and the scene cannot drift apart unseen.
"""

from __future__ import annotations

import json
from itertools import pairwise
from math import cos, hypot, pi, radians, sin, tan
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

SITE = Path(__file__).resolve().parents[2] / "site"
TRUTH = json.loads((SITE / "scene" / "truth.json").read_text(encoding="utf-8"))
PARTS, CAMERAS, PICTURES = TRUTH["parts"], TRUTH["cameras"], TRUTH["pictures"]
# Pixels are written to 0.0001 px; the pictures' tests ask for 0.01.
NEAR, LARGEST = 0.01, 400_000


def on_circle(part, place, radius, degrees):
    """A point on a circle about a shaft along x, the angle counted from the left (-y) upwards."""
    return (place, part["y"] - radius * cos(radians(degrees)), part["z"] + radius * sin(radians(degrees)))


def point(feature):
    """The point of a feature, from the dimensions of its part alone."""
    part, kind = PARTS[feature["part"]], feature["kind"]
    if kind == "tooth-tip":
        tip = part["module"] * part["teeth"] / 2 + part["module"]
        return on_circle(part, feature["x"], tip, part["phase"] + 360 / part["teeth"] * feature["tooth"])
    if kind == "round":
        return on_circle(part, feature["x"], part[feature["radius"]], feature["angle"])
    if kind == "axis":
        return feature["x"], part["y"], part["z"]
    if kind == "across":
        radius, turn = part.get(feature["radius"], 0.0), radians(feature["angle"])
        return part["x"] + radius * cos(turn), feature["y"], part["z"] + radius * sin(turn)
    if kind == "bolt" and "places" in part:
        along, high = part["places"][feature["bolt"]]
        return along, part["y"], high
    if kind == "bolt":
        turn = radians(part["first"]) + 2 * pi * feature["bolt"] / part["bolts"]
        return part["x"] + part["bolt_circle"] * cos(turn), part["y"], part["z"] + part["bolt_circle"] * sin(turn)
    if kind == "tick":
        return part["left"] + feature["mark"], part["y"], part[part["edge"]]
    if kind == "edge":
        return part[feature["end"]], part[feature["side"]], feature["z"]
    assert kind == "corner"
    along, high = feature["corner"]
    return part[("left", "right")[along]], feature.get("y", part.get("y")), part[("bottom", "top")[high]]


def pixel(camera, place):
    """Where a point falls: pinhole, then Brown's two radial terms, then focal length and principal point."""
    turn = np.array([camera["right"], camera["down"], camera["forward"]])
    right, down, ahead = turn @ (np.array(place) - camera["place"])
    x, y = right / ahead, down / ahead
    square = x * x + y * y
    stretch = 1 + camera["k1"] * square + camera["k2"] * square**2
    return camera["middle"][0] + camera["focal"] * stretch * x, camera["middle"][1] + camera["focal"] * stretch * y


def drift(feature, camera):
    """How far a feature's written pixel lies from where its dimensions put it [px]."""
    x, y = pixel(camera, point(feature))
    return hypot(x - feature["pixel"][0], y - feature["pixel"][1])


def fault(file):
    """What is wrong with a stored picture, or an empty text."""
    if not file.is_file():
        return f"{file.name} is missing"
    if file.stat().st_size >= LARGEST:
        return f"{file.name} is {file.stat().st_size} bytes"
    with Image.open(file) as picture:
        told = dict(picture.getexif()) or {"exif", "comment", "icc_profile", "xmp"} & set(picture.info)
        if picture.format != "JPEG" or told:
            return f"{file.name} is no JPEG, or carries metadata"
        camera = CAMERAS[file.stem]
        if picture.size != (camera["width"], camera["height"]):
            return f"{file.name} is {picture.size}"
        picture.load()
    return ""


@pytest.mark.parametrize("name", PICTURES)
def test_pixels_follow_from_dimensions_and_camera(name):
    """Every feature lies where its part's dimensions and its picture's camera put it, within 0.01 px."""
    features = PICTURES[name]["features"]
    assert features
    assert max(drift(feature, CAMERAS[name]) for feature in features) < NEAR
    for feature in features:
        assert point(feature) == pytest.approx(feature["point"], abs=1e-5)


def test_a_drifted_truth_is_noticed():
    """A dimension changed by a tenth of a millimetre, or a pixel by a fiftieth, is noticed."""
    camera = CAMERAS["inspection-opening"]
    feature = next(f for f in PICTURES["inspection-opening"]["features"] if f["kind"] == "round")
    assert drift(feature | {"x": feature["x"] + 0.1}, camera) > NEAR
    assert drift(feature | {"pixel": [feature["pixel"][0] + 0.02, feature["pixel"][1]]}, camera) > NEAR


@pytest.mark.parametrize("name", PICTURES)
def test_pictures_are_small_plain_jpegs(name):
    """Each picture is a JPEG of the stated size, under 400 kB, without EXIF or any other metadata."""
    assert fault(SITE / "pages" / "photographs" / PICTURES[name]["file"]) == ""


def test_a_picture_with_metadata_or_of_another_size_is_noticed(tmp_path):
    """A missing file, a foreign size and an EXIF record are each noticed."""
    file = tmp_path / "left-side-outside.jpg"
    assert "missing" in fault(file)
    Image.new("RGB", (1200, 801)).save(file)
    assert "1200, 801" in fault(file)
    exif = Image.Exif()
    exif[0x010E] = "made up"
    Image.new("RGB", (1200, 800)).save(file, exif=exif)
    assert "metadata" in fault(file)


@pytest.mark.parametrize("name", CAMERAS)
def test_camera_axes_are_square(name):
    """A camera's right, down and forward are of unit length, square to one another and right-handed."""
    axes = np.array([CAMERAS[name][axis] for axis in ("right", "down", "forward")])
    assert axes @ axes.T == pytest.approx(np.eye(3), abs=1e-9)
    assert np.linalg.det(axes) == pytest.approx(1, abs=1e-9)


def test_gears_mesh_and_fit_between_the_shoulders():
    """All seven pairs have 72 teeth, centres 180 mm apart, and the wheels' teeth meet the pinions' spaces."""
    for gear in "1234567":
        wheel, pinion = PARTS[f"wheel-{gear}"], PARTS[f"pinion-{gear}"]
        assert wheel["teeth"] + pinion["teeth"] == 72
        assert wheel["pitch_radius"] + pinion["pitch_radius"] == pytest.approx(pinion["z"] - wheel["z"])
        up = (90 - wheel["phase"]) / 360 * wheel["teeth"] % 1
        down = (270 - pinion["phase"]) / 360 * pinion["teeth"] % 1
        # Both turn the same way here as seen along x, so the two shares of a pitch fill up to a half.
        assert (up + down) % 1 == pytest.approx(0.5, abs=1e-6)
    stack = sorted((PARTS[f"wheel-{gear}"] for gear in "1234567R"), key=lambda part: part["front"])
    assert sum(part["face"] for part in stack) == 318
    assert all(a["rear"] < b["front"] for a, b in pairwise(stack))
    assert stack[0]["front"] > 0
    assert stack[-1]["rear"] < 512


def test_sleeves_reach_their_windows():
    """At home a tall dog stands in its window, short dog beside it, inside the window's angle and depth."""
    for sleeve in ("S1", "S2", "S3", "S4"):
        part = PARTS[sleeve]
        share = part["short_offset"] + part["short_angle"]
        for gear in PARTS.values():
            window = gear.get("windows", {})
            if window.get("sleeve") != sleeve:
                continue
            side = gear[window["side"]]
            reach = part["body"] / 2 + part["tall_height"] + part["full_travel"]
            assert 0 < reach - abs(side - part["middle"]) < window["depth"]
            assert share < window["angle"] < window["pitch"]
            assert window["inner"] < part["dog_inner"] < part["dog_outer"] < window["outer"] < gear["root_radius"]
            assert window["angle"] - part["tall_angle"] == 24
    assert tan(radians(PARTS["S1"]["back_slope"])) * PARTS["S1"]["tall_height"] == pytest.approx(7.0, abs=0.01)


def test_stated_scales_hold():
    """Nearly 5 px to the millimetre at the sleeve, 5.5 at the opening, 1.45 at the closed box's flanges."""

    def scale(name, first, second):
        camera = CAMERAS[name]
        return np.hypot(*np.subtract(pixel(camera, second), pixel(camera, first))) / abs(second[0] - first[0])

    assert scale("inspection-opening", (39, -165, 92), (229, -165, 92)) == pytest.approx(5.5, abs=0.06)
    assert scale("inspection-opening", (67, -55, 51), (89, -55, 51)) == pytest.approx(4.9, abs=0.06)
    assert scale("left-side-outside", (-64, -170, 80), (678, -170, 80)) == pytest.approx(1.45, abs=0.01)
