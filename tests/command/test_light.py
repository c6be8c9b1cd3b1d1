"""`tipvision light` and the options of `tipvision read` that say what the light is."""

import json
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from PIL.ExifTags import GPS, IFD, Base

from tests.stored_sample import CHART, MASK, PLUG, SAMPLE
from tipvision.colour.srgb import decode, encode
from tipvision.record.check import faults_of

NOSE = np.argwhere(np.asarray(Image.open(MASK)) == 1).mean(axis=0)
OUTLINED = ("--tip", f"circle:{NOSE[1]:.0f},{NOSE[0]:.0f},12")
SECRETS = ("SN-4711-0815", "J. Doe", "47.3769")


@pytest.fixture(autouse=True)
def home(monkeypatch, tmp_path) -> Path:
    monkeypatch.setenv("TIPVISION_HOME", str(tmp_path / "home"))
    return tmp_path / "home"


def test_keep_list_use_and_drop(run, home):
    status, out, err = run("light", "keep", CHART, "--name", "Bench-1")
    assert status == 0
    assert out.startswith("Bench-1: good, ")
    assert str(home) in err
    status, out, _ = run("light", "list")
    assert status == 0
    assert out.startswith("Bench-1: good, ")
    assert "Bench camera 1" in out and CHART.name in out and str(SAMPLE) not in out
    status, out, err = run("read", "--json", "--stored-light", "bench-1", PLUG)
    record = json.loads(out)
    assert (status, err) == (0, "")
    assert record["light"]["source"] == "stored:Bench-1"
    assert faults_of(record) == []
    assert run("light", "drop", "bench-1")[0] == 0
    status, out, err = run("light", "list")
    assert (status, out) == (0, "") and "no light is kept yet" in err


@pytest.mark.parametrize(
    ("photo", "why"),
    [("bare.png", "no 24-patch chart was found"), ("gone.png", "no such file"), ("text", "JPEG")],
)
def test_a_photo_that_tells_no_light_is_refused_in_one_line(run, tmp_path, photo, why):
    Image.fromarray(np.full((300, 400, 3), 120, np.uint8)).save(tmp_path / "bare.png")
    (tmp_path / "text").write_text("Dear workshop")
    status, out, err = run("light", "keep", tmp_path / photo, "--name", "x")
    assert (status, out, err.count("\n")) == (1, "", 1)
    assert why in err and photo in err
    assert run("light", "list")[1] == ""


def test_a_bad_chart_is_refused_with_the_reason(run, tmp_path):
    """More than a stop over: the chart is still known by its layout, but half of it is clipped."""
    light = 2.2 * decode(np.asarray(Image.open(CHART)) / 255)
    over = np.round(255 * encode(np.minimum(light, 1))).astype(np.uint8)
    Image.fromarray(over).save(tmp_path / "over.png")
    status, out, err = run("light", "keep", tmp_path / "over.png", "--name", "x")
    assert (status, out) == (1, "")
    assert "its chart is refused" in err and "darker" in err
    assert run("light", "list")[1] == ""


@pytest.mark.parametrize(
    "options",
    [
        ("light", "keep", CHART, "--name", "../x"),
        ("light", "keep", CHART, "--name", "x", "--chart-edition", "moonshine"),
        ("light", "drop", "never"),
        ("read", PLUG, "--stored-light", "never"),
        ("read", PLUG, "--chart-edition", "moonshine"),
        ("read", PLUG, "--grey-card", "here"),
        ("read", PLUG, "--grey-card", "5"),
        ("read", PLUG, "--grey-card", "nan,5"),
        ("read", PLUG, "--grey-card", "99999,5"),
        ("read", PLUG, PLUG, "--grey-card", "5,5"),
        ("read", PLUG, "--grey-reflectance", "18"),
        ("read", PLUG, "--light", "moonshine"),
    ],
)
def test_what_says_nothing_is_wrong_usage_in_one_line(run, options):
    status, _, err = run(*options)
    assert status == 2
    assert err.startswith("error[usage]: ") and err.count("\n") == 1


@pytest.mark.parametrize("options", [("light",), ("light", "keep", CHART), ("light", "drop")])
def test_what_is_missing_is_wrong_usage(run, options):
    assert run(*options)[0] == 2


def test_a_damaged_light_is_told_and_the_others_are_listed(run, home):
    for name in ("a", "b"):
        run("light", "keep", CHART, "--name", name)
    (home / "lights" / "light-a.json").write_bytes(b"\x80\x04.")
    status, out, err = run("light", "list")
    assert status == 1
    assert out.startswith("b: good")
    assert err.startswith("error[light]: ") and '"a"' in err
    status, _, err = run("read", PLUG, "--stored-light", "a")
    assert (status, err.count("\n")) == (2, 1)


def with_exif(path: Path, target: Path, change) -> Path:
    """A copy of a photo with its Exif values changed by `change(top, camera)`."""
    with Image.open(path) as picture:
        exif = picture.getexif()
        change(exif, exif.get_ifd(IFD.Exif))
        picture.save(target, quality="keep", exif=exif)
    return target


def test_another_camera_is_a_mismatch(run, tmp_path):
    run("light", "keep", CHART, "--name", "bench")
    other = with_exif(
        PLUG, tmp_path / "other.jpg", lambda top, _: top.update({Base.Model: "Bench camera 2"})
    )
    _, out, _ = run("read", "--json", *OUTLINED, "--stored-light", "bench", other)
    record = json.loads(out)
    assert record["outcome"] == "unclear"
    (mismatch,) = [r for r in record["reasons"] if r["code"] == "light_mismatch"]
    assert "the camera is another one" in mismatch["text"]


def test_a_photo_without_exposure_is_noted(run, tmp_path):
    run("light", "keep", CHART, "--name", "bench")
    blind = with_exif(PLUG, tmp_path / "b.jpg", lambda _, camera: camera.pop(Base.ISOSpeedRatings))
    _, _, err = run("read", "--json", "--stored-light", "bench", blind)
    assert err.startswith(f"note: {blind}: ") and "lightness is doubtful" in err
    assert run("read", "--json", "-q", "--stored-light", "bench", blind)[2] == ""


def test_a_grey_card_is_pointed_at(run, tmp_path):
    picture = np.full((600, 800, 3), 118, np.uint8)
    Image.fromarray(picture).save(tmp_path / "grey.png")
    _, out, _ = run("read", "--json", "--grey-card", "400,300", tmp_path / "grey.png")
    assert json.loads(out)["light"]["source"] == "grey_card"


def test_place_serial_number_and_owner_leave_in_no_output(run, home, tmp_path):
    def tell(top, camera) -> None:
        camera.update({Base.BodySerialNumber: SECRETS[0], Base.CameraOwnerName: SECRETS[1]})
        top.get_ifd(IFD.GPSInfo)[GPS.GPSAreaInformation] = SECRETS[2]

    chart = with_exif(CHART, tmp_path / "chart.jpg", tell)
    plug = with_exif(PLUG, tmp_path / "plug.jpg", tell)
    assert all(secret.encode() in plug.read_bytes() for secret in SECRETS)
    out = tmp_path / "out"
    written = [*run("light", "keep", chart, "--name", "bench"), *run("light", "list")]
    for form in ([], ["--json"]):
        options = ("--stored-light", "bench", "--report", out, "--masks", out)
        written += run("read", *form, *options, plug)
    everything = "\n".join(map(str, written)).encode()
    for path in [*home.rglob("*.json"), *out.iterdir()]:
        everything += path.read_bytes()
    assert not [secret for secret in SECRETS if secret.encode() in everything]
