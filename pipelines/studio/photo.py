"""One photo with its truth: render a stage, label it, put it through a camera (needs Mitsuba)."""

from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
import numpy.typing as npt
from PIL import Image

from pipelines.studio import render
from pipelines.studio.camera import CameraSettings, develop
from pipelines.studio.geometry.mesh import Array
from pipelines.studio.materials.spectra import lab
from pipelines.studio.materials.surface import Surface, mean_reflectance, wet_share
from pipelines.studio.scene import CAP, Loaded, build
from pipelines.studio.staging import Stage
from pipelines.studio.stored import ShotData, write_jpeg
from pipelines.studio.truth import ONLY_WITH_PLUG, PhotoTruth

LABEL_OF = {
    "nose": 1,
    "electrode": 4,
    "strap": 5,
    "shell": 6,
    "gasket": 6,
    "hex": 6,
    "drops": 6,
    "upper": 7,
    "terminal": 7,
}
GLARE, DEEP = 2, 3
DEEP_MM = 3.0
SUB = 3


@dataclass(frozen=True)
class Rendered:
    """Linear radiance (height, width, 16), the mask, and what it says of the nose."""

    bands: npt.NDArray[np.float32]
    mask: npt.NDArray[np.uint8]
    nose_lab: tuple[float, float, float] | None
    shine: float | None


@dataclass(frozen=True)
class Samples:
    """Paths a pixel: over all the picture, and on the plug."""

    wide: int
    plug: int


def render_stage(stage: Stage, samples: Samples, seed: int) -> Rendered:
    """Render a stage and its truth."""
    loaded = build(stage.scene)
    view = stage.scene.view
    size = (view.width, view.height)
    if stage.plug is None:
        bands = render.bands(loaded, (0, 0, *size), samples.wide, seed)
        return Rendered(bands, np.zeros(size[::-1], np.uint8), None, None)
    box = _plug_box(stage)
    bands = render.foveated(loaded, size, box, samples.wide, samples.plug, seed)
    left, top, width, height = box
    hits = render.hits(loaded, box, SUB)
    labels = _labels(hits, stage)
    mask = np.zeros(size[::-1], np.uint8)
    part = _majority(labels)
    same = samples.plug % samples.wide == 0
    glare = _glare(loaded, box, samples.wide if same else samples.plug, seed)
    part[(part == 1) & glare] = GLARE
    mask[top : top + height, left : left + width] = part
    surface = next(i.surface for i in stage.scene.items if i.name == "nose")
    nose = hits.uv[labels == 1]
    return Rendered(bands, mask, *_nose_truth(surface, nose))


def _plug_box(stage: Stage) -> render.Box:
    """Box of pixels round the whole plug (to its seat when it stands under the card)."""
    view, pose = stage.scene.view, stage.scene.pose
    points = np.concatenate([i.mesh.vertices for i in stage.scene.items if i.name in LABEL_OF])
    if stage.card_corners is not None and pose is not None and stage.plug is not None:
        points = points[points[:, 2] > -stage.plug.reach]
    xy = view.project(points)
    low = np.clip(np.floor(xy.min(0)) - 12, 0, [view.width - 2, view.height - 2]).astype(int)
    high = np.clip(np.ceil(xy.max(0)) + 12, low + 2, [view.width, view.height]).astype(int)
    return int(low[0]), int(low[1]), int(high[0] - low[0]), int(high[1] - low[1])


def _labels(hits: render.Hits, stage: Stage) -> npt.NDArray[np.uint8]:
    table = np.array([LABEL_OF.get(name, 0) for name in hits.names] + [0], np.uint8)
    labels = table[hits.name]
    assert stage.scene.pose is not None
    into = np.linalg.inv(stage.scene.pose)
    depth = hits.point @ into[2, :3] + into[2, 3]
    labels[(labels == 1) & (depth < -DEEP_MM)] = DEEP
    return labels


def _majority(labels: npt.NDArray[np.uint8]) -> npt.NDArray[np.uint8]:
    """The commonest label of each pixel's sub-pixels; ties go to the smaller value."""
    height, width = labels.shape[0] // SUB, labels.shape[1] // SUB
    blocks = labels.reshape(height, SUB, width, SUB)
    counts = np.stack([(blocks == v).sum(axis=(1, 3)) for v in range(8)], -1)
    return np.asarray(counts.argmax(-1), dtype=np.uint8)


