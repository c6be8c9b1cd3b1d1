import tomllib
from importlib import resources

import numpy as np
import pytest
from matplotlib.colors import XKCD_COLORS, to_rgb

from pipelines.bands.__main__ import main
from pipelines.bands.make import CHIPS, bands_text
from pipelines.bands.munsell import chip_lab
from tipvision.colour.difference import ciede2000
from tipvision.colour.lab import xyz_to_lab
from tipvision.colour.srgb import RGB_TO_XYZ, decode
from tipvision.measure.bands import BAND_NAMES, Band, distances, load_bands, nearest, parse_bands

SHIPPED = resources.files("tipvision.measure").joinpath("bands.toml").read_text("utf-8")
BLACKS = {"dry_black", "wet_black"}


def band(name: str) -> Band:
    return load_bands()[BAND_NAMES.index(name)]


def nearest_name(lab: np.ndarray) -> str:
    return load_bands()[nearest(lab, load_bands())].name


def survey_lab(name: str) -> np.ndarray:
    return xyz_to_lab(RGB_TO_XYZ @ decode(to_rgb(XKCD_COLORS[f"xkcd:{name}"])))


# --- the file that ships


def test_shipped_file_is_what_the_pipeline_makes() -> None:
    # Compared as numbers: another release of colour-science may move the last digit.
    for made, shipped in zip(parse_bands(bands_text()), parse_bands(SHIPPED), strict=True):
        assert (made.name, made.title, made.pattern) == (
            shipped.name,
            shipped.title,
            shipped.pattern,
        )
        for field in ("mean", "sd", "correlation"):
            np.testing.assert_allclose(
                getattr(made, field), getattr(shipped, field), rtol=0, atol=0.0101
            )


def test_the_command_writes_the_file(tmp_path, capsys) -> None:
    out = tmp_path / "bands.toml"
    assert main(["--out", str(out)]) == 0
    assert [b.name for b in parse_bands(out.read_text("utf-8"))] == list(BAND_NAMES)
    assert len(capsys.readouterr().out.splitlines()) == 4


def test_bands_are_read_only_and_read_once() -> None:
    assert load_bands() is load_bands()
    with pytest.raises(ValueError, match="read-only"):
        band("normal").mean[0] = 0.0


def test_covariance_belongs_to_sd_and_correlation() -> None:
    for b in load_bands():
        np.testing.assert_allclose(np.sqrt(np.diag(b.covariance)), b.sd)
        assert np.linalg.eigvalsh(b.covariance)[0] > 0


# --- what the trade says of the bands (common practice, no published source)


def test_normal_is_the_broadest_and_takes_in_pale_and_grey_brown() -> None:
    normal = band("normal")
    assert all(normal.sd[0] > b.sd[0] for b in load_bands() if b is not normal)
    inverse = np.linalg.inv(normal.covariance)
    limit = 7.815  # chi-square, 3 degrees of freedom, 95 % (any statistical table)
    for chip in ("7.5YR 7/4", "10YR 6/3", "10YR 5/2", "10YR 7/1", "10YR 8/1", "2.5Y 8/2"):
        off = chip_lab(chip) - normal.mean
        assert off @ inverse @ off < limit, chip
    for chip in ("N 2/", "10YR 2/1", "N 9.5/"):
        off = chip_lab(chip) - normal.mean
        assert off @ inverse @ off > limit, chip


def test_wet_black_is_about_as_dark_as_dry_black_and_browner() -> None:
    dry, wet = band("dry_black").mean, band("wet_black").mean
    assert abs(dry[0] - wet[0]) < 3
    assert wet[1] > dry[1]
    assert 2 < wet[2] - dry[2] < 10
    assert ciede2000(dry, wet) < 8  # colour alone does not tell them apart


def test_chalk_white_is_very_light_and_nearly_neutral() -> None:
    white = band("chalk_white").mean
    assert white[0] > 88
    assert np.hypot(white[1], white[2]) < 4


# --- outside names


@pytest.mark.parametrize(
    ("chip", "expected"),
    [
        # Soil-colour names of the Munsell soil chips, in brackets from memory, unchecked; colours
        # by the renotation (reference library: colour-science).
        ("10YR 6/2", {"normal"}),  # light brownish grey
        ("7.5YR 6/4", {"normal"}),  # light brown
        ("10YR 5/2", {"normal"}),  # greyish brown
        ("10YR 7/2", {"normal"}),  # light grey
        ("N 2/", BLACKS),  # black
        ("10YR 2/1", BLACKS),  # black
        ("N 9/", {"chalk_white"}),  # white
        # Known limits of "nearest mean". White (10YR 8/1) is a colour of a good pale nose too, and
        # dark greyish brown (10YR 4/2) of a good brown one; by distance alone both go elsewhere.
        # Signs of heat, and shine, have to decide there.
        ("10YR 8/1", {"chalk_white"}),
        ("10YR 4/2", BLACKS),
    ],
)
def test_soil_colours(chip: str, expected: set[str]) -> None:
    assert nearest_name(chip_lab(chip)) in expected


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        # Open colour-name survey (reference library: matplotlib, XKCD_COLORS): sRGB on people's
        # own screens, so only rough places can be asked for.
        ("tan", {"normal"}),
        ("greyish brown", {"normal"}),
        ("brown grey", {"normal"}),
        ("light brown", {"normal"}),
        ("mushroom", {"normal"}),
        ("black", BLACKS),
        ("charcoal", BLACKS),
        ("dark grey", BLACKS),
        ("white", {"chalk_white"}),
        # Off white on a screen is nearly as light as white: by colour it cannot be told from chalk.
        ("off white", {"chalk_white"}),
    ],
)
def test_survey_names(name: str, expected: set[str]) -> None:
    assert nearest_name(survey_lab(name)) in expected


