"""A light that was measured once with the chart and is used again for later photos."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tipvision.light.correction import Correction
from tipvision.light.doubt import EXPOSURE_SD, recast
from tipvision.light.draws import gaussian_draws
from tipvision.light.estimate import cast_of
from tipvision.light.light import Light
from tipvision.photo.metadata import Metadata
from tipvision.record.reason import reason

# Standard deviations of ln(light); all our estimate.
CARRIED_SD = 0.06  # lightness carried over by EXIF: rounded times, the lens's real transmission
PLACED_SD = 0.05  # the plug lies a little nearer to the lamp than the chart did, or farther
MOVED_BALANCE_SD = 0.04  # of ln(red/green), ln(blue/green), unless both were set by hand
FARTHEST_CAST = 0.55  # |ln| between the casts of two photos from which on they are two lights; our
# estimate: what lies on a bench moves the cast of a whole photo by less


@dataclass(frozen=True)
class Conditions:
    """How the photo of the chart was taken, as far as later photos are held against it.

    maker, model: of the camera.
    exposure:     s · ISO / f-number², of which nominal light is a multiple; None where not told.
    white_balance, flash_fired: as in `Metadata`.
    cast:         float64 (3,), `estimate.cast_of` of the whole photo.
    """

    maker: str | None
    model: str | None
    exposure: float | None
    white_balance: str | None
    flash_fired: bool | None
    cast: NDArray[np.float64]


@dataclass(frozen=True)
class StoredLight:
    """name, what the chart gave (as in `Light`), and under what conditions.

    verdict:  "good" or "usable". residual: mean leave-one-out CIEDE2000 of its patches.
    """

    name: str
    correction: Correction
    samples: Correction
    verdict: str
    residual: float
    taken_with: Conditions


def conditions_of(metadata: Metadata, overview: NDArray[np.uint8]) -> Conditions:
    """How a photo was taken. overview: uint8 (h, w, 3), RGB encoded as sRGB, the whole photo."""
    return Conditions(
        maker=metadata.maker,
        model=metadata.model,
        exposure=exposure_of(metadata),
        white_balance=metadata.white_balance,
        flash_fired=metadata.flash_fired,
        cast=cast_of(overview),
    )


def exposure_of(metadata: Metadata) -> float | None:
    """Exposure time (s) times ISO over f-number squared, or None where EXIF lacks one of them.

    Nominal light of one and the same surface is a multiple of it (common practice, no published
    source: the exposure triangle).
    """
    time, iso, aperture = metadata.exposure_s, metadata.iso, metadata.f_number
    return time * iso / aperture**2 if time and iso and aperture else None


def light_of_stored(stored: StoredLight, now: Conditions) -> Light:
    """The stored light, carried over to a photo taken under the conditions `now`.

    Where both photos tell their exposure, lightness is carried over by its ratio. Where one does
    not, it is as doubtful as a camera's own exposure, and a note says so. A photo that does not
    look like that light gives the reason `light_mismatch`.
    """
    then = stored.taken_with
    ln_ratio, level_sd = 0.0, EXPOSURE_SD
    notes: tuple[str, ...] = ()
    known = then.exposure is not None and now.exposure is not None
    if then.exposure is not None and now.exposure is not None:
        ln_ratio = math.log(then.exposure / now.exposure)
        level_sd = math.hypot(CARRIED_SD, PLACED_SD)
    else:
        notes = (
            "The photo or the stored light lacks exposure time, ISO or aperture, so lightness is "
            "doubtful.",
        )
    fixed = then.white_balance == now.white_balance == "manual"
    red, blue, level = gaussian_draws(3).T
    ln_gains = (0.0 if fixed else MOVED_BALANCE_SD) * np.stack([red, 0 * red, blue], axis=1)
    ln_gains += (ln_ratio + level_sd * level)[:, None]
    return Light(
        source=f"stored:{stored.name}",
        correction=stored.correction.scaled(math.exp(ln_ratio)),
        samples=recast(stored.samples, ln_gains),
        residual=stored.residual,
        level_known=known,
        notes=notes,
        reasons=tuple(reason("light_mismatch", fault=fault) for fault in mismatches(then, now)[:1]),
    )


def mismatches(then: Conditions, now: Conditions) -> tuple[str, ...]:
    """Why a photo does not look as if taken under a stored light, gravest first; () where it does.

    What either photo leaves unsaid speaks neither for nor against.
    """
    found = []
    for what, before, after in (
        ("the camera is another one", (then.maker, then.model), (now.maker, now.model)),
        ("the flash differs", (then.flash_fired,), (now.flash_fired,)),
        ("the white balance setting differs", (then.white_balance,), (now.white_balance,)),
    ):
        if None not in (*before, *after) and before != after:
            found.append(what)
    if np.abs(now.cast - then.cast).max() > FARTHEST_CAST:
        found.append("its colours as a whole have another cast")
    return tuple(found)
