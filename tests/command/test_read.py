"""`tipvision read`, as a shop and its scripts use it."""

import io
import json
import os
import shutil
import subprocess
import sys

import cv2
import numpy as np
import pytest

from tipvision.record.check import faults_of
from tipvision.shipped import demo_folder, models_folder
from tipvision.tip.tip import Part


def records(output: str) -> list[dict]:
    return [json.loads(line) for line in output.splitlines()]


def test_one_valid_line_a_photo_in_the_order_given(run, shop_folder):
    status, out, err = run("read", "--json", *shop_folder)
    lines = records(out)
    assert status == 1
    assert [r["photo"] for r in lines] == shop_folder
    assert [faults_of(r) for r in lines] == [[]] * len(lines)
    outcomes = [r["outcome"] for r in lines]
    assert outcomes[1:4] == ["unreadable"] * 3
    assert "unreadable" not in (outcomes[0], *outcomes[4:])
    faults = [line for line in err.splitlines() if line.startswith("error[cannot_open]")]
    assert len(faults) == 3
    assert all(name in fault for name, fault in zip(shop_folder[1:4], faults, strict=True))


def test_all_readable_photos_give_status_0(run, demo):
    status, out, err = run("read", "--json", *demo.values())
    assert status == 0
    assert err == ""
    assert len(records(out)) == len(demo)


def test_the_screen_report_answers_in_words(run, demo):
    status, out, _ = run("read", *demo.values())
    assert status == 0
    for name in demo:
        assert f"{name}.jpg" in out
    assert str(next(iter(demo.values())).parent) not in out  # base names only
    assert "\x1b[" not in out  # no colour where no terminal is


def test_what_decided_is_told_in_plain_words_and_on_request_with_its_weights(run, demo):
    _, plain, _ = run("read", demo["tb-07-a"])
    _, exact, _ = run("read", "--numbers", demo["tb-07-a"])
    assert "For it, " in plain and "times as likely as" in plain and "ln odds" not in plain
    assert "ln odds" in exact and "For it, " not in exact
    assert plain.partition("Decided")[0] == exact.partition("Decided")[0]


def test_reports_and_masks_are_written_beside_each_other(run, demo, tmp_path):
    photo = demo["tb-07-a"]
    twin = tmp_path / "elsewhere" / photo.name
    twin.parent.mkdir()
    twin.write_bytes(photo.read_bytes())
    out = tmp_path / "out"
    status, _, err = run("read", photo, twin, "--report", out, "--masks", out)
    names = sorted(path.name for path in out.iterdir())
    expected = ["tb-07-a-2.html", "tb-07-a-2.png", "tb-07-a.html", "tb-07-a.png"]
    assert (status, names) == (0, expected)
    assert all(str(out / name) in err for name in names)
    mask = cv2.imread(str(out / "tb-07-a.png"), cv2.IMREAD_UNCHANGED)
    assert mask.dtype == np.uint8
    assert set(np.unique(mask)) <= {part.value for part in Part}
    assert (mask == Part.NOSE).any()


def test_an_outline_by_hand_is_the_tip(run, demo):
    photo = demo["tb-07-a"]
    _, out, _ = run("read", "--json", photo, "--tip", "circle:700,500,80")
    (record,) = records(out)
    ring = np.array(record["tip"]["outlines"][0])
    assert record["tip"]["by_hand"] is True
    np.testing.assert_allclose(np.hypot(*(ring - (700, 500)).T), 80, atol=3)


@pytest.mark.parametrize(
    ("options", "word"),
    [
        (["--tip", "square:1,2,3"], "circle:"),
        (["--tip", "circle:90000,2,3"], "leaves the photo"),
        (["--light", "moonshine"], "moonshine"),
        (["--light", "90K"], "90"),
        (["--plug", "zero"], "--plug"),
        (["--plug", "0"], "--plug"),
        (["--stroke", "six"], "six"),
    ],
)
def test_wrong_usage_is_one_clear_line_and_status_2(run, demo, options, word):
    status, out, err = run("read", "--json", demo["tb-07-a"], *options)
    assert (status, out) == (2, "")
    assert word in err
    assert "Traceback" not in err


def test_one_outline_cannot_be_meant_for_two_photos(run, demo):
    first, second, *_ = demo.values()
    status, _, err = run("read", first, second, "--tip", "circle:700,500,80")
    assert status == 2
    assert "one photo" in err


def test_a_photo_may_come_from_standard_input(run, demo, monkeypatch):
    content = io.BytesIO(demo["tb-07-a"].read_bytes())
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(content))
    _, piped, _ = run("read", "--json", "-")
    _, named, _ = run("read", "--json", demo["tb-07-a"])
    differing = {"photo", "photos"}
    strip = [{k: v for k, v in records(o)[0].items() if k not in differing} for o in (piped, named)]
    assert strip[0] == strip[1]


def test_engine_facts_change_the_causes_and_not_the_condition(run, demo):
    by_stroke = {}
    for stroke in ("two", "four"):
        _, out, _ = run("read", "--json", *demo.values(), "--stroke", stroke)
        by_stroke[stroke] = records(out)
    two, four = by_stroke["two"], by_stroke["four"]
    assert [r["probabilities"] for r in two] == [r["probabilities"] for r in four]
    assert [r["causes"] for r in two] != [r["causes"] for r in four]


def test_the_same_photo_twice_gives_the_same_record(run, demo):
    outputs = [run("read", "--json", *demo.values())[1] for _ in range(2)]
    assert outputs[0] == outputs[1]


