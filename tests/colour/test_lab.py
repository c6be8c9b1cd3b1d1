import colour
import numpy as np
import pytest
from skimage import color as skimage_color

from tipvision.colour.lab import D65_WHITE, lab_to_xyz, xyz_to_lab

D65 = np.array([0.3127, 0.3290])


def random_xyz(seed: int) -> np.ndarray:
    """1000 colours under D65, half of them dark (L* 0 to 25)."""
    rng = np.random.default_rng(seed)
    lab = rng.uniform([0, -40, -40], [100, 40, 40], (1000, 3))
    lab[:500] = rng.uniform([0, -6, -6], [25, 6, 10], (500, 3))
    return colour.Lab_to_XYZ(lab, D65)


def test_standing_tests(standing_tests) -> None:
    # One dark brown (reference library: colour-science, XYZ_to_Lab).
    xyz = np.array([0.0321, 0.0312, 0.0201])
    lab = colour.XYZ_to_Lab(xyz, D65)
    standing_tests(xyz_to_lab, xyz, lab)
    standing_tests(lab_to_xyz, lab, xyz)


def test_against_colour_science() -> None:
    xyz = random_xyz(3)
    lab = xyz_to_lab(xyz)
    np.testing.assert_allclose(lab, colour.XYZ_to_Lab(xyz, D65), rtol=0, atol=1e-9)
    np.testing.assert_allclose(lab_to_xyz(lab), colour.Lab_to_XYZ(lab, D65), rtol=0, atol=1e-9)


def test_against_colour_science_under_another_white() -> None:
    xyz, xy = random_xyz(4), [0.44758, 0.40745]
    lab = xyz_to_lab(xyz, colour.xy_to_XYZ(xy))
    np.testing.assert_allclose(lab, colour.XYZ_to_Lab(xyz, xy), rtol=0, atol=1e-9)


def test_against_scikit_image() -> None:
    # scikit-image rounds D65 to 0.95047, 1, 1.08883, and the straight part to 0.008856 and 7.787.
    # Given its white, the curved part agrees to 1e-9 and the straight part to 0.005.
    white = np.array([0.95047, 1.0, 1.08883])
    xyz = random_xyz(5)
    ours, theirs = xyz_to_lab(xyz, white), skimage_color.xyz2lab(xyz, "D65", "2")
    curved = (xyz / white > 0.00886).all(axis=-1)
    assert 100 < curved.sum() < len(xyz)  # both parts are met
    np.testing.assert_allclose(ours[curved], theirs[curved], rtol=0, atol=1e-9)
    np.testing.assert_allclose(ours, theirs, rtol=0, atol=0.005)


def test_there_and_back() -> None:
    xyz = random_xyz(6)
    np.testing.assert_allclose(lab_to_xyz(xyz_to_lab(xyz)), xyz, rtol=0, atol=1e-14)


def test_scale_of_the_white() -> None:
    xyz = random_xyz(7)
    np.testing.assert_allclose(
        xyz_to_lab(100 * xyz, 100 * D65_WHITE), xyz_to_lab(xyz), rtol=0, atol=1e-10
    )


def test_white_and_black() -> None:
    # By the definition of CIELAB (CIE 15).
    np.testing.assert_allclose(xyz_to_lab(D65_WHITE), [100, 0, 0], rtol=0, atol=1e-12)
    np.testing.assert_allclose(xyz_to_lab([0, 0, 0]), [0, 0, 0], rtol=0, atol=1e-12)


def test_the_two_parts_meet() -> None:
    # L* = 8 exactly where Y = 216/24389 (CIE 15), with no step.
    y = 216 / 24389 + np.array([-1e-12, 0.0, 1e-12])
    np.testing.assert_allclose(xyz_to_lab(y[:, np.newaxis] * D65_WHITE)[:, 0], 8.0, atol=1e-8)


def test_wrong_shape() -> None:
    with pytest.raises(ValueError, match="XYZ needs three numbers"):
        xyz_to_lab(np.zeros((3, 4)))
    with pytest.raises(ValueError, match="The white needs three numbers"):
        lab_to_xyz(np.zeros((3, 3)), [0.95, 1.0])
