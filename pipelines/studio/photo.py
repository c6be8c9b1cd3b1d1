"""One photo with its truth: render a stage, label it, put it through a camera (needs Mitsuba)."""

from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
import numpy.typing as npt
from PIL import Image

from pipelines.studio import render
from pipelines.studio.camera import CameraSettings, develop
from pipelines.studio.known import Rendered, plugs_of, truth
from pipelines.studio.labels import DEEP, GLARE, NOSE, Labels, label_of, majority, nose_truth
from pipelines.studio.materials.surface import Surface
from pipelines.studio.scene import Loaded
from pipelines.studio.staging import Stage, part_of
from pipelines.studio.stored import ShotData, write_jpeg
from pipelines.studio.truth import PLUG_STEP, PhotoTruth

Light = npt.NDArray[np.float32]

DEEP_MM = 3.0
SUB = 3


@dataclass(frozen=True)
class Samples:
    """Paths a pixel: over all the picture, and on the plug."""

    wide: int
    plug: int


def render_stage(stage: Stage, loaded: Loaded, samples: Samples, seed: int) -> Rendered:
    """Render a stage, `loaded` being its scene, and its truth."""
    view = stage.scene.view
    size = (view.width, view.height)
    if stage.plug is None:
        bands = render.bands(loaded, (0, 0, *size), samples.wide, seed)
        return Rendered(bands, np.zeros(size[::-1], np.uint8), ())
    box = _plugs_box(stage)
    picture = render.foveated(loaded, size, box, samples.wide, samples.plug, seed)
    left, top, width, height = box
    here = np.s_[top : top + height, left : left + width]
    hits = render.hits(loaded, box, SUB)
    labels = _labels(hits, stage)
    part = majority(labels, SUB)
    shines = _glare(picture.bands[here].mean(-1), picture.mirrored[here], loaded.white)
    part[(part % PLUG_STEP == NOSE) & shines] += GLARE - NOSE
    mask = np.zeros(size[::-1], np.uint8)
    mask[here] = part
    noses = tuple(
        nose_truth(surface, hits.uv[labels == NOSE + PLUG_STEP * number])
        for number, surface in enumerate(_noses(stage))
    )
    return Rendered(picture.bands, mask, noses)


def _plugs_box(stage: Stage) -> render.Box:
    """Box of pixels round all plugs (to the seat when one stands under the card)."""
    view, pose = stage.scene.view, stage.scene.pose
    points = np.concatenate([i.mesh.vertices for i in stage.scene.items if label_of(i.name)])
    if stage.card_corners is not None and pose is not None and stage.plug is not None:
        points = points[points[:, 2] > -stage.plug.reach]
    xy = view.project(points)
    low = np.clip(np.floor(xy.min(0)) - 12, 0, [view.width - 2, view.height - 2]).astype(int)
    high = np.clip(np.ceil(xy.max(0)) + 12, low + 2, [view.width, view.height]).astype(int)
    return int(low[0]), int(low[1]), int(high[0] - low[0]), int(high[1] - low[1])


def _labels(hits: render.Hits, stage: Stage) -> Labels:
    table = np.array([label_of(name) for name in hits.names] + [0], np.uint8)
    labels = table[hits.name]
    for number, pose in enumerate(stage.poses or (stage.scene.pose,)):
        into = np.linalg.inv(pose)
        depth = hits.point @ into[2, :3] + into[2, 3]
        nose = PLUG_STEP * number + NOSE
        labels[(labels == nose) & (depth < -DEEP_MM)] += DEEP - NOSE
    return labels


def _noses(stage: Stage) -> list[Surface]:
    """The surface of each plug's nose, in their order."""
    found = {part_of(i.name)[1]: i.surface for i in stage.scene.items if i.name[:4] == "nose"}
    return [found[number] for number in sorted(found)]


def _glare(whole: Light, mirrored: Light, white: float) -> npt.NDArray[np.bool_]:
    """Where a mirror reflection outshines the colour below it.

    Its light is over half of the body's and over 3 % of a white surface's radiance.
    """
    soft, shine = (cv2.GaussianBlur(p, (0, 0), 1.0) for p in (whole, mirrored))
    return np.asarray((shine > 0.5 * (soft - shine)) & (shine > 0.03 * white))


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
    if plugs_of(stage):
        mask = f"masks/{Path(name).stem}.png"
        (folder / "masks").mkdir(exist_ok=True)
        Image.fromarray(rendered.mask).save(folder / mask, optimize=True)
    return truth(stage, rendered, settings, shot.orientation, seed, name, mask)
