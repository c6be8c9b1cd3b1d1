"""One job to one linear render (needs Mitsuba)."""

from dataclasses import replace

import cv2
import numpy as np
import numpy.typing as npt

from pipelines.studio import render
from pipelines.studio.camera import CameraSettings
from pipelines.studio.chart_photo import chart_stage
from pipelines.studio.looks.job import Job
from pipelines.studio.looks.stage import lamp_names, stage_of
from pipelines.studio.materials.surface import detail
from pipelines.studio.photo import Samples, render_stage, truth
from pipelines.studio.scene import build, relit
from pipelines.studio.staging import Stage
from pipelines.studio.store import Linear, packed
from pipelines.studio.truth import StoredLight

INTER = cv2.INTER_AREA
TEXELS = 400_000
DETAIL = 0.4
"""Texels along each side beside those of the demo photos, whose pictures are five times larger."""


def shoot(job: Job, samples: Samples) -> Linear:
    """Set the job up, render it under each group of lamps, and say what is known of it."""
    with detail(DETAIL):
        stage = coarse(stage_of(job))
    loaded = build(stage.scene)
    rendered = render_stage(stage, loaded, samples, job.seed)
    pictures = [rendered.bands]
    groups = stage.lights.groups if stage.lights else (stage.scene.lighting,)
    for k in range(1, len(groups)):
        box = (0, 0, *job.size)
        pictures.append(render.bands(relit(loaded, groups[k]), box, samples.wide, job.seed + 11))
    stored, companion = None, None
    if job.reference == "stored_light":
        stored, companion = _stored_light(job, stage, samples)
    lights = tuple(group.illuminant for group in groups)
    # The camera comes later: what is known of it here only holds its place.
    camera = CameraSettings(job.cameras[0])
    mask = "mask" if stage.plug else None
    known = truth(stage, rendered, camera, 1, job.seed, "render", mask, stored)
    second, dim = (stage.lights.share, stage.lights.dim) if stage.lights else (0.0, 0.0)
    cameras = job.cameras
    return Linear(packed(pictures), rendered.mask, lights, second, dim, cameras, known, companion)


def _stored_light(
    job: Job, stage: Stage, samples: Samples
) -> tuple[StoredLight, npt.NDArray[np.float16]]:
    """The chart under the job's lamps: its truth but for camera and file, and its linear bands."""
    assert stage.lights is not None
    with detail(DETAIL):
        chart = coarse(chart_stage(stage, job.seed))
    view, loaded = chart.scene.view, build(chart.scene)
    box = (0, 0, view.width, view.height)
    pictures = [
        render.bands(relit(loaded, group), box, samples.wide, job.seed + 12 + k)
        for k, group in enumerate(stage.lights.groups)
    ]
    corners = view.project(chart.references[0].corners)
    placed = tuple((round(float(x), 2), round(float(y), 2)) for x, y in corners)
    return StoredLight(lamp_names(stage), job.cameras[0], "chart", placed), packed(pictures)


def coarse(stage: Stage) -> Stage:
    """The stage with maps of at most `TEXELS` (print on cards is drawn for far larger pictures)."""
    items = []
    for item in stage.scene.items:
        rows, columns = item.surface.size
        scale = min(1.0, (TEXELS / (rows * columns)) ** 0.5)
        surface = item.surface
        if scale < 1.0 and surface.height is None and surface.swell is None:
            size = (round(columns * scale), round(rows * scale))
            layers = tuple(
                layer
                if layer.cover is None
                else replace(layer, cover=cv2.resize(layer.cover, size, interpolation=INTER))
                for layer in surface.layers
            )
            surface = replace(surface, layers=layers)
        items.append(replace(item, surface=surface))
    return replace(stage, scene=replace(stage.scene, items=tuple(items)))


def nothing_black(linear: Linear) -> bool:
    """Whether the picture got light at all: a render that failed is black or not finite."""
    bands = linear.bands
    return bool(np.isfinite(bands).all() and float(bands.mean(dtype=np.float32)) > 1e-5)
