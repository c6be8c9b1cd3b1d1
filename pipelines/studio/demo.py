"""The six demo photos: one morning at the bench of Larch Hollow Trail Hire."""

import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

from pipelines.studio import render
from pipelines.studio.camera import CameraSettings
from pipelines.studio.photo import Samples, render_stage, write_photo
from pipelines.studio.plug import sample_plug
from pipelines.studio.scene import build
from pipelines.studio.staging import (
    Stage,
    Standpoint,
    bench_lamp,
    bench_without_plug,
    lying,
    under_card,
)
from pipelines.studio.stored import ShotData
from pipelines.studio.truth import PhotoTruth, read_manifest, write_manifest

LIMIT = 250_000


@dataclass(frozen=True)
class DemoShot:
    """One demo photo; its name must not tell the condition."""

    name: str
    stage: Callable[[float], Stage]
    settings: CameraSettings
    shot: ShotData
    seed: int
    samples: Samples
    quality: int = 88


def _card(
    size: float, tilt: float, azimuth: float, roll: float, portrait: bool = False
) -> Standpoint:
    width, height = (1500, 2000) if portrait else (2000, 1500)
    fov = 22.6 if portrait else 39.5
    return Standpoint(
        tilt,
        azimuth,
        244.0 if not portrait else 316.0,
        fov,
        round(width * size),
        round(height * size),
        0.8,
        roll,
    )


def _close(size: float, tilt: float, azimuth: float, roll: float) -> Standpoint:
    return Standpoint(tilt, azimuth, 125.0, 22.0, round(1600 * size), round(1200 * size), 0.9, roll)


def _shot(minute: int, exposure: int, iso: int, orientation: int = 1, day: int = 12) -> ShotData:
    return ShotData(
        taken=f"2026:05:{day:02d} 08:{minute:02d}:17",
        exposure=(1, exposure),
        iso=iso,
        f_number=1.8,
        focal=5.4,
        auto_balance=True,
        flash=False,
        orientation=orientation,
    )


SHOTS = (
    DemoShot(
        "tb-07-a.jpg",
        lambda k: under_card(
            sample_plug(7, "normal"),
            bench_lamp("LED-B3", 205.0, 52.0, 7),
            _card(k, 9.0, 260.0, 3.0),
            "wood",
            turn=8.0,
            seed=7,
        ),
        CameraSettings("A", balance=0.8, ev=0.1, electrons=3500),
        _shot(4, 120, 160),
        seed=7,
        samples=Samples(16, 49),
    ),
    DemoShot(
        "qd-03-a.jpg",
        lambda k: under_card(
            replace(sample_plug(23, "dry_black"), nose_tip=5.2, nose_base=7.1),
            bench_lamp("LED-B1", 35.0, 48.0, 23),
            _card(k, 12.0, 300.0, -4.0),
            "rubber",
            turn=-14.0,
            seed=23,
        ),
        CameraSettings("A", balance=0.75, ev=-0.1, electrons=2200),
        _shot(11, 60, 320),
        seed=23,
        samples=Samples(16, 49),
    ),
    DemoShot(
        "sx-01-left.jpg",
        lambda k: under_card(
            sample_plug(31, "wet_black"),
            bench_lamp("FL11", 66.0, 62.0, 31, size=140.0),
            _card(k, 14.0, 240.0, 92.0, portrait=True),
            "steel",
            turn=-6.0,
            seed=31,
        ),
        CameraSettings("B", balance=0.85, ev=0.15, electrons=4500),
        _shot(19, 100, 200, orientation=6),
        seed=31,
        samples=Samples(16, 49),
    ),
    DemoShot(
        "gn-02-a.jpg",
        lambda k: under_card(
            sample_plug(42, "chalk_white"),
            bench_lamp("D65", 150.0, 44.0, 42, size=150.0, room=0.35),
            _card(k, 7.0, 80.0, -2.0),
            "concrete",
            turn=171.0,
            seed=42,
        ),
        CameraSettings("A", balance=0.95, ev=-0.15, electrons=5000),
        _shot(26, 250, 64),
        seed=42,
        samples=Samples(16, 49),
    ),
    DemoShot(
        "stores-new.jpg",
        lambda k: lying(
            replace(sample_plug(54, "unused"), strap_turn=175.0),
            bench_lamp("LED-B3", 230.0, 42.0, 54),
            _close(k, 14.0, 16.0, 4.0),
            "blue cloth",
            seed=54,
        ),
        CameraSettings("B", balance=0.9, ev=-0.35, electrons=4000),
        _shot(33, 160, 100),
        seed=54,
        samples=Samples(16, 64),
    ),
    DemoShot(
        "bench-tray.jpg",
        lambda k: bench_without_plug(
            bench_lamp("LED-B3", 160.0, 40.0, 66),
            Standpoint(38.0, 268.0, 240.0, 36.0, round(1600 * k), round(1200 * k), 1.0, 5.0),
            "wood",
            seed=66,
        ),
        CameraSettings("A", balance=0.8, ev=0.0, electrons=3500),
        _shot(40, 120, 125),
        seed=66,
        samples=Samples(16, 0),
    ),
)


def make_demo(out: Path, only: list[str] | None, size: float, quality: float) -> list[PhotoTruth]:
    """Render the demo photos into `out`; with `only`, just those names.

    What the manifest says of the others stands.

    `size` scales the pictures, `quality` the paths a pixel; 1 for what ships.
    """
    out.mkdir(parents=True, exist_ok=True)
    print(f"renderer: {render.start()}")
    truths = []
    for shot in SHOTS:
        if only and shot.name not in only:
            continue
        begin = time.perf_counter()
        stage = shot.stage(size)
        samples = replace(
            shot.samples,
            wide=max(1, round(shot.samples.wide * quality)),
            plug=max(1, round(shot.samples.plug * quality)),
        )
        rendered = render_stage(stage, build(stage.scene), samples, shot.seed)
        truth = write_photo(
            out,
            shot.name,
            stage,
            rendered,
            shot.settings,
            shot.shot,
            shot.seed,
            shot.quality,
            LIMIT,
        )
        truths.append(truth)
        print(
            f"{shot.name}: {time.perf_counter() - begin:.0f} s, "
            f"{(out / shot.name).stat().st_size} bytes"
        )
    manifest = out / "manifest.jsonl"
    known = {t.file: t for t in read_manifest(manifest)} if only and manifest.exists() else {}
    known |= {t.file: t for t in truths}
    write_manifest(manifest, [known[shot.name] for shot in SHOTS if shot.name in known])
    return truths
