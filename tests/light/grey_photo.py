"""A drawn photo of sheets on a bench."""

import cv2
import numpy as np

from tipvision.colour.srgb import encode

WIDE, HIGH = 800, 600
CARD = np.array([[250.0, 150.0], [530.0, 170.0], [545.0, 360.0], [235.0, 345.0]])
BENCH, GREY = (0.35, 0.28, 0.2), (0.18, 0.18, 0.18)


def photo(*sheets, gains=(1.0, 1.0, 1.0), noise=2.0, texture=0.0, seed=0) -> np.ndarray:
    """A bench with something bright on it, and sheets of a colour (corners, linear sRGB)."""
    rng = np.random.default_rng(seed)
    light = np.empty((HIGH, WIDE, 3))
    light[...] = BENCH
    light *= np.exp(0.1 * cv2.GaussianBlur(rng.normal(size=(HIGH, WIDE, 1)), (0, 0), 3))[..., None]
    cv2.circle(light, (120, 480), 30, (0.9, 0.9, 0.9), -1)
    for corners, colour in sheets:
        cv2.fillConvexPoly(light, np.round(corners).astype(np.int32), colour)
    if texture:
        light *= np.exp(texture * cv2.GaussianBlur(rng.normal(size=(HIGH, WIDE)), (0, 0), 4) * 10)[
            ..., None
        ]
    light = cv2.GaussianBlur(light * np.array(gains), (0, 0), 1.0)
    codes = 255 * encode(np.clip(light, 0, 1)) + rng.normal(0, noise, light.shape)
    return np.clip(np.round(codes), 0, 255).astype(np.uint8)
