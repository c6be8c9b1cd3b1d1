"""What is known of a photo, from its stage and its labels. Needs no renderer."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np
import numpy.typing as npt

from pipelines.studio.camera import CameraSettings
from pipelines.studio.geometry.mesh import Array
from pipelines.studio.labels import Labels, NoseTruth, box_of
from pipelines.studio.plug import FiringEnd
from pipelines.studio.staging.hidden import hidden_share
from pipelines.studio.staging.stage import Placed, Stage
from pipelines.studio.truth import (
    Corners,
    LightShare,
    PhotoTruth,
    PlugTruth,
    ReferenceTruth,
    StoredLight,
    Taken,
)
from pipelines.studio.view import View


@dataclass(frozen=True)
class Rendered:
    """Linear radiance (height, width, 16), the mask, and colour and shine of each plug's nose."""

    bands: npt.NDArray[np.float32]
    mask: Labels
    noses: tuple[NoseTruth, ...]


def truth(
    stage: Stage,
    rendered: Rendered,
    settings: CameraSettings,
    orientation: int,
    seed: int,
    name: str,
    mask: str | None,
    stored_light: StoredLight | None = None,
) -> PhotoTruth:
    """What is known of a photo that shows the whole render, `mask` being its file's name.

    Raises ValueError when the render does not tell of as many noses as the stage has plugs.
    """
    view = stage.scene.view
    plugs = plugs_of(stage)
    if len(rendered.noses) != len(plugs):
        raise ValueError(f"{name}: {len(plugs)} plugs, but {len(rendered.noses)} noses measured")
    return PhotoTruth(
        file=name,
        seed=seed,
        size=(view.width, view.height),
        exif_orientation=orientation,
        camera=settings.camera,
        light=light_of(stage),
        white_balance=settings.white_balance,
        taken=taken_with(settings),
        stored_light=stored_light,
        plugs=tuple(
            _plug_truth(view, plug, pose, rendered.noses[k], box_of(rendered.mask, k))
            for k, (plug, pose) in enumerate(plugs)
        ),
        references=_references(stage),
        mask=mask,
    )


def taken_with(settings: CameraSettings) -> Taken:
    """What of the camera's settings tells how hard a photo is."""
    # Twice the standard deviation of the lens's blur is about its width.
    blur = max(2 * settings.blur, 2 * settings.defocus, settings.motion[0])
    return Taken(
        round(settings.ev, 2), round(blur, 2), round(settings.local, 2), int(settings.jpeg)
    )


def plugs_of(stage: Stage) -> list[tuple[FiringEnd, Array]]:
    """Plugs of a stage with their poses, the first first."""
    if stage.plugs:
        return list(zip(stage.plugs, stage.poses, strict=True))
    if stage.plug is None:
        return []
    assert stage.scene.pose is not None
    return [(stage.plug, stage.scene.pose)]


def light_of(stage: Stage) -> tuple[LightShare, ...]:
    """The illuminants and their shares of the light."""
    if stage.lights is None or len(stage.lights.groups) == 1:
        return (LightShare(stage.scene.lighting.illuminant, 1.0),)
    first, second = stage.lights.groups
    share = round(stage.lights.share, 3)
    return (
        LightShare(first.illuminant, round(1 - share, 3)),
        LightShare(second.illuminant, share),
    )


def view_name(degrees: float) -> str:
    """What a view of a plug is called, by the angle between its axis and the line to the lens."""
    return "end_on" if degrees < 20 else "oblique" if degrees < 65 else "side"


def shows(corners: Sequence[Sequence[float]], size: tuple[int, int]) -> bool:
    """Whether a fiftieth of a reference's outline or more lies in the frame."""
    outline = np.array(corners, np.float32)
    width, height = size
    frame = np.array([[0, 0], [width, 0], [width, height], [0, height]], np.float32)
    area, _ = cv2.intersectConvexConvex(outline, frame)
    return bool(area > 0.02 * cv2.contourArea(outline))


def seen_in(
    kind: str, corners: Sequence[Sequence[float]], state: Sequence[str], size: tuple[int, int]
) -> ReferenceTruth:
    """A reference in a frame: whole or cut_off by where its corners fall, the rest as it is."""
    inside = all(0 <= x <= size[0] and 0 <= y <= size[1] for x, y in corners)
    rest = [s for s in state if s not in ("whole", "cut_off", "cut off")]
    placed: Corners = tuple((round(float(x), 2), round(float(y), 2)) for x, y in corners)
    return ReferenceTruth(kind, placed, ("whole" if inside else "cut_off", *rest))


COVERED = 0.03
"""Share of a reference behind other things from which it is called covered."""


def _references(stage: Stage) -> tuple[ReferenceTruth, ...]:
    view = stage.scene.view
    things = [item.mesh for item in stage.scene.items]
    placed = [
        replace(p, state=(*p.state, "covered"))
        if "covered" not in p.state and hidden_share(view, p.corners, things) > COVERED
        else p
        for p in stage.references
    ]
    # Where the card lies round the plug, that is no cover: it is made for it.
    if stage.card_corners is not None and not any(p.kind == "bench_card" for p in placed):
        placed.append(Placed("bench_card", stage.card_corners, stage.card_corners, ()))
    size = (view.width, view.height)
    found = [(p, view.project(p.corners).tolist()) for p in placed]
    return tuple(
        seen_in(p.kind.replace(" ", "_"), corners, p.state, size)
        for p, corners in found
        if shows(corners, size)
    )


def _plug_truth(
    view: View,
    plug: FiringEnd,
    pose: Array,
    nose_truth: NoseTruth,
    box: tuple[int, int, int, int] | None,
) -> PlugTruth:
    nose = (pose @ np.array([0, 0, plug.projection, 1.0]))[:3]
    to_camera = np.subtract(view.origin, nose)
    cosine = pose[:3, 2] @ to_camera / np.linalg.norm(to_camera)
    degrees = float(np.degrees(np.arccos(np.clip(cosine, -1, 1))))
    scale = view.px_per_mm(nose)
    gap = plug.gap_mm
    return PlugTruth(
        condition=plug.condition,
        shares=plug.mixture,
        findings=plug.findings,
        view=view_name(degrees),
        view_degrees=round(degrees, 1),
        nose_lab=nose_truth[0],
        shine=nose_truth[1],
        nose_px=round(scale * plug.nose_tip, 1),
        px_per_mm=round(scale, 3),
        gap_mm=None if gap is None else round(gap, 3),
        family=plug.family.name,
        palette=plug.palette,
        box=box,
    )
