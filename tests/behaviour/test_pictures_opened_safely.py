"""Photographs as they come: whole ones are read, damaged, huge and hostile ones get a clear word and harm nothing."""

from __future__ import annotations

import io
import os
import struct
import zlib
from pathlib import Path

import pytest
from PIL import Image

from ledger.errors import PhotoRefused
from ledger.photo.pictures import MOST_BYTES, MOST_PIXELS, find, open_picture
from ledger.photo.reencoding import without_metadata
from tests.measured_ledgers import SECRET, encoded, jpeg, photograph

KINDS = ("JPEG", "PNG", "TIFF", "WEBP")


def refusal(given: bytes | Path, name: str = "photographs/view.jpg", whole: bool = True) -> str:
    """Return what a refused picture is told, with what every refusal must say checked."""
    with pytest.raises(PhotoRefused) as refused:
        open_picture(given, name, whole)
    said = str(refused.value)
    assert said.startswith(f"{name}: given ")
    assert "; expected " in said
    assert said.rstrip().endswith(".")
    return said


@pytest.mark.parametrize("kind", KINDS)
def test_pictures_of_the_stated_formats_are_read(kind: str) -> None:
    """JPEG, PNG, TIFF and WebP open with their size, whatever the name says."""
    found = open_picture(encoded(photograph(90, 60), kind), "any.name")
    assert (found.width, found.height, found.format) == (90, 60, kind)
    assert found.image is not None


def test_focal_length_and_date_are_read_and_a_turned_picture_is_turned() -> None:
    """Metadata tell the 35 mm-equivalent and the date; sizes are those of the picture as it is shown."""
    found = open_picture(encoded(photograph(90, 60), orientation=6), "turned.jpg")
    assert (found.width, found.height) == (60, 90)
    assert found.image is not None
    assert found.image.size == (60, 90)
    assert (found.focal, found.taken) == (26.0, "2031-05-17 10:30:00")
    assert open_picture(encoded(photograph(90, 60), orientation=6), "turned.jpg", whole=False) == found


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("orientation", range(1, 9))
def test_every_format_is_turned_alike(kind: str, orientation: int) -> None:
    """However it is held, head and pixels agree on the size, and the size is the one that is shown."""
    given = encoded(photograph(90, 60), kind, orientation=orientation)
    head, found = open_picture(given, "turned", whole=False), open_picture(given, "turned")
    assert found.image is not None
    assert found.image.size == (found.width, found.height) == ((60, 90) if orientation > 4 else (90, 60))
    assert head == found


def test_the_focal_length_follows_from_the_size_of_the_sensor() -> None:
    """6 mm before a sensor of 900 pixels at 5,000 an inch, 4.572 mm across, is 47.2 mm before 36 mm."""
    image = photograph(900, 600)
    told = image.getexif()
    inner = told.get_ifd(0x8769)
    inner[0x920A], inner[0xA20E], inner[0xA210] = 6.0, 5000.0, 2
    out = io.BytesIO()
    image.save(out, "JPEG", exif=told)
    assert open_picture(out.getvalue(), "sensor.jpg").focal == pytest.approx(6 * 36 / (900 / 5000 * 25.4), abs=0.05)


