"""The labelled sample that ships: photos of a large developed set, picked so that it is balanced.

Picked by what the manifest says, never by how a photo looks or how well anything reads it: in turn
for each condition the photo whose view, light, reference and size are rarest so far among those of
its condition. Equal counts of light and view in every condition also leave lamp and view nothing
to tell of it.
"""

import shutil
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from pipelines.studio.plug import CONDITIONS
from pipelines.studio.truth import PhotoTruth, read_manifest, write_manifest

LARGEST = 60_000
"""Bytes of a photo at most."""

NO_PLUG, NO_CONDITION = 0.14, 0.05
"""Shares of photos without a plug, and of plugs with findings but none of the conditions."""

SEED = 20_261_125


def write_sample(manifest: Path, out: Path, count: int) -> list[PhotoTruth]:
    """Pick `count` photos of a developed set and copy them, with masks and manifest, into `out`.

    Raises ValueError when the set has too few photos of a kind, or `out` holds something already.
    """
    if out.exists() and any(out.iterdir()):
        raise ValueError(f"{out} is not empty. Name another folder, or empty it first.")
    photos = [
        p for p in read_manifest(manifest) if (manifest.parent / p.file).stat().st_size <= LARGEST
    ]
    chosen = [p for kind, many in quotas(count).items() for p in picked(photos, kind, many)]
    (out / "masks").mkdir(parents=True, exist_ok=True)
    listed = []
    for number, photo in enumerate(chosen, start=1):
        stem = f"{number:03d}"
        shutil.copyfile(manifest.parent / photo.file, out / f"{stem}.jpg")
        mask = None if photo.mask is None else f"masks/{stem}.png"
        if photo.mask is not None and mask is not None:
            shutil.copyfile(manifest.parent / photo.mask, out / mask)
        stored = photo.stored_light
        if stored is not None:
            shutil.copyfile(manifest.parent / stored.file, out / f"{stem}.light.jpg")
            stored = replace(stored, file=f"{stem}.light.jpg")
        listed.append(replace(photo, file=f"{stem}.jpg", mask=mask, stored_light=stored))
    write_manifest(out / "manifest.jsonl", listed)
    return listed


def quotas(count: int) -> dict[str, int]:
    """How many photos of each kind: the conditions in equal parts, "none" and "no plug"."""
    empty, bare = round(NO_PLUG * count), round(NO_CONDITION * count)
    each, rest = divmod(count - empty - bare, len(CONDITIONS))
    out = {c: each + (k < rest) for k, c in enumerate(CONDITIONS)}
    return {**out, "none": bare, "no plug": empty}


def kind_of(photo: PhotoTruth) -> str:
    """The condition of the first plug, "none", "no plug", or "rest of a plug" in the mask alone."""
    if photo.plug is None:
        return "no plug" if photo.mask is None else "rest of a plug"
    return photo.plug.condition or "none"


def picked(photos: Sequence[PhotoTruth], kind: str, many: int) -> list[PhotoTruth]:
    """`many` photos of a kind, balanced. Raises ValueError when there are fewer."""
    order = np.random.default_rng(SEED).permutation(len(photos))
    left = [photos[k] for k in order if kind_of(photos[k]) == kind]
    if len(left) < many:
        raise ValueError(
            f"The set has {len(left)} small enough photos of {kind}, not {many}. "
            "Develop more renders, or lower --count."
        )
    seen: Counter[tuple[str, str]] = Counter()
    out: list[PhotoTruth] = []
    renders: set[int] = set()
    for _ in range(many):
        # A second photo of the same plug only when there is no other.
        fresh = [p for p in left if p.seed not in renders] or left
        best = min(fresh, key=lambda p: sum(seen[trait] ** 2 for trait in traits(p)))
        seen.update(traits(best))
        renders.add(best.seed)
        left.remove(best)
        out.append(best)
    return out


def traits(photo: PhotoTruth) -> list[tuple[str, str]]:
    """What the sample is balanced over."""
    light = photo.light[0].illuminant
    series = "LED" if light.startswith("LED") else "FL" if light.startswith("FL") else light[:1]
    kinds = {r.kind for r in photo.references}
    kinds |= set() if photo.stored_light is None else {"stored_light"}
    references = "+".join(sorted(kinds)) or "none"
    out = [("light", series), ("balance", photo.white_balance), ("reference", references)]
    if photo.plug is not None:
        nose = photo.plug.nose_px
        size = "tiny" if nose < 24 else "small" if nose < 60 else "large"
        out += [
            ("view", photo.plug.view),
            ("size", "hidden" if photo.plug.nose_lab is None else size),
            ("mixed", str(len(photo.plug.shares) > 1)),
        ]
    return out


def told(photos: Sequence[PhotoTruth], folder: Path) -> str:
    """Counts and sizes of a sample, for the terminal."""
    kinds = Counter(kind_of(p) for p in photos)
    counts = [f"{len(photos)} photos: " + ", ".join(f"{n} {k}" for k, n in kinds.items())]
    by: dict[str, Counter[str]] = {}
    for photo in photos:
        for trait, value in traits(photo):
            by.setdefault(trait, Counter())[value] += 1
    counts += [
        f"{t}: " + ", ".join(f"{n} {v}" for v, n in sorted(c.items())) for t, c in by.items()
    ]
    sizes = [f.stat().st_size for f in folder.rglob("*") if f.is_file()]
    largest = max(f.stat().st_size for f in folder.glob("*.jpg"))
    counts.append(f"{sum(sizes) / 1e6:.1f} MB in all, the largest photo {largest / 1e3:.0f} KB")
    return "\n".join(counts)
