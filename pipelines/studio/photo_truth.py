"""What is known of one photo: plugs, light, references, and how it was taken."""

from dataclasses import dataclass

MASK_LABELS = {
    0: "none of these",
    1: "nose",
    2: "nose, in glare",
    3: "nose, more than 3 mm below the rim",
    4: "centre electrode",
    5: "strap",
    6: "shell, gasket and hexagon",
    7: "upper insulator and terminal",
}
"""Parts in a mask, an 8-bit picture in the displayed frame: `mask & 7`. 1 and 2 together are the
nose. `mask >> 3` is the plug's place in `PhotoTruth.plugs`; a number past its end is a plug whose
firing end is out of the picture."""

PLUG_STEP = 8

Corners = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class LightShare:
    """An illuminant and its share of the light on the subject; the shares sum to 1."""

    illuminant: str
    share: float


@dataclass(frozen=True)
class PlugTruth:
    """What is known of one plug. Pixels are those of the photo as displayed.

    `shares` is how much of each condition it is (they sum to 1); `nose_lab` CIELAB under D65/2° of
    the mean reflectance, gloss excluded, over the nose that shows above 3 mm below the rim; `shine`
    the share of that nose under a wet or glazed film (both null where no nose shows); `nose_px` the
    nose's width across; `px_per_mm` the scale at the nose; `gap_mm` null where a strap is gone or
    bent away; `palette` null for the demo's; `box` left, top, width and height of what shows of
    nose, electrode, strap and shell, null where nothing does.
    """

    condition: str | None
    shares: dict[str, float]
    findings: tuple[str, ...]
    view: str
    view_degrees: float
    nose_lab: tuple[float, float, float] | None
    shine: float | None
    nose_px: float
    px_per_mm: float
    gap_mm: float | None
    family: str
    palette: str | None
    box: tuple[int, int, int, int] | None


@dataclass(frozen=True)
class ReferenceTruth:
    """A chart, grey card, bench card or a look-alike of one in the photo.

    `corners` top left, top right, bottom right, bottom left as it is read, in pixels of the photo
    as displayed (beyond its edges where it is cut off); `state` is whole or cut_off, and tilted,
    shaded, covered (in part by what stands before it) where it is.
    """

    kind: str
    corners: Corners
    state: tuple[str, ...]


@dataclass(frozen=True)
class StoredLight:
    """The photo of the chart that a shop stored for its lamp, taken before this one.

    `lamp` and `camera` are those of both photos, and so are tone curve and white balance; the
    exposures differ as their EXIF says. `file` lies beside the manifest; `corners` of the chart in
    its pixels as displayed: top left, top right, bottom right, bottom left as it is read.
    """

    lamp: str
    camera: str
    file: str
    corners: Corners


@dataclass(frozen=True)
class Taken:
    """How the camera took the photo: `ev` stops beside its meter, `blur_px` the widest smear of
    lens, focus and motion in pixels of the photo, `local_tone` 0 to 1 how far large bright and dark
    areas were drawn together, `jpeg` quality."""

    ev: float
    blur_px: float
    local_tone: float
    jpeg: int


@dataclass(frozen=True)
class PhotoTruth:
    """What is known of one photo. `stored_light` is null where no chart photo goes with it."""

    file: str
    seed: int
    size: tuple[int, int]
    exif_orientation: int
    camera: str
    light: tuple[LightShare, ...]
    white_balance: str
    taken: Taken
    stored_light: StoredLight | None
    plugs: tuple[PlugTruth, ...]
    references: tuple[ReferenceTruth, ...]
    mask: str | None

    @property
    def plug(self) -> PlugTruth | None:
        """The first plug, or None."""
        return self.plugs[0] if self.plugs else None

    def corners_of(self, kind: str) -> Corners | None:
        """Corners of the first reference of that kind, or None."""
        return next((r.corners for r in self.references if r.kind == kind), None)
