"""The body: threads, seats, hexagons, the far end."""

import numpy as np
import pytest

from pipelines.studio.geometry.body import gasket, hex_body, shell, terminal, upper_insulator
from pipelines.studio.plug import FAMILIES, FiringEnd, sample_plug
from pipelines.studio.plug_families import THREADS


def _roots(plug: FiringEnd, column: int) -> np.ndarray:
    """Heights of the thread's roots along one line of the outer wall."""
    mesh = shell(plug)
    rows, columns = mesh.grid or (0, 0)
    line = mesh.vertices.reshape(rows, columns, 3)[:, column % (columns - 1)]
    r, z = np.hypot(line[:, 0], line[:, 1]), line[:, 2]
    outer = (r > 0.83 * plug.thread / 2) & (z > 3.0 - plug.reach) & (z < -2.0)
    r, z = r[outer], z[outer]
    low = r < r.min() + 0.08
    groups = np.split(z[low], np.nonzero(np.diff(z[low]) > 0.5)[0] + 1)
    return np.array([g.mean() for g in groups])


@pytest.mark.parametrize("thread", THREADS)
def test_thread_has_its_diameter_pitch_and_hand(thread: float) -> None:
    # Pitches: common practice (ISO metric designations M8×1, M10×1, M12×1.25, M14×1.25, M18×1.5).
    pitch = {8.0: 1.0, 10.0: 1.0, 12.0: 1.25, 14.0: 1.25, 18.0: 1.5}[thread]
    plug = sample_plug(5, "normal", thread=thread)
    vertices = shell(plug).vertices
    radius = np.hypot(vertices[:, 0], vertices[:, 1])
    assert radius.max() == pytest.approx(thread / 2, abs=0.01)
    roots = _roots(plug, 0)
    assert np.diff(roots).mean() == pytest.approx(pitch, abs=0.02)
    assert np.diff(roots) == pytest.approx(pitch, abs=0.1)
    # A quarter turn to the left (seen from the firing end) moves the roots by a quarter pitch away
    # from the seat: right-hand.
    turned = _roots(plug, 64)
    shift = (turned[1:4] - roots[1:4]).mean() % pitch
    assert shift == pytest.approx(pitch / 4, abs=0.1)


@pytest.mark.parametrize("reach", [9.5, 12.7, 19.0, 26.5])
def test_reach_is_from_the_rim_to_the_seat(reach: float) -> None:
    plug = sample_plug(5, "normal", reach=reach)
    assert gasket(plug).vertices[:, 2].max() == pytest.approx(-reach, abs=0.05)
    assert shell(plug).vertices[:, 2].max() == pytest.approx(0.0, abs=1e-9)
    assert hex_body(plug).vertices[:, 2].max() < -reach
    # There is thread on nearly all of it.
    assert len(_roots(plug, 0)) == pytest.approx((reach - 5.0) / plug.pitch, abs=1.5)


def test_a_taper_seat_is_a_cone_of_63_degrees() -> None:
    # 63°: from memory, unchecked.
    for name in ("m14-taper-projected-nickel-j", "m18-taper-projected-nickel-j"):
        plug = sample_plug(2, "normal", families=[name])
        mesh = hex_body(plug)
        r, z = np.hypot(*mesh.vertices[:, :2].T), mesh.vertices[:, 2]
        cone = (z < -plug.reach - 0.3) & (z > -plug.reach - 1.0)
        slope = np.polyfit(z[cone], r[cone], 1)[0]
        assert 2 * np.degrees(np.arctan(-slope)) == pytest.approx(63.0, abs=8.0)
        # No wider than the hexagon's corners, so that a socket goes over it.
        assert r[z > -plug.reach - 4.0].max() <= plug.hexagon / 2 / np.cos(np.pi / 6) + 1e-6


def test_hexagon_has_its_width_across_flats() -> None:
    for seed in range(8):
        plug = sample_plug(seed, "normal", families=FAMILIES)
        mesh = hex_body(plug)
        middle = np.abs(mesh.vertices[:, 2] + plug.reach + 1.4 + 8.5) < 2.0
        x, y = mesh.vertices[middle, 0], mesh.vertices[middle, 1]
        angles = np.radians(np.arange(0, 180, 60))
        widths = [np.ptp(x * np.cos(a) + y * np.sin(a)) for a in angles]
        assert widths == pytest.approx([plug.hexagon] * 3, abs=0.02)


def test_insulator_comes_out_of_the_hexagon_and_carries_the_terminal() -> None:
    for seed in range(12):
        plug = sample_plug(seed, "normal", families=FAMILIES)
        upper, end, body = upper_insulator(plug), terminal(plug), hex_body(plug)
        widest = np.hypot(*upper.vertices[:, :2].T).max()
        assert widest < plug.hexagon / 2 - 1.0
        assert upper.vertices[:, 2].max() > body.vertices[:, 2].min()
        assert end.vertices[:, 2].max() == pytest.approx(upper.vertices[:, 2].min(), abs=0.1)