def _glare(loaded: Loaded, box: render.Box, samples: int, seed: int) -> npt.NDArray[np.bool_]:
    """Where the nose's own mirror reflection outshines its colour.

    Two renders of the nose, with and without its surface reflection; glare is where their
    difference is over half of the latter and over 3 % of a white surface's radiance.
    """
    with_gloss = render.bands(loaded, box, samples, seed + 5, start_band=1).mean(-1)
    without = render.bands(loaded, box, samples, seed + 5, 1, frozenset(["nose"])).mean(-1)
    soft, base = (cv2.GaussianBlur(p, (0, 0), 1.0) for p in (with_gloss, without))
    white = loaded.brightest / CAP
    return np.asarray((soft - base > 0.5 * base) & (soft - base > 0.03 * white))


def _nose_truth(
    surface: Surface, uv: Array
) -> tuple[tuple[float, float, float] | None, float | None]:
    if len(uv) == 0:
        return None, None
    colour = lab(mean_reflectance(surface, uv))
    return (
        (round(float(colour[0]), 2), round(float(colour[1]), 2), round(float(colour[2]), 2)),
        round(float(wet_share(surface, uv)), 3),
    )


def truth(
    stage: Stage,
    rendered: Rendered,
    settings: CameraSettings,
    orientation: int,
    seed: int,
    name: str,
    mask: str | None,
) -> PhotoTruth:
    """What is known of a photo that shows the whole render, `mask` being its file's name."""
    view = stage.scene.view
    corners = None
    if stage.card_corners is not None:
        corners = tuple(
            (round(float(x), 2), round(float(y), 2)) for x, y in view.project(stage.card_corners)
        )
    common = {
        "file": name,
        "seed": seed,
        "size": (view.width, view.height),
        "exif_orientation": orientation,
        "camera": settings.camera,
        "light": stage.scene.lighting.illuminant,
        "white_balance": settings.white_balance,
        "reference": None if corners is None else "bench_card",
        "card_corners": corners,
    }
    plug = stage.plug
    if plug is None:
        nothing = dict.fromkeys(ONLY_WITH_PLUG)
        return PhotoTruth(**common, plug=False, findings=(), **nothing)  # type: ignore[arg-type]
    assert stage.scene.pose is not None
    nose = (stage.scene.pose @ np.array([0, 0, plug.projection, 1.0]))[:3]
    to_camera = np.subtract(view.origin, nose)
    cosine = stage.scene.pose[:3, 2] @ to_camera / np.linalg.norm(to_camera)
    degrees = float(np.degrees(np.arccos(np.clip(cosine, -1, 1))))
    scale = view.px_per_mm(nose)
    gap = plug.gap_mm
    return PhotoTruth(
        **common,  # type: ignore[arg-type]
        plug=True,
        condition=plug.condition,
        shares=plug.mixture,
        findings=plug.findings,
        view="end_on" if degrees < 20 else "oblique" if degrees < 65 else "side",
        view_degrees=round(degrees, 1),
        nose_lab=rendered.nose_lab,
        shine=rendered.shine,
        nose_px=round(scale * plug.nose_tip, 1),
        px_per_mm=round(scale, 3),
        gap_mm=None if gap is None else round(gap, 3),
        mask=mask,
    )


def write_photo(
    folder: Path,
    name: str,
    stage: Stage,
    rendered: Rendered,
    settings: CameraSettings,
    shot: ShotData,
    seed: int,
    quality: int,
    limit: int,
) -> PhotoTruth:
    """Develop, store photo and mask, and return the truth for the manifest."""
    shown = develop(rendered.bands, stage.scene.lighting.illuminant, settings, seed)
    write_jpeg(folder / name, shown, shot, quality, limit)
    mask = None
    if stage.plug is not None:
        mask = f"masks/{Path(name).stem}.png"
        (folder / "masks").mkdir(exist_ok=True)
        Image.fromarray(rendered.mask).save(folder / mask, optimize=True)
    return truth(stage, rendered, settings, shot.orientation, seed, name, mask)
