"""Firing ends and things that are none, drawn in two dimensions with OpenCV, with their masks.

Sizes are TRADE's for an M14 plug ("from memory, unchecked"): rim 12.5 mm across, bore 10 mm, end of
the nose 4.5 to 6 mm, electrode 2 to 2.7 mm. Everything is drawn twice as large and reduced.
"""

from dataclasses import dataclass
from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray

SUPER = 2
NOSE_ALBEDO = {  # linear RGB, our estimates
    "normal": (0.42, 0.33, 0.24),
    "pale": (0.62, 0.58, 0.50),
    "dry_black": (0.035, 0.033, 0.03),
    "wet_black": (0.03, 0.028, 0.027),
    "chalk_white": (0.80, 0.79, 0.76),
    "unused": (0.85, 0.85, 0.84),
}
METAL_ALBEDO = {
    "normal": 0.20,
    "pale": 0.24,
    "dry_black": 0.055,
    "wet_black": 0.06,
    "chalk_white": 0.30,
    "unused": 0.55,
}


@dataclass(frozen=True)
class DrawnPlug:
    """What to draw. Lengths in pixels of the picture, angles in degrees, `rim` a radius."""

    size: tuple[int, int] = (800, 600)
    centre: tuple[float, float] = (400.0, 300.0)
    rim: float = 150.0
    condition: str = "normal"
    strap_angle: float = 30.0
    squash: float = 1.0  # ratio of the axes: 1 is end-on
    squash_angle: float = 0.0
    nose: float = 0.44  # radius of the nose's end, of the rim's radius
    light: float = 1.0
    lamp_angle: float = 200.0
    background: str = "wood"
    noise: float = 0.006
    blur: float = 0.8
    seed: int = 0


@cache
def draw_plug(plug: DrawnPlug) -> tuple[NDArray[np.uint8], NDArray[np.bool_]]:
    """The picture, uint8 (h, w, 3) RGB, and the visible nose, bool (h, w); both to be read only, as
    many tests look at the same ones."""
    random = np.random.default_rng(plug.seed)
    linear = background(plug.background, plug.size, random)
    nose = add_plug(linear, plug, random)
    picture = photographed(linear, plug.light, plug.blur, plug.noise, random)
    picture.flags.writeable = nose.flags.writeable = False
    return picture, nose


