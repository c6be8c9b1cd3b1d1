"""A tiny set of photos with truth, drawn: a disc in a ring, crossed by a strap."""

from pathlib import Path

import cv2
import numpy as np
from PIL import Image

from pipelines.studio.truth import LightShare, PhotoTruth, PlugTruth, Taken, write_manifest

COLOUR = {1: (240, 30, 30), 4: (200, 200, 200), 5: (90, 90, 120), 6: (60, 60, 60)}


def write_set(folder: Path, count: int = 4, radius: int = 24, bare: int = 2) -> Path:
    """`count` photos with a red nose of that radius, `bare` without any plug; 160 by 120 pixels."""
    (folder / "masks").mkdir(parents=True)
    rng = np.random.default_rng(0)
    truths = []
    for k in range(count + bare):
        name, mask = f"{k}.jpg", np.zeros((120, 160), np.uint8)
        plugs: tuple[PlugTruth, ...] = ()
        if k < count:
            x, y = int(rng.integers(60, 100)), int(rng.integers(55, 65))
            cv2.circle(mask, (x, y), 2 * radius, (6,), -1)
            cv2.circle(mask, (x, y), round(1.5 * radius), (0,), -1)
            cv2.circle(mask, (x, y), radius, (1,), -1)
            cv2.rectangle(mask, (x - 3, y - 2 * radius), (x + 3, y), (5,), -1)
            cv2.circle(mask, (x, y), 4, (4,), -1)
            plugs = (_plug(2.0 * radius),)
            Image.fromarray(mask).save(folder / "masks" / f"{k}.png")
        picture = np.full((120, 160, 3), 130 + 10 * (k % 3), np.uint8)
        for part, colour in COLOUR.items():
            picture[mask == part] = colour
        Image.fromarray(picture).save(folder / name, quality=95, subsampling=0)
        truths.append(_photo(name, plugs, f"masks/{k}.png" if plugs else None))
    write_manifest(folder / "manifest.jsonl", truths)
    return folder


def _photo(name: str, plugs: tuple[PlugTruth, ...], mask: str | None) -> PhotoTruth:
    return PhotoTruth(
        file=name,
        seed=1,
        size=(160, 120),
        exif_orientation=1,
        camera="A",
        light=(LightShare("D65", 1.0),),
        white_balance="right",
        taken=Taken(ev=0.0, blur_px=0.5, local_tone=0.0, jpeg=95),
        stored_light=None,
        plugs=plugs,
        references=(),
        mask=mask,
    )


def _plug(nose_px: float) -> PlugTruth:
    return PlugTruth(
        condition="normal",
        shares={"normal": 1.0},
        findings=(),
        view="end_on",
        view_degrees=5.0,
        nose_lab=(60.0, 5.0, 20.0),
        shine=0.0,
        nose_px=nose_px,
        px_per_mm=10.0,
        gap_mm=0.8,
        family="m14-gasket-projected-nickel-j",
        palette=None,
        box=(10, 10, 100, 100),
    )
