"""Grey card, 24-patch chart, bench card and their look-alikes, each a sheet about its own middle.

A sheet lies in z = 0, faces +z, x right and y up as seen from above, so that it can be laid,
tilted or stood anywhere by one motion; `Flat.corners` go with it.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import numpy as np

from pipelines.studio.bench_card import card_mesh, in_space, ink, strips
from pipelines.studio.bench_card import corners as card_outline
from pipelines.studio.geometry.mesh import Array, Mesh, grid_mesh, transformed
from pipelines.studio.geometry.pose import translation
from pipelines.studio.geometry.sheet import plane
from pipelines.studio.lights.spectra import FINE
from pipelines.studio.materials.spectra import WAVELENGTHS, Matter, hats
from pipelines.studio.materials.surface import Layer, Surface
from pipelines.studio.materials.world import matter, plain
from pipelines.studio.objects.shapes import box
from tipvision.bench_card.layout import load_layout

CHART_COLUMNS, CHART_ROWS = 6, 4
Pieces = tuple[tuple[str, Mesh, Surface], ...]


@dataclass(frozen=True)
class Flat:
    """A reference or a look-alike in its own frame.

    `kind` is "grey_card", "chart", "bench_card" or "look_alike". `corners` (4, 3) are those of its
    outline, `field` (4, 3) those of the patches' outer edges (the outline for all but the chart):
    top left, top right, bottom right, bottom left as it is read. `width` and `height` in mm.
    """

    kind: str
    pieces: Pieces
    corners: Array
    field: Array
    width: float
    height: float


def outline(width: float, height: float, z: float = 0.0) -> Array:
    """Corners (4, 3) of a rectangle round the origin: top left, top right, bottom right, left."""
    x, y = width / 2, height / 2
    return np.array([[-x, y, z], [x, y, z], [x, -y, z], [-x, -y, z]])


@cache
def patch_reflectances() -> Array:
    """Reflectances (24, 16) of the 24-patch chart, row by row from the top left, 0..1.

    Published averages over many charts (reference library: colour-science). The straight lines
    between the sixteen wavelengths are fitted to the spectra by least squares: values read off at
    those wavelengths alone would cut every peak and cost up to 0.7 ΔE00.
    """
    import colour

    chart = colour.SDS_COLOURCHECKERS["babel_average"]
    fine = np.stack([np.interp(FINE, s.wavelengths, s.values) for s in chart.values()])
    fitted, *_ = np.linalg.lstsq(hats(FINE), fine.T, rcond=None)
    return np.asarray(np.clip(fitted.T, 0.0, 1.0))


def tiles(
    columns: int, rows: int, share: float, texels: int, colours: list[Matter], ground: Matter
) -> Surface:
    """Tiles in a grid on a ground, each over `share` of its cell's sides; map `texels` a cell."""
    layers = [Layer(ground)]
    gap = round(texels * (1 - share) / 2)
    for k, tile in enumerate(colours):
        row, column = divmod(k, columns)
        cover = np.zeros((rows * texels, columns * texels))
        # Row 0 of a map is at v = 0, the lower edge of a sheet seen from above.
        low, left = (rows - 1 - row) * texels, column * texels
        cover[low + gap : low + texels - gap, left + gap : left + texels - gap] = 1.0
        layers.append(Layer(tile, cover))
    return Surface(tuple(layers))


def _sheet(width: float, height: float, z: float = 0.0, bend: float = 0.0) -> Mesh:
    x, y = np.meshgrid(np.linspace(-0.5, 0.5, 24), np.linspace(-0.5, 0.5, 16))
    return grid_mesh(np.stack([x * width, y * height, z + bend * (2 * x) ** 2], -1))


def chart(rng: np.random.Generator) -> Flat:
    """The 24-patch chart: pocket or full size, patches on black, in a card with a pale or black
    edge."""
    cell = float(rng.choice([12.0, 16.5, 41.0], p=[0.45, 0.4, 0.15]))
    margin, share = 0.18 * cell, 40.0 / 48.0
    wide, high = CHART_COLUMNS * cell, CHART_ROWS * cell
    width, height = wide + 2 * margin, high + 2 * margin
    patches = [Matter(f"patch {k}", "body", r, 0.0) for k, r in enumerate(patch_reflectances())]
    face = tiles(CHART_COLUMNS, CHART_ROWS, share, 48, patches, matter("chart_black"))
    # One texel is left at the edge of each patch by bilinear blending, as print has.
    backing = plain(str(rng.choice(["chart_black", "plastic_white", "kraft_dark"])))
    pieces = (
        ("chart", transformed(plane(wide, high), translation(0, 0, 0.25)), face),
        ("chart_back", transformed(plane(width, height), translation(0, 0, 0.05)), backing),
    )
    inset = (1 - share) * cell
    return Flat(
        "chart",
        pieces,
        outline(width, height),
        outline(wide - inset, high - inset, 0.25),
        width,
        height,
    )


def grey_card(rng: np.random.Generator) -> Flat:
    """A grey card of reflectance 0.18 at all wavelengths."""
    width, height = [(85.0, 54.0), (100.0, 70.0), (130.0, 100.0), (250.0, 200.0)][rng.integers(4)]
    edge = outline(width, height)
    return Flat(
        "grey_card",
        (("grey_card", _sheet(width, height, 0.1), plain("grey_card")),),
        edge,
        edge,
        width,
        height,
    )