def add_plug(
    linear: NDArray[np.float32], plug: DrawnPlug, random: np.random.Generator
) -> NDArray[np.bool_]:
    """Draw into `linear`, float32 (h·SUPER, w·SUPER, 3); gives the visible nose, bool (h, w)."""
    x, y, radius, theta = _frame(linear.shape, plug)
    metal = METAL_ALBEDO[plug.condition]
    lamp = np.deg2rad(plug.lamp_angle)
    shade = (
        0.75 + 0.25 * np.cos(theta - lamp) + 0.5 * np.exp(-(((theta - lamp) % np.pi) ** 2) / 0.1)
    )
    grain = _grain(linear.shape, 6, random)

    def paint(mask: NDArray[np.bool_], colour: object, light: NDArray[np.float64]) -> None:
        linear[mask] = (np.asarray(colour, np.float64) * light[..., None])[mask]

    paint(radius < 1.75, (0.3, 0.29, 0.27), 0.7 + 0.3 * np.cos(theta - lamp))  # gasket and hexagon
    paint(radius < 1.45, (0.05, 0.05, 0.05), np.ones_like(radius))
    threads = 0.6 + 0.4 * np.sin(radius * 60)
    paint(radius < 1.14, (metal, metal * 0.97, metal * 0.93), threads * shade * 0.6)
    paint(radius < 1.0, (metal, metal * 0.97, metal * 0.93), shade * (0.9 + 0.2 * grain))
    paint(radius < 0.80, (0.02, 0.019, 0.018), 0.5 + np.clip(radius - 0.5, 0, 1))  # clearance
    # what stands nearer to the lens than the rim moves along the tilt
    slope = np.sqrt(max(0.0, 1 - plug.squash**2)) * 0.2
    tilt = np.deg2rad(plug.squash_angle + 90)
    nx, ny = x - slope * np.cos(tilt), y - slope * np.sin(tilt)
    from_tip = np.hypot(nx, ny)
    soft = 0.8 + 0.2 * np.cos(theta - lamp)
    cone = np.clip((plug.nose + 0.10 - from_tip) / 0.10, 0, 1)
    tone = np.asarray(NOSE_ALBEDO[plug.condition])
    in_nose = from_tip < plug.nose + 0.05
    paint(in_nose, tone, soft * (0.35 + 0.65 * cone) * (0.92 + 0.16 * grain))
    if plug.condition in ("wet_black", "unused"):
        spot = np.hypot(nx - 0.33 * np.cos(lamp - 0.4), ny - 0.33 * np.sin(lamp - 0.4))
        linear += (0.5 * np.exp(-((spot / 0.035) ** 2)) * in_nose)[..., None].astype(np.float32)
    electrode = from_tip < 0.20
    paint(electrode, (metal * 0.9,) * 3, shade * 0.8)
    strap = _strap(nx, ny, plug.strap_angle)
    bar = metal * 1.1 + 0.02
    across = nx * np.sin(np.deg2rad(plug.strap_angle)) - ny * np.cos(np.deg2rad(plug.strap_angle))
    paint(strap, (bar, bar * 0.97, bar * 0.93), 0.9 + 0.6 * across + 0.1 * grain)
    size = (linear.shape[1] // SUPER, linear.shape[0] // SUPER)
    visible = (in_nose & ~electrode & ~strap).astype(np.float32)
    return np.asarray(cv2.resize(visible, size, interpolation=cv2.INTER_AREA) > 0.5)


def background(
    kind: str, size: tuple[int, int], random: np.random.Generator
) -> NDArray[np.float32]:
    """Linear RGB float32 (h·SUPER, w·SUPER, 3): grey, white, dark, wood, cloth or clutter."""
    w, h = size[0] * SUPER, size[1] * SUPER
    level = {"white": 0.8, "dark": 0.03, "grey": 0.25}.get(kind, 0.3)
    y, x = np.mgrid[:h, :w] / max(w, h)
    ground = np.full((h, w, 3), level) * (0.85 + 0.3 * (0.7 * x + 0.3 * y))[..., None]
    if kind == "wood":
        rings = np.sin(90 * (y + 0.06 * np.sin(5 * x)) + 3 * _grain((h, w), 40, random))
        ground *= np.asarray((1.3, 0.9, 0.55)) * (1 + 0.15 * rings)[..., None]
    if kind == "cloth":
        ground *= (1 + 0.25 * np.sin(x * 500) * np.sin(y * 500))[..., None]
    picture = np.ascontiguousarray(ground, np.float32)
    if kind == "clutter":
        for _ in range(25):
            corner = random.uniform(0, (w, h))
            extent = random.uniform(20, 0.3 * w, 2)
            box = cv2.boxPoints((corner, extent, random.uniform(0, 180))).astype(np.int32)
            cv2.fillPoly(picture, [box], random.uniform(0.02, 0.7, 3).tolist())
    return picture


def photographed(
    linear: NDArray[np.float32],
    light: float,
    blur: float,
    noise: float,
    random: np.random.Generator,
) -> NDArray[np.uint8]:
    """Exposure, blur (sigma in pixels), noise and the sRGB tone curve (IEC 61966-2-1)."""
    size = (linear.shape[1] // SUPER, linear.shape[0] // SUPER)
    small = cv2.resize(linear, size, interpolation=cv2.INTER_AREA) * light
    if blur > 0:
        small = cv2.GaussianBlur(small, (0, 0), blur)
    small = small + random.normal(0, noise, small.shape) * np.sqrt(np.maximum(small, 0.02))
    small = np.clip(small, 0, 1)
    encoded = np.where(small <= 0.0031308, 12.92 * small, 1.055 * small ** (1 / 2.4) - 0.055)
    return np.rint(encoded * 255).astype(np.uint8)


def draw_other(kind: str, seed: int = 0, size: tuple[int, int] = (800, 600)) -> NDArray[np.uint8]:
    """Something that is no plug: flat, noise, clutter, text, coil, or one of `_TURNED`."""
    random = np.random.default_rng(seed)
    ground = "clutter" if kind == "clutter" else str(random.choice(["grey", "wood", "white"]))
    linear = background(ground, size, random)
    w, h = size[0] * SUPER, size[1] * SUPER
    middle = (int(w * random.uniform(0.4, 0.6)), int(h * random.uniform(0.4, 0.6)))
    big = int(h * random.uniform(0.2, 0.38))
    if kind == "noise":
        linear *= random.uniform(0.2, 1.8, linear.shape).astype(np.float32)
    if kind == "nut":
        turn = np.arange(6) * np.pi / 3 + random.uniform(0, 1)
        hexagon = np.stack([np.cos(turn), np.sin(turn)], 1) * big + middle
        cv2.fillPoly(linear, [hexagon.astype(np.int32)], (0.4,) * 3, cv2.LINE_AA)
    if kind == "coil":
        for step in range(7):
            place = (middle[0], middle[1] + (step - 3) * big // 4)
            ring = (place, (2.0 * big, 0.5 * big), 8)
            cv2.ellipse(linear, ring, (0.08,) * 3, big // 12, cv2.LINE_AA)
    if kind == "text":
        ink = np.zeros((h, w), np.uint8)
        for row in range(8):
            word = "".join(random.choice(list("OQC80DGabdeo "), 20))
            place = (20, (row + 1) * h // 9)
            cv2.putText(ink, word, place, cv2.FONT_HERSHEY_SIMPLEX, 4, (255,), 12)
        linear[ink > 0] = 0.02
    if kind in _TURNED:
        _add_turned(linear, kind, middle, big)
    return photographed(linear, random.uniform(0.6, 1.1), 0.8, 0.006, random)


# discs from outside in (share of the radius, grey), and a circle of small ones: how many, where,
# how large, how bright
_TURNED: dict[str, tuple[list[tuple[float, float]], tuple[int, float, float, float] | None]] = {
    "washers": ([(1, 0.5), (0.8, 0.2), (0.62, 0.45), (0.45, 0.03), (0.2, 0.3)], None),
    "nut": ([(0.6, 0.25), (0.5, 0.03)], None),
    "bearing": ([(1, 0.45), (0.8, 0.04), (0.55, 0.45), (0.4, 0.03)], (9, 0.675, 0.11, 0.6)),
    "rotor": ([(1, 0.4), (0.55, 0.15), (0.5, 0.3), (0.22, 0.02)], (5, 0.36, 0.06, 0.02)),
}


def _add_turned(linear: NDArray[np.float32], kind: str, middle: tuple[int, int], big: int) -> None:
    discs, spots = _TURNED[kind]
    for share, grey in discs:
        cv2.circle(linear, middle, max(1, int(big * share)), (grey,) * 3, -1, cv2.LINE_AA)
    if spots is None:
        return
    count, place, radius, grey = spots
    for turn in np.arange(count) * 2 * np.pi / count:
        x, y = middle[0] + place * big * np.cos(turn), middle[1] + place * big * np.sin(turn)
        cv2.circle(linear, (int(x), int(y)), int(radius * big), (grey,) * 3, -1, cv2.LINE_AA)


def _frame(shape: tuple[int, ...], plug: DrawnPlug) -> tuple[NDArray[np.float64], ...]:
    """Plug coordinates (rim's radius is 1) of every pixel: x, y, radius and turn."""
    y, x = np.mgrid[: shape[0], : shape[1]].astype(np.float64)
    x = ((x + 0.5) / SUPER - plug.centre[0]) / plug.rim
    y = ((y + 0.5) / SUPER - plug.centre[1]) / plug.rim
    a = np.deg2rad(plug.squash_angle)
    along, across = x * np.cos(a) + y * np.sin(a), (-x * np.sin(a) + y * np.cos(a)) / plug.squash
    x, y = along * np.cos(a) - across * np.sin(a), along * np.sin(a) + across * np.cos(a)
    return x, y, np.hypot(x, y), np.arctan2(y, x)


def _strap(x: NDArray[np.float64], y: NDArray[np.float64], angle: float) -> NDArray[np.bool_]:
    a = np.deg2rad(angle)
    along, across = x * np.cos(a) + y * np.sin(a), -x * np.sin(a) + y * np.cos(a)
    return np.asarray((np.abs(across) < 0.215) & (along > -0.22) & (along < 0.93))


def _grain(shape: tuple[int, ...], size: int, random: np.random.Generator) -> NDArray[np.float64]:
    """Smooth noise of mean 0 and deviation about 1, spots of about `size` pixels."""
    small = random.normal(size=(shape[0] // size + 2, shape[1] // size + 2))
    big = cv2.resize(small, (shape[1], shape[0]), interpolation=cv2.INTER_CUBIC)
    return np.asarray(big - big.mean())
