"""Parts without a plug: laid out in all ways, close up, often an end to the camera."""

from collections import Counter
from functools import cache

import numpy as np

from pipelines.studio.objects.parts import pieces
from pipelines.studio.staging.others import FILLS, SHARES_OF, Laid, laid_out
from pipelines.studio.staging.poses import Aim, look

NAMES = ("ball bearing", "tube", "plain ring", "nozzle", "stepped rod")
SIZE = (320, 240)


@cache
def _many() -> tuple[Laid, ...]:
    return tuple(laid_out(NAMES, seed, np.random.default_rng([seed, 53])) for seed in range(160))


def _parts(laid: Laid) -> int:
    return len({item.name.partition("_")[0] for item in laid.items})


def test_each_way_comes_as_often_as_it_should() -> None:
    found = Counter(laid.kind for laid in _many())
    for kind, share in SHARES_OF.items():
        assert abs(found[kind] / len(_many()) - share) < 0.12
        assert found[kind] >= 1
    assert sum(SHARES_OF.values()) == 1


def test_rows_and_heaps_have_several_parts_and_close_ups_one() -> None:
    for laid in _many():
        number = _parts(laid)
        low, high = {"nothing": (0, 0), "few": (1, 4), "row": (3, 7), "heap": (4, 9)}.get(
            laid.kind, (1, 1)
        )
        assert low <= number <= high
        assert len({item.name for item in laid.items}) == len(laid.items)


def test_a_part_close_up_fills_the_picture_as_asked() -> None:
    shares = []
    for seed, laid in enumerate(_many()):
        if laid.kind not in ("close-up", "up"):
            continue
        assert FILLS[0] <= laid.aim.share <= FILLS[1]
        eye = look(laid.aim, SIZE, np.random.default_rng(seed), laid.aim.point)
        near = np.concatenate([i.mesh.vertices for i in laid.items])
        depth = near @ laid.aim.way
        face = eye.project(near[depth > depth.max() - 3.0])
        # The nearest 3 mm are at most the whole end, and seen.
        assert np.ptp(face, axis=0).max() < 1.6 * laid.aim.share * min(SIZE) + 20
        u, v = eye.project(laid.aim.point[None])[0]
        assert 0 < u < SIZE[0] and 0 < v < SIZE[1]
        shares.append(laid.aim.share)
    assert min(shares) < 0.4 and max(shares) > 0.7


def test_a_third_of_all_photos_look_into_an_end() -> None:
    """A stepped rod has its ends along one axis: seen end on, it is short across the picture."""
    into = []
    for seed in range(120):
        laid = laid_out(("stepped rod",), seed, np.random.default_rng([seed, 53]))
        if laid.kind not in ("close-up", "up"):
            into.append(False)
            continue
        points = np.concatenate([i.mesh.vertices for i in laid.items])
        long = max(np.ptp(mesh.vertices[:, 2]) for _, mesh, _ in pieces("stepped rod", seed * 7))
        into.append(bool(np.ptp(points @ laid.aim.way) > 0.75 * long))
    assert np.mean(into) > 0.25


def test_what_lies_or_stands_touches_the_ground_and_what_is_held_does_not() -> None:
    for laid in _many():
        if not laid.items:
            continue
        low = min(float(i.mesh.vertices[:, 2].min()) for i in laid.items)
        if laid.kind == "up":
            assert 14 < low - laid.level < 111
        else:
            assert abs(low - laid.level) < 0.3


def test_a_seed_repeats() -> None:
    one, again = (laid_out(NAMES, 11, np.random.default_rng(11)) for _ in range(2))
    assert one.kind == again.kind
    for a, b in zip(one.items, again.items, strict=True):
        assert np.array_equal(a.mesh.vertices, b.mesh.vertices)


def test_the_camera_is_never_under_the_bench() -> None:
    for laid in _many():
        assert isinstance(laid.aim, Aim)
        assert laid.aim.way[2] > -0.02
