"""The light of a photo from a 24-patch chart in it."""

from tipvision.light.chart.editions import COLUMNS, edition_of
from tipvision.light.chart.fit import ChartFit, fit_chart
from tipvision.light.chart.patches import LONGEST_WINDOW, chart_box, read_chart
from tipvision.light.chart.view import ChartView
from tipvision.light.light import Light
from tipvision.photo.photo import Photo

TILE_PX = 48  # of a tile, about: more say nothing new about its colour and cost time; our estimate


def fit_of_chart(photo: Photo, view: ChartView, edition: str) -> ChartFit:
    """The fit to the chart that lies in a photo as `view` has it.

    Raises ValueError for an unknown edition, PhotoFault for a damaged photo.
    """
    printed = edition_of(edition)
    box = chart_box(view)
    tile = min(box.width, box.height) / COLUMNS  # what must be seen sharply; at a slant less
    window = photo.window(box, LONGEST_WINDOW, part_px=tile, block_px=tile / TILE_PX)
    return fit_chart(read_chart(window, box, view), printed)


def light_of_chart(fit: ChartFit) -> Light | None:
    """The light that a fit stands for, or None where it was refused."""
    if fit.correction is None or fit.samples is None:
        return None
    return Light(
        source="chart",
        correction=fit.correction,
        samples=fit.samples,
        residual=fit.mean,
        level_known=True,
        notes=() if fit.verdict == "good" else (f"Of the 24-patch chart, {fit.reason}",),
    )