def test_chips_that_leave_their_own_band_are_known() -> None:
    # The limit of "nearest mean" in full: these chips of a band lie nearer to another one's mean.
    spec = tomllib.loads(CHIPS.read_text("utf-8"))
    strays = {
        (name, chip): nearest_name(chip_lab(chip))
        for name in BAND_NAMES
        for chip in spec[name]["chips"]
        if nearest_name(chip_lab(chip)) != name
    }
    between_blacks = {key for key, to in strays.items() if key[0] in BLACKS and to in BLACKS}
    assert set(strays) - between_blacks == {
        ("normal", "10YR 4/2"),
        ("normal", "10YR 8/1"),
        ("normal", "10YR 8/2"),
        ("normal", "2.5Y 8/2"),
    }


# --- distances and nearest


def test_distance_to_its_own_mean_is_nothing() -> None:
    for b in load_bands():
        apart = distances(b.mean, load_bands())
        assert tuple(apart) == BAND_NAMES
        assert apart[b.name] == 0.0
        assert min(apart, key=apart.__getitem__) == b.name


def test_distances_are_ciede2000() -> None:
    lab = np.array([55.0, 3.0, 10.0])
    for name, apart in distances(lab, load_bands()).items():
        assert apart == pytest.approx(float(ciede2000(lab, band(name).mean)), abs=1e-12)


def test_nearest_agrees_with_distances_in_any_shape() -> None:
    lab = np.random.default_rng(11).uniform([0, -10, -10], [100, 15, 30], (4, 25, 3))
    lab.flags.writeable = False
    index = nearest(lab, load_bands())
    assert index.shape == (4, 25)
    for colour, i in zip(lab.reshape(-1, 3), index.ravel(), strict=True):
        apart = distances(colour, load_bands())
        assert BAND_NAMES[i] == min(apart, key=apart.__getitem__)
    np.testing.assert_array_equal(nearest(lab.astype(np.float32), load_bands()), index)
    assert nearest(np.empty((0, 3)), load_bands()).shape == (0,)


def test_what_is_not_a_number_has_no_band() -> None:
    lab = np.array([[np.nan, 0, 0], [50, np.inf, 0], [20, 0, 0]])
    index = nearest(lab, load_bands())
    assert index[:2].tolist() == [-1, -1]
    assert BAND_NAMES[index[2]] == "dry_black"
    assert all(np.isnan(d) for d in distances([np.nan, 0, 0], load_bands()).values())


def test_distances_take_one_colour() -> None:
    with pytest.raises(ValueError, match="one colour"):
        distances(np.zeros((2, 3)), load_bands())


# --- faults in the file


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("[wet_black]", "[oily]", "it names"),
        ("[chalk_white]", "[chalk_white", "bands.toml cannot be used"),
        ('pattern = "waves"', 'pattern = "crosshatch"', "share a pattern"),
        ("title = ", "headline = ", "normal: 'title'"),
        ("mean = [", "mean = [1.0, ", "not 3 finite numbers"),
        ("mean = [", "mean = nan # [", "not 3 finite numbers"),
        ("sd = [", "sd = [-", "not positive definite"),
        ("[1.000, ", "[0.900, ", "not positive definite"),
        ("[1.000, ", "[1.000, 1.900], #", "finite numbers|inhomogeneous"),
    ],
)
def test_faulty_files_are_refused(old: str, new: str, says: str) -> None:
    assert old in SHIPPED
    with pytest.raises(ValueError, match=says) as caught:
        parse_bands(SHIPPED.replace(old, new, 1))
    assert "python -m pipelines.bands" in str(caught.value)


def test_a_correlation_above_one_is_refused() -> None:
    band_text = SHIPPED.split("[dry_black]")[0]
    row = [line for line in band_text.splitlines() if line.startswith("    [")]
    first, second = (r.strip().rstrip(",")[1:-1].split(", ") for r in row[:2])
    forged = SHIPPED.replace(row[0], f"    [1.000, 1.200, {first[2]}],", 1)
    forged = forged.replace(row[1], f"    [1.200, 1.000, {second[2]}],", 1)
    with pytest.raises(ValueError, match="not positive definite"):
        parse_bands(forged)


def test_an_unknown_chip_is_refused() -> None:
    with pytest.raises(ValueError, match='"brownish" is no Munsell chip'):
        chip_lab("brownish")