def bench_card(rng: np.random.Generator) -> Flat:
    """The printed bench card with its grey strips, no plug in its seat."""
    layout, curl = load_layout(), float(rng.uniform(0.2, 1.4))
    seat = np.array(layout.seat.centre)
    away = translation(seat[0] - layout.width / 2, layout.height / 2 - seat[1], 0.4)
    paper = Surface((Layer(matter("paper")), Layer(matter("ink"), ink())))
    pieces: list[tuple[str, Mesh, Surface]] = [
        ("card", transformed(card_mesh(curl), away), paper),
    ]
    for k, (x, y, w, h) in enumerate(strips()):
        middle = in_space(np.array([[x + w / 2, y + h / 2]]), 0.0)[0]
        place = away @ translation(middle[0], middle[1], -0.3)
        pieces.append((f"strip_{k}", transformed(plane(w, h), place), plain("grey_card")))
    corners = in_space(card_outline(), curl) @ away[:3, :3].T + away[:3, 3]
    return Flat("bench_card", tuple(pieces), corners, corners, layout.width, layout.height)


_TILE_MATTERS = (
    "plastic_white", "plastic_black", "plastic_yellow", "plastic_blue", "grip_red", "nitrile_green",
    "nitrile_orange", "cardboard", "gravel_sand", "enamel_grey", "grey_card", "cloth_pale",
)  # fmt: skip


def tile_grid(rng: np.random.Generator) -> Flat:
    """Random tiles in a grid, now and then six by four like the chart."""
    six_by_four = rng.random() < 0.4
    columns = 6 if six_by_four else int(rng.integers(3, 9))
    rows = 4 if six_by_four else int(rng.integers(2, 7))
    cell = float(rng.uniform(8, 18))
    smooth = rng.random((columns * rows, 3, 1))
    nm = (WAVELENGTHS - 400.0) / 300.0
    curves = 0.06 + 0.75 * np.clip(
        smooth[:, 0] + 0.8 * (smooth[:, 1] - 0.5) * np.cos(np.pi * nm * (1 + 2 * smooth[:, 2])),
        0,
        1,
    )
    colours = [Matter(f"tile {k}", "body", r, 0.0) for k, r in enumerate(curves)]
    ground = matter(str(rng.choice(["chart_black", "plastic_white", "enamel_grey"])), rng)
    width, height = columns * cell, rows * cell
    face = tiles(columns, rows, float(rng.uniform(0.7, 0.95)), 32, colours, ground)
    pieces = (("tiles", transformed(plane(width, height), translation(0, 0, 0.2)), face),)
    edge = outline(width, height)
    return Flat("look_alike", pieces, edge, edge, width, height)


def calculator(rng: np.random.Generator) -> Flat:
    """A calculator: keys in rows, a display."""
    columns, rows, cell = 4 + int(rng.integers(2)), 4 + int(rng.integers(3)), 13.0
    width, height = columns * cell + 8, rows * cell + 38
    body, key, other = (str(v) for v in rng.choice(_TILE_MATTERS[:6], 3, replace=False))
    pieces: list[tuple[str, Mesh, Surface]] = [("body", box(width, height, 8.0, 4.0), plain(body))]
    shown = transformed(plane(width - 12, 20), translation(0, height / 2 - 17, 8.2))
    pieces.append(("shown", shown, plain("display", rng)))
    for k in range(columns * rows):
        row, column = divmod(k, columns)
        place = translation((column - (columns - 1) / 2) * cell, height / 2 - 37 - row * cell, 7.8)
        colour = other if column == columns - 1 or row == 0 else key
        mesh = transformed(box(0.74 * cell, 0.62 * cell, 2.2, 1.5), place)
        pieces.append((f"key_{k}", mesh, plain(colour, rng)))
    edge = outline(width, height, 8.0)
    return Flat("look_alike", tuple(pieces), edge, edge, width, height)


def carton(rng: np.random.Generator) -> Flat:
    """A small carton with coloured fields printed on its top."""
    width, height, tall = (float(rng.uniform(*r)) for r in ((40, 110), (30, 80), (12, 30)))
    names = rng.choice(_TILE_MATTERS, 6)
    print_on = tiles(3, 2, float(rng.uniform(0.6, 1.0)), 40, [matter(str(n)) for n in names],
                     matter("paper"))  # fmt: skip
    top = transformed(plane(width - 2, height - 2), translation(0, 0, tall + 0.1))
    pieces = (
        ("carton", box(width, height, tall, 0.6), plain("cardboard")),
        ("print", top, print_on),
    )
    edge = outline(width, height, tall)
    return Flat("look_alike", pieces, edge, edge, width, height)


FLATS: dict[str, Callable[[np.random.Generator], Flat]] = {
    "grey_card": grey_card,
    "chart": chart,
    "bench_card": bench_card,
    "tile grid": tile_grid,
    "calculator": calculator,
    "carton": carton,
}
LOOK_ALIKES = ("tile grid", "calculator", "carton")


def flat(name: str, seed: int) -> Flat:
    """The reference or look-alike of that name, drawn from the seed.

    Raises KeyError with the known names when there is none.
    """
    if name not in FLATS:
        raise KeyError(f"no reference called {name!r}; known: {', '.join(FLATS)}")
    return FLATS[name](np.random.default_rng([seed, 23]))
