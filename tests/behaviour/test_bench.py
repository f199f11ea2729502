"""The bench's server: whom it answers, what it shows and what it measures."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from PIL import Image
from starlette.testclient import TestClient

from ledger.bench.serving import MOST_BYTES, bench
from ledger.bench.showing import FIRST_LOOK
from ledger.photo.methods import METHODS
from tests.bench_calls import DRAFT, HERE, PICKS, PORT, TOKEN, fields
from tests.bench_calls import client as client
from tests.bench_calls import root as root
from tests.measured_ledgers import HEIGHT, PICTURE, RECORDING, SECRET, WIDTH, encoded, photograph


def test_the_page_and_all_it_loads_come_from_the_bench_itself(client: TestClient) -> None:
    """Every file of the page is served, names no other host, and holds no script or style in the page."""
    page = client.get("")
    assert page.status_code == 200
    assert "'unsafe" not in page.headers["content-security-policy"]
    assert page.headers["referrer-policy"] == "no-referrer"
    files = sorted((Path(__file__).parents[2] / "ledger" / "bench" / "assets").iterdir())
    assert {".js", ".css", ".html"} <= {file.suffix for file in files}
    for file in files:
        served = client.get(f"assets/{file.name}")
        assert served.status_code == 200, file.name
        text = served.text.replace("http://www.w3.org/2000/svg", "")
        assert "http://" not in text, file.name
        assert "https://" not in text, file.name
    assert "<style" not in page.text
    assert " style=" not in page.text
    assert client.get("assets/../serving.py").status_code in (403, 404)
    assert client.get("assets/%2e%2e%2fserving.py").status_code == 404


@pytest.mark.parametrize(
    ("path", "headers"),
    [
        ("/", {}),
        ("/another-token/", {}),
        ("/another-token/listing", {}),
        (f"/{TOKEN}x/listing", {}),
        (f"//{TOKEN}/listing", {}),
        (f"/{TOKEN}/listing", {"host": f"bench.example:{PORT}"}),
        (f"/{TOKEN}/listing", {"host": "127.0.0.1"}),
        (f"/{TOKEN}/listing", {"host": f"localhost:{PORT}"}),
        (f"/{TOKEN}/listing", {"origin": "http://other.example"}),
        (f"/{TOKEN}/listing", {"origin": "null"}),
        (f"/{TOKEN}/listing", {"origin": f"http://127.0.0.1:{PORT + 1}"}),
        (f"/{TOKEN}/listing", {"sec-fetch-site": "cross-site"}),
        (f"/{TOKEN}/listing", {"sec-fetch-site": "same-site"}),
    ],
)
@pytest.mark.parametrize("method", ["GET", "POST", "OPTIONS", "PUT"])
def test_others_are_refused_in_plain_words(root: Path, path: str, headers: dict[str, str], method: str) -> None:
    """Without the token, by another name, or from another site, the answer is 403 and says what to do."""
    answer = TestClient(bench(root, TOKEN, PORT), base_url=HERE).request(method, path, headers=headers)
    assert answer.status_code == 403
    assert "Open the address that `witness bench` printed" in answer.text
    assert TOKEN not in answer.text


def test_only_json_of_sensible_size_is_taken(client: TestClient) -> None:
    """A form, which any page may send, is refused; so are too much, no JSON, and numbers that are none."""
    assert client.post("save", data={"kind": "measurement"}).status_code == 415
    assert client.post("save", content=b"{}", headers={"content-type": "text/plain"}).status_code == 415
    json = {"content-type": "application/json"}
    assert client.post("save", content=b" " * (MOST_BYTES + 1), headers=json).status_code == 413
    assert client.post("save", content=b"{", headers=json).status_code == 400
    assert client.post("save", content=b'{"kind": NaN}', headers=json).status_code == 400
    assert client.post("save", content=b"[" * 100_000, headers=json).status_code == 400
    assert client.post("measure", json={"by": "scale-bar", "surprise": 1}).status_code == 422


def test_the_listing_has_what_the_forms_are_made_of(client: TestClient) -> None:
    """Sources say whether their file is here; every method is declared; entries with marks can be opened again."""
    found = client.get("listing").json()
    assert {one["name"]: one["here"] for one in found["sources"]} == {
        "bench-left": False, "drive": True, "letter": False, "view": True,
    }  # fmt: skip
    assert found["files"] == [PICTURE, RECORDING]
    assert [one["name"] for one in found["methods"]] == [method.name for method in METHODS]
    assert {one["ref"] for one in found["entries"]} == {"measurements/sleeve", "evidence/sleeve-groove"}
    assert [one["name"] for one in found["questions"][0]["rivals"]] == ["drum", "face-cam"]


@pytest.mark.parametrize(
    "name",
    ["", "../secret.jpg", "/etc/passwd", "photographs/../../secret.jpg", "link.jpg", "witness.sqlite", "photographs",
     "no.jpg", "a\0b.jpg", "<img src=x onerror=alert(1)>.jpg", "x" * 5_000],
)  # fmt: skip
@pytest.mark.parametrize("path", ["picture", "photograph", "recording"])
def test_hostile_file_names_are_refused(client: TestClient, root: Path, name: str, path: str) -> None:
    """Nothing outside of the folder, and nothing that is no picture, is shown; the answer says why."""
    Image.new("RGB", (9, 9)).save(root.parent / "secret.jpg")
    (root / "link.jpg").symlink_to(root.parent / "secret.jpg")
    answer = client.get(path, params={"file": name})
    assert answer.status_code == 422
    assert answer.json()["wrong"][0]["remedy"]


def test_a_photograph_is_shown_as_it_is_or_made_anew(client: TestClient, root: Path) -> None:
    """The file itself is served; a TIFF and a first look are made from the pixels alone."""
    assert client.get("photograph", params={"file": PICTURE}).content == (root / PICTURE).read_bytes()
    told = client.get("picture", params={"file": PICTURE}).json()
    assert (told["width"], told["height"], told["focal"], told["taken"][:10]) == (WIDTH, HEIGHT, 26.0, "2031-05-17")
    image = photograph(2_000, 1_500)
    (root / "photographs" / "turned.jpg").write_bytes(encoded(image, orientation=6))
    image.save(root / "photographs" / "plain.tif")
    look = client.get("photograph", params={"file": "photographs/turned.jpg", "as": "first-look"})
    small = Image.open(io.BytesIO(look.content))
    assert small.size == (FIRST_LOOK * 3 // 4, FIRST_LOOK)
    assert SECRET.encode() not in look.content
    tiff = client.get("photograph", params={"file": "photographs/plain.tif"})
    assert tiff.headers["content-type"] == "image/jpeg"
    assert Image.open(io.BytesIO(tiff.content)).size == (2_000, 1_500)


def test_what_browsers_would_turn_each_in_its_own_way_is_made_anew(client: TestClient, root: Path) -> None:
    """A PNG that is held upside down is served as it is to be seen; a recording is served as it is."""
    image = Image.new("RGB", (60, 40), "black")
    image.putpixel((0, 0), (255, 255, 255))
    exif = image.getexif()
    exif[0x0112] = 3
    image.save(root / "photographs" / "held.png", exif=exif)
    shown = client.get("photograph", params={"file": "photographs/held.png"})
    assert shown.headers["content-type"] == "image/jpeg"
    corner = Image.open(io.BytesIO(shown.content)).convert("L").getpixel((59, 39))
    assert isinstance(corner, int)
    assert corner > 60
    heard = client.get("recording", params={"file": RECORDING})
    assert heard.content == (root / RECORDING).read_bytes()


def test_a_measurement_follows_the_picks(client: TestClient) -> None:
    """What the page shows is what the entry of the same picks says."""
    found = client.post("measure", json={**PICKS, "count": 10_000}).json()["found"]
    assert found["quantity"] == "17.4 ± 2.0 mm"
    assert found["low"] < 17.4 < found["high"]
    assert found["parts"][0]["cause"] == "tilt"
    assert found["parts"][0]["half"] == max(one["half"] for one in found["parts"])


def test_what_is_wrong_is_told_at_its_field(client: TestClient) -> None:
    """What is not marked yet is told apart from what is wrong."""
    empty = client.post("measure", json={**PICKS, "points": {}, "known": {}}).json()["wrong"]
    assert [one["missing"] for one in empty] == [True, True, True]
    spoiled = {**PICKS, "points": {**PICKS["points"], "part": [[1, 2], [9_999, 3]]}, "known": {"bar": "24 kg"}}
    wrong = client.post("measure", json=spoiled).json()["wrong"]
    assert [(one["field"], one["missing"]) for one in wrong] == [("points.part.2", False), ("known.bar", False)]
    for given, field in (
        ({"by": "guessing"}, "by"),
        ({"doubt": "some"}, "doubt"),
        ({"lens": {"bend": "2 mm"}}, "lens.bend"),
    ):
        assert fields(client.post("measure", json={**PICKS, **given})) == [field]


def test_what_measuring_refuses_is_told_at_the_field_it_is_about(client: TestClient) -> None:
    """A length or focal length that cannot be is told where it is stated, as it is written there, also on saving."""
    for known, field in (("bar", "known.bar"), ("focal", "known.focal")):
        for given in ("0 mm", "100 ± 200 mm"):
            picks = {**PICKS, "known": {**PICKS["known"], known: given}}
            measured = client.post("measure", json=picks).json()["wrong"]
            assert [(one["field"], one["given"]) for one in measured] == [(field, f"`{given}`")]
            saved = client.post("save", json={**DRAFT, "picked": picks}).json()["wrong"]
            assert [(one["field"], one["given"]) for one in saved] == [(f"picked.{field}", f"`{given}`")]
    bent = client.post("measure", json={**PICKS, "lens": {"bend": "9"}}).json()["wrong"]
    assert "view" not in {one["field"] for one in bent}
    for doubt in ("1e9", "0", "-1", "some"):
        (one,) = client.post("measure", json={**PICKS, "doubt": doubt}).json()["wrong"]
        assert (one["field"], one["given"]) == ("doubt", f"`{doubt}`")
        assert "between 0.000001 and 1000000" in one["expected"]


def test_what_is_too_long_is_told_in_plain_words(client: TestClient) -> None:
    """A title of 5000 letters is refused at its field, with how much there may be and how much is too much."""
    (one,) = client.post("draft", json={**DRAFT, "title": "a" * 5_000}).json()["wrong"]
    assert (one["field"], one["given"], one["expected"]) == ("title", "5000 characters", "2000 characters at most")
    assert one["remedy"] == "Shorten it by 3000."


def test_a_result_of_nearly_all_doubt_says_so(client: TestClient) -> None:
    """An interval wider than twice the value is told with what it comes from; a narrow one is not, nor refused."""
    assert client.post("measure", json=PICKS).json()["found"]["doubtful"] == ""
    known = {"bar": "24 ± 11 mm", "depth": "0..1000 mm"}
    found = client.post("measure", json={**PICKS, "known": known, "doubt": "45"}).json()["found"]
    assert found["high"] - found["low"] > 2 * found["estimate"]
    assert found["doubtful"].startswith("This tells next to nothing")
    assert found["parts"][0]["meaning"] in found["doubtful"]


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_picture_that_was_cut_off_is_refused_at_once(client: TestClient, root: Path, kind: str) -> None:
    """Its head is sound, but half of it is missing: neither its measures nor the picture are given."""
    name = f"photographs/cut.{kind.lower()}"
    out = io.BytesIO()
    photograph().save(out, kind)
    whole = out.getvalue()
    for share, status in ((1.0, 200), (0.5, 422)):
        (root / name).write_bytes(whole[: int(share * len(whole))])
        for path in ("picture", "photograph"):
            answer = client.get(path, params={"file": name})
            assert answer.status_code == status
            assert status == 200 or "damaged or cut off" in answer.json()["wrong"][0]["given"]


def test_a_plane_is_seen_square_on(client: TestClient) -> None:
    """The known rectangle comes out as one, with its sides in the stated proportion, under any lens."""
    corners = [[300, 200], [900, 260], [860, 640], [330, 560]]
    picks = {
        "by": "plane-length", "file": PICTURE, "points": {"corners": corners, "part": [[400, 300], [800, 500]]},
        "known": {"width": "60 mm", "height": "40 mm"},
    }  # fmt: skip
    brown = {"fx": "1000", "fy": "1000", "cx": "600", "cy": "400", "k1": "-0.1"}
    for lens in ("none", "unknown", brown, {"bend": "0.1 ± 0.02"}):
        shown = client.post("rectified", json={**picks, "lens": lens}).json()
        (x0, y0), (x1, y1), (x2, y2), (x3, y3) = shown["points"]["corners"]
        assert x1 - x0 == pytest.approx(60 * shown["scale"], abs=0.3)
        assert y2 - y1 == pytest.approx(40 * shown["scale"], abs=0.3)
        assert (y1 - y0, x2 - x1, y3 - y2, x3 - x0) == pytest.approx((0, 0, 0, 0), abs=0.3)
        assert 0 < min(x0, y0) < max(x2, y2) < max(shown["width"], shown["height"])
    assert "found" not in client.post("rectified", json=PICKS).json()
    assert client.post("rectified", json={**picks, "known": {}}).json()["wrong"]
