"""Whether anything beside the plug tells its condition: a classifier that sees only the rest.

Logistic regression on what is left of a photo once the plug is cut out: a 16×16 thumbnail whose
hidden cells take the mean of the others, histograms of lightness and colour, and means and
spreads. What is hidden grows by a margin, since a shadow or a reflection beside a plug may not
count as background. Five conditions, five folds: chance is 20 %.
"""

from pathlib import Path

import cv2
import numpy as np
import numpy.typing as npt
from PIL import Image, ImageOps

from pipelines.studio.picture_files import read_picture
from pipelines.studio.plug import CONDITIONS
from pipelines.studio.truth import PhotoTruth, read_manifest

SIDE = 96
MARGIN = 5
"""Pixels of the picture, brought to 96×96, that the plug's outline is widened by."""


def background(photo: PhotoTruth, folder: Path) -> npt.NDArray[np.float64]:
    """Features (n,) of the pixels beside the plug."""
    assert photo.mask is not None
    stored = read_picture(folder / photo.file)
    shown = np.asarray(ImageOps.exif_transpose(stored).convert("RGB").resize((SIDE, SIDE)))
    labels = read_picture(folder / photo.mask)
    mask = np.asarray(labels.resize((SIDE, SIDE), Image.Resampling.NEAREST))
    kernel = np.ones((2 * MARGIN + 1,) * 2, np.uint8)
    rest = cv2.dilate((mask > 0).astype(np.uint8), kernel) == 0
    pixels = cv2.cvtColor(shown.astype(np.float32) / 255, cv2.COLOR_RGB2LAB)
    seen = pixels[rest] if rest.any() else np.zeros((1, 3), np.float32)
    mean = seen.mean(0)
    weight = cv2.resize(rest.astype(np.float32), (16, 16), interpolation=cv2.INTER_AREA)
    total = cv2.resize(np.where(rest[..., None], pixels, 0), (16, 16), interpolation=cv2.INTER_AREA)
    small = np.where(weight[..., None] > 0.25, total / np.maximum(weight, 1e-6)[..., None], mean)
    bins = [np.linspace(0, 100, 17), np.linspace(-50, 50, 17), np.linspace(-50, 50, 17)]
    shares = [np.histogram(seen[:, k], bins[k])[0] / len(seen) for k in range(3)]
    return np.concatenate([small.ravel(), *(100 * s for s in shares), mean, seen.std(0)])


def balanced_accuracy(
    features: npt.NDArray[np.float64],
    labels: npt.NDArray[np.str_],
    renders: npt.NDArray[np.int64],
    folds: int = 5,
) -> tuple[float, float, float]:
    """Cross-validated balanced accuracy and its 95 % interval (bootstrap over renders).

    Photos of one render (`renders` numbers them) show one background: they stay in one fold.
    """
    from sklearn.linear_model import LogisticRegression
    from sklearn.model_selection import StratifiedGroupKFold, cross_val_predict
    from sklearn.pipeline import make_pipeline
    from sklearn.preprocessing import StandardScaler

    model = make_pipeline(StandardScaler(), LogisticRegression(C=0.01, max_iter=500))
    split = StratifiedGroupKFold(folds, shuffle=True, random_state=0)
    right = cross_val_predict(model, features, labels, groups=renders, cv=split) == labels
    first = np.unique(renders, return_index=True)[1]
    hits = np.array([right[renders == r].sum() for r in renders[first]])
    many = np.array([(renders == r).sum() for r in renders[first]])
    classes = [np.flatnonzero(labels[first] == name) for name in np.unique(labels)]
    rng = np.random.default_rng(0)

    def mean(drawn: list[npt.NDArray[np.intp]]) -> float:
        return float(np.mean([hits[d].sum() / many[d].sum() for d in drawn]))

    again = [mean([rng.choice(members, len(members)) for members in classes]) for _ in range(2000)]
    low, high = np.quantile(again, [0.025, 0.975])
    return mean(classes), float(low), float(high)


def report(manifest: Path) -> str:
    """One line with the figure. Raises ValueError when a condition has fewer than 10 photos."""
    every = read_manifest(manifest)
    photos = [(p, p.plug.condition) for p in every if p.plug is not None and p.plug.condition]
    labels = np.array([condition for _, condition in photos], dtype=np.str_)
    few = [c for c in CONDITIONS if int((labels == c).sum()) < 10]
    if few:
        raise ValueError(f"{manifest}: under 10 photos of {', '.join(few)}; make a larger set")
    features = np.stack([background(p, manifest.parent) for p, _ in photos])
    renders = np.array([p.seed for p, _ in photos])
    value, low, high = balanced_accuracy(features, labels, renders)
    return (
        f"balanced accuracy beside the plug: {100 * value:.1f} % (95 % interval {100 * low:.1f} to "
        f"{100 * high:.1f} %), {len(photos)} photos of {len(np.unique(renders))} renders, five "
        "conditions; chance is 20 %"
    )
