"""What the tool measures on a shop's photos: one row for each photo that it would answer."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Self

import numpy as np
from numpy.typing import NDArray

from tipvision.condition.features import Features, features_of
from tipvision.condition.model import Model
from tipvision.light.said import Said
from tipvision.measure.bands import load_bands
from tipvision.reading import Ask, read
from tipvision.record.reading import Reading
from tipvision.teaching.photos import Labelled

OF_THE_MODEL = frozenset({"dry_or_wet", "undecided", "outside_model"})
"""Reasons that a model gives, not the photo: they keep no photo from teaching another model."""


@dataclass(frozen=True)
class Rows:
    """Columns with an entry, or a row, for each of r photos.

    photo: names. plug: int64, equal for photos of one plug. label: of `CONDITIONS`.
    under_light: float32 (r, n, fu), once: float32 (r, fo), as in `Features`.
    lab: float64 (r, 3), the nose's colour, CIELAB under D65, 2° observer.
    """

    photo: NDArray[np.str_]
    plug: NDArray[np.int64]
    label: NDArray[np.str_]
    under_light: NDArray[np.float32]
    once: NDArray[np.float32]
    lab: NDArray[np.float64]

    def __len__(self) -> int:
        return len(self.plug)

    def where(self, chosen: NDArray[Any]) -> Self:
        """The chosen rows, by a mask or by their numbers."""
        return type(self)(**{name: column[chosen] for name, column in vars(self).items()})

    def features(self, k: int) -> Features:
        """Those of row k."""
        return Features(self.under_light[k].astype(np.float64), self.once[k].astype(np.float64))

    def values(self, draws: int) -> NDArray[np.float64]:
        """All features under so many draws of the light, evenly picked, float64 (r, draws, f)."""
        held = self.under_light.shape[1]
        picked = self.under_light[:, :: max(1, held // draws)][:, :draws].astype(np.float64)
        once = np.broadcast_to(self.once[:, None], (*picked.shape[:2], self.once.shape[1]))
        return np.concatenate([picked, once], axis=2)

    def usual_values(self) -> NDArray[np.float64]:
        """One value of each feature, float64 (r, f), as `judge.usual_values` takes them."""
        mean = self.under_light.astype(np.float64).mean(axis=1)
        return np.concatenate([mean, self.once.astype(np.float64)], axis=1)


@dataclass(frozen=True)
class LeftOut:
    """A photo that teaches nothing, and why: a reason code, its sentence and its remedy."""

    photo: Path
    code: str
    why: str


def measured(
    photos: Sequence[Labelled],
    plug: NDArray[np.int64],
    said: Said,
    model: Model,
    done: Callable[[int], None] = lambda _: None,
) -> tuple[Rows, tuple[LeftOut, ...]]:
    """Rows of the photos that `read` would answer but for what the model says, and the others.

    said: what is known of the light of all of them. model: any; what it says plays no part.
    done: is told how many photos are through.
    """
    kept: list[tuple[Labelled, int, Reading]] = []
    left_out = []
    for k, photo in enumerate(photos):
        (reading, *others) = read(str(photo.path), Ask(light=said), model)
        assert not others  # no plug was picked, so there is one reading
        gated = [reason for reason in reading.reasons if reason.code not in OF_THE_MODEL]
        if gated or reading.measurement is None:
            first = gated[0]
            left_out.append(LeftOut(photo.path, first.code, f"{first.text} {first.remedy}"))
        else:
            kept.append((photo, int(plug[k]), reading))
        done(k + 1)
    return _rows(kept), tuple(left_out)


def _rows(kept: Sequence[tuple[Labelled, int, Reading]]) -> Rows:
    found = [reading.measurement for _, _, reading in kept if reading.measurement is not None]
    features = [features_of(measurement, load_bands()) for measurement in found]
    return Rows(
        photo=np.array([str(photo.path) for photo, _, _ in kept], np.str_),
        plug=np.array([number for _, number, _ in kept], np.int64),
        label=np.array([photo.label for photo, _, _ in kept], np.str_),
        under_light=np.array([one.under_light for one in features], np.float32),
        once=np.array([one.once for one in features], np.float32),
        lab=np.array([measurement.lab for measurement in found], np.float64).reshape(-1, 3),
    )