def test_a_picture_cut_off_anywhere_is_refused_or_whole() -> None:
    """A JPEG cut at any of thirty places gets a word and no other error."""
    whole = encoded(photograph(300, 200))
    for share in range(1, 30):
        cut = whole[: len(whole) * share // 30]
        assert "damaged or cut off" in refusal(cut) or "no picture" in refusal(cut)


@pytest.mark.parametrize("kind", KINDS)
def test_a_picture_with_spoilt_bytes_is_refused_or_opened(kind: str) -> None:
    """Bytes turned over, 60 ways for each format: a picture or a refusal, and nothing else."""
    whole = bytearray(encoded(photograph(120, 80), kind))
    refused = 0
    for start in range(0, len(whole), max(1, len(whole) // 60)):
        spoilt = bytearray(whole)
        for place in range(start, min(start + 5, len(spoilt))):
            spoilt[place] ^= 0xFF
        try:
            open_picture(bytes(spoilt), "spoilt")
        except PhotoRefused:
            refused += 1
    assert refused > 0


def png_of(width: int, height: int, rows: bytes) -> bytes:
    """Return a PNG of one bit a pixel that claims a size."""

    def chunk(name: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    head = struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(rows)) + chunk(b"IEND", b"")


def test_pictures_made_to_burst_are_refused_before_they_are_unpacked() -> None:
    """A few bytes that claim a huge picture, and a small file packed with too many pixels, are told by their head."""
    for whole in (True, False):
        assert f"{MOST_PIXELS / 1e6:g} million" in refusal(png_of(100_000, 100_000, b"\0" * 100), whole=whole)
        assert "30000 on a side" in refusal(png_of(40_000, 1, b"\0" * 5001), whole=whole)
        assert "packed into" in refusal(png_of(7000, 7000, b"\0" * 876 * 7000), whole=whole)


@pytest.mark.parametrize("kind", [b"zTXt", b"iTXt", b"iCCP"])
def test_words_and_colours_made_to_burst_are_refused(kind: bytes) -> None:
    """Metadata packed into a few kilobytes that unpack to a hundred megabytes are not unpacked."""
    words = b"a\0\1\0\0\0" if kind == b"iTXt" else b"a\0\0"
    packed = words + zlib.compress(bytes(100_000_000))
    chunk = struct.pack(">I", len(packed)) + kind + packed + struct.pack(">I", zlib.crc32(kind + packed))
    plain = encoded(photograph(9, 6), "PNG")
    assert "too large" in refusal(plain[:33] + chunk + plain[33:])


def test_a_file_that_is_too_large_is_not_read(tmp_path: Path) -> None:
    """A sparse file of more than the stated bytes is refused at once."""
    huge = tmp_path / "huge.jpg"
    with huge.open("wb") as file:
        file.truncate(MOST_BYTES + 1)
    assert "100 MB" in refusal(huge)
    assert "empty file" in refusal(b"")


@pytest.mark.parametrize(
    ("given", "told"),
    [
        (b"GIF89a" + b"\0" * 40, "a GIF"),
        (b"%PDF-1.7 " + b"\0" * 40, "a PDF"),
        (b"\0\0\0\x18ftypheic" + b"\0" * 40, "HEIC"),
        (b"<svg onload='x'/>" * 3, "no picture"),
        (b"#!/bin/sh\nrm", "no picture"),
    ],
)
def test_other_files_are_told_for_what_they_are(given: bytes, told: str) -> None:
    """A wrong type is named, whatever its ending."""
    assert told in refusal(given)


def test_paths_lead_to_files_inside_the_folder_only(tmp_path: Path) -> None:
    """Links, `..`, roots, folders and pipes are refused; a file inside is found, also by a link that stays inside."""
    folder, outside = tmp_path / "case", tmp_path / "outside.jpg"
    folder.mkdir()
    outside.write_bytes(jpeg())
    (folder / "view.jpg").write_bytes(jpeg())
    (folder / "inner.jpg").symlink_to("view.jpg")
    (folder / "link.jpg").symlink_to(outside)
    (folder / "away").symlink_to(tmp_path)
    (folder / "loop.jpg").symlink_to("loop.jpg")
    (folder / "sub").mkdir()
    os.mkfifo(folder / "pipe.jpg")
    assert find(folder, "view.jpg") == (folder / "view.jpg").resolve()
    assert find(folder, "inner.jpg") == (folder / "view.jpg").resolve()
    for name in ("link.jpg", "away/outside.jpg", "../outside.jpg", str(outside), "sub/../../outside.jpg"):
        with pytest.raises(PhotoRefused, match="leads out of the investigation's folder"):
            find(folder, name)
    for name in ("loop.jpg", "none.jpg", "sub", "pipe.jpg", "\0", "x" * 5000):
        with pytest.raises(PhotoRefused, match="expected"):
            find(folder, name)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("longest", [None, 50])
def test_a_picture_encoded_anew_keeps_its_pixels_and_nothing_else(kind: str, longest: int | None) -> None:
    """Neither words, place, date nor any tag of the metadata is left; a turned picture stays as it was shown."""
    given = encoded(photograph(120, 80), kind, orientation=8)
    assert SECRET.encode() in given
    content, width, height = without_metadata(given, "view", longest)
    with Image.open(io.BytesIO(content)) as image:
        image.load()
        assert not dict(image.getexif()) or kind == "TIFF"
        assert SECRET not in str(image.info)
        assert not {"exif", "xmp", "icc_profile", "comment", "photoshop"} & image.info.keys()
        assert image.size == (width, height) == ((80, 120) if longest is None else (33, 50))
    for left in (SECRET.encode(), b"2031", b"Exif", b"GPS"):
        assert left not in content


def test_clear_pictures_are_laid_on_white_and_grey_ones_stay_grey() -> None:
    """A see-through picture becomes a white one as JPEG; sixteen bits become eight."""
    out = io.BytesIO()
    Image.new("RGBA", (20, 10), (0, 0, 0, 0)).save(out, "PNG")
    content, _, _ = without_metadata(out.getvalue(), "clear", longest=50)
    with Image.open(io.BytesIO(content)) as image:
        assert image.getpixel((5, 5)) == (255, 255, 255)
    out = io.BytesIO()
    Image.new("I;16", (20, 10), 0x8000).save(out, "PNG")
    content, _, _ = without_metadata(out.getvalue(), "deep")
    with Image.open(io.BytesIO(content)) as image:
        assert image.mode == "L"
        assert image.getpixel((5, 5)) == 128
