"""The light of a photo when nothing is known: a guess from its colours, and its doubt."""

from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray

from tipvision.colour.srgb import RGB_TO_XYZ, linear_table
from tipvision.light.correction import Correction
from tipvision.light.doubt import EXPOSURE_SD, doubtful
from tipvision.light.light import Light
from tipvision.light.smaller import blocks
from tipvision.quantiles import quantiles

REDUCED_SIDE = 128  # pixels; a cast is not a matter of detail
HALVED_FIRST = 1 / 4  # a reduction to no more than that begins with blocks of 2, which are quick
CLIPPED_CODE, BURIED_CODE = 250, 5  # 8-bit codes beyond which a channel says little; our estimate
DARKEST = 0.05  # luminance: a photo that is darker all over shows nothing light; our estimate
LEAST_SHARE = 0.02  # of the pixels that must carry light; our estimate
# The p-norm between grey world (1) and brightest patch (infinity) that served best in the paper
# that proposed it (Finlayson and Trezzi 2004): from memory, unchecked.
MINKOWSKI = 6.0
# Share of the cast that is pulled to grey, and standard deviation of ln(red/green), ln(blue/green)
# of a nose afterwards. Source: measured: python -m pipelines.light fit --photos DIR, on an earlier
# sample (146 noses of rendered photos; on 395 of look tune the cast left over has an sd of 0.15).
PULL = 0.75
CAST_SD = 0.18
CAST_LIMIT = (
    0.50  # |ln| of a gain: few photos are all of one colour for the lamp alone; our estimate
)
# The brightest share of a photo is taken for a light thing, as far as it differs from that:
# luminance it would have, and the share of ln that is put right. Source: measured:
# python -m pipelines.bench.light_simulation, on the lamps and benches that it does not judge (there
# it takes the spread of ln(exposure) from 0.63 to 0.45; at 395 noses of look tune from 0.92 to
# 0.85, the bore's part in it included).
BRIGHTEST_SHARE = 0.02
LIGHT_THING, LEVEL_PULL = 0.87, 0.8


def estimated_light(overview: NDArray[np.uint8]) -> Light:
    """A guess of the light.

    Shades of grey: the p-norm of each channel over the photo should be the same in all three. As
    the phone has balanced the photo already, and a bench is not grey on average, only a part of
    what is missing is put right. A photo with nearly nothing between black and burnt out is taken
    as it is. Of the exposure a part is put right in the same way, by the brightest things in the
    photo; a wide doubt is left.

    overview: uint8 (h, w, 3), RGB encoded as sRGB, of the whole displayed photo.
    """
    reduced = _reduced(overview)
    ln_gains = np.clip(-PULL * _cast(reduced), -CAST_LIMIT, CAST_LIMIT)
    correction = RGB_TO_XYZ * np.exp(ln_gains + _ln_level(reduced))
    return Light(
        source="estimate",
        correction=Correction(correction),
        samples=doubtful(correction, CAST_SD, EXPOSURE_SD),
    )


def cast_of(overview: NDArray[np.uint8]) -> NDArray[np.float64]:
    """ln of red, green (0) and blue light of the photo as a whole over its green, float64 (3,).

    Of each channel the p-norm over the pixels between black and burnt out counts; zeros where
    there are nearly none of those.
    """
    return _cast(_reduced(overview))


def _cast(reduced: NDArray[np.uint8]) -> NDArray[np.float64]:
    channels = cv2.split(reduced)
    kept = np.logical_and.reduce([(c < CLIPPED_CODE) & (c > BURIED_CODE) for c in channels])
    count = np.count_nonzero(kept)
    if count < LEAST_SHARE * kept.size:
        return np.zeros(3)
    sums = [np.bincount(c[kept], minlength=256) @ _powers() for c in channels]
    norms = np.log(np.array(sums) / count) / MINKOWSKI
    cast: NDArray[np.float64] = norms - norms[1]
    return cast


@cache
def _powers() -> NDArray[np.float64]:
    """Light of each 8-bit code to the power `MINKOWSKI`, float64 (256,)."""
    return np.asarray(linear_table().astype(np.float64) ** MINKOWSKI)


def _ln_level(reduced: NDArray[np.uint8]) -> float:
    """ln of the factor on all light of the photo that its brightest part asks for."""
    channels = zip(np.moveaxis(reduced, -1, 0), RGB_TO_XYZ[1], strict=True)
    luminance = sum((linear_table() * share)[codes] for codes, share in channels)
    (brightest,) = quantiles(np.ravel(luminance), (1.0 - BRIGHTEST_SHARE,))
    return LEVEL_PULL * float(np.log(LIGHT_THING / max(brightest, DARKEST)))


def _reduced(overview: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """The overview at `REDUCED_SIDE` pixels."""
    height, width = overview.shape[:2]
    share = min(1.0, REDUCED_SIDE / max(height, width))
    size = (max(1, round(width * share)), max(1, round(height * share)))
    half = blocks(overview, 2) if share <= HALVED_FIRST else overview
    return np.asarray(cv2.resize(half, size, interpolation=cv2.INTER_AREA), np.uint8)