def test_an_interrupt_ends_with_130_and_keeps_what_was_printed(run, demo, monkeypatch):
    import tipvision.command.in_turn as command

    real, calls = command.read, []

    def interrupted(path, *ask):
        calls.append(path)
        if len(calls) == 2:
            raise KeyboardInterrupt
        return real(path, *ask)

    monkeypatch.setattr(command, "read", interrupted)
    status, out, err = run("read", "--json", *demo.values())
    assert status == 130
    assert len(records(out)) == 1
    assert "interrupted" in err


def test_no_report_is_written_over_another(run, demo, tmp_path):
    photo = demo["bench-tray"]
    for name in ("two.jpg", "two.2.jpg", "TWO.jpg", "two-2.jpg"):
        (tmp_path / name).write_bytes(photo.read_bytes())
    names = [tmp_path / name for name in ("two.jpg", "two.2.jpg", "TWO.jpg", "two-2.jpg")]
    run("read", *names, "--report", tmp_path / "out")
    assert len(list((tmp_path / "out").iterdir())) == len(names)


def test_a_report_that_cannot_be_written_does_not_stop_the_others(run, demo, tmp_path):
    (tmp_path / "bench-tray.html").mkdir()
    photos = [demo["bench-tray"], demo["stores-new"]]
    status, out, err = run("read", "--json", *photos, "--report", tmp_path)
    assert status == 1
    assert len(records(out)) == 2
    assert "error[cannot_write]: bench-tray" in err
    assert (tmp_path / "stores-new.html").is_file()


@pytest.mark.parametrize("encoding", ["utf-8", "cp1252", "ascii"])
@pytest.mark.parametrize("options", [[], ["--json"]])
def test_no_name_and_no_terminal_breaks_the_output(demo, tmp_path, encoding, options):
    photo = tmp_path / "b\x1b[31mä\udcff\n😀.jpg"
    photo.write_bytes(demo["tb-07-a"].read_bytes())
    gone = "gone\x1b[31m\n.jpg"
    done = subprocess.run(
        [sys.executable, "-m", "tipvision", "read", *options, str(photo), gone],
        capture_output=True,
        env={**os.environ, "PYTHONIOENCODING": encoding},
        check=False,
    )
    assert done.returncode == 1
    assert len(done.stderr.splitlines()) == 1
    assert b"\x1b" not in done.stderr + done.stdout
    if options:
        lines = done.stdout.decode("ascii").splitlines()
        assert [faults_of(json.loads(line)) for line in lines] == [[], []]
        assert json.loads(lines[0])["photo"] == str(photo)


def test_a_full_disk_is_one_line_and_no_traceback(demo):
    with open("/dev/full", "w") as full:  # noqa: PTH123
        done = subprocess.run(
            [sys.executable, "-m", "tipvision", "read", "--json", str(demo["bench-tray"])],
            stdout=full,
            stderr=subprocess.PIPE,
            check=False,
        )
    assert done.returncode == 1
    assert done.stderr.startswith(b"error[cannot_write]")
    assert done.stderr.count(b"\n") == 1


def test_a_folder_that_cannot_be_made_is_wrong_usage(run, demo, tmp_path):
    (tmp_path / "taken").touch()
    status, _, err = run("read", demo["tb-07-a"], "--report", tmp_path / "taken")
    assert status == 2
    assert "taken" in err


@pytest.mark.parametrize(
    ("folder", "file"),
    [("tip", "fine.onnx"), ("nose_light", "parameters.json"), ("condition", "parameters.json")],
)
def test_a_damaged_model_is_told_in_one_line(tmp_path, folder, file):
    models = tmp_path / "models"
    shutil.copytree(models_folder(), models)
    (models / folder / file).write_bytes(b"x")
    code = (
        "import sys, pathlib, tipvision.shipped as s;"
        f"s.models_folder = lambda: pathlib.Path({str(models)!r});"
        "from tipvision.command import main; sys.exit(main(sys.argv[1:]))"
    )
    photo = demo_folder() / "tb-07-a.jpg"
    asked = [sys.executable, "-c", code, "read", "--json", str(photo)]
    done = subprocess.run(asked, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout) == (1, "")
    assert done.stderr.count("\n") == 1
    assert done.stderr.startswith("error[model]: ") and "was changed" in done.stderr


def test_the_engine_file_is_heeded_and_an_option_goes_over_it(run, demo, tmp_path):
    path = tmp_path / "engine.toml"
    path.write_text('stroke = "two"\nfuel = "carburettor"\n[plug]\ngap_mm = 0.6\n')
    photo = demo["qd-03-a"]

    def advice(*options):
        status, out, _ = run("read", "--json", photo, "--engine-file", path, *options)
        assert status == 0
        return {piece["id"] for piece in records(out)[0]["advice"]}

    assert "gap_specified" in advice()
    causes = [
        records(run("read", "--json", photo, *said)[1])[0]["causes"]
        for said in (
            ["--engine-file", path, "--stroke", "four"],
            ["--fuel", "carburettor", "--stroke", "four"],
        )
    ]
    assert causes[0] == causes[1]


def test_an_engine_file_that_is_wrong_stops_before_any_photo(run, demo, tmp_path):
    path = tmp_path / "engine.toml"
    path.write_text('storke = "two"')
    status, out, err = run("read", demo["qd-03-a"], "--engine-file", path)
    assert (status, out) == (2, "")
    assert err == f"error[usage]: {path}: `storke` is no field of an engine file. Correct it.\n"
