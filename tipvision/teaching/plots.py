"""Figures of the card, drawn as plain SVG."""

from collections.abc import Sequence

from markupsafe import Markup

from tipvision.teaching.held_out import Bin

SIDE, EDGE = 260, 34


def reliability_svg(bins: Sequence[Bin]) -> Markup:
    """How often the likeliest condition was right against how probable it was called: a dot for
    each bin with the 95 % interval of its rate; on the line, probabilities mean what they say."""
    whole = SIDE + 2 * EDGE
    marks = "".join(
        f'<path d="M{_x(b.sure)} {_y(b.low)}V{_y(b.high)}" stroke="#44535b" stroke-width="1.5"/>'
        f'<circle cx="{_x(b.sure)}" cy="{_y(b.right)}" r="4"><title>{b.n} photos: called '
        f"{100 * b.sure:.0f} %, right {100 * b.right:.0f} %</title></circle>"
        for b in bins
    )
    ticks = "".join(
        f'<text x="{_x(at)}" y="{EDGE + SIDE + 14}" text-anchor="middle">{100 * at:.0f}</text>'
        f'<text x="{EDGE - 5}" y="{float(_y(at)) + 4:.1f}" text-anchor="end">{100 * at:.0f}</text>'
        for at in (0.0, 0.5, 1.0)
    )
    return Markup(
        f'<svg viewBox="0 0 {whole} {whole}" width="{whole}" height="{whole}" role="img" '
        'font-family="Arial, sans-serif" font-size="11" fill="#16242c">'
        "<title>Probability called, and how often right</title>"
        f'<rect x="{EDGE}" y="{EDGE}" width="{SIDE}" height="{SIDE}" fill="none" '
        'stroke="#8b979d"/>'
        f'<path d="M{_x(0)} {_y(0)}L{_x(1)} {_y(1)}" stroke="#8b979d" stroke-dasharray="4 3"/>'
        f"{marks}{ticks}"
        f'<text x="{EDGE + SIDE / 2}" y="{whole - 4}" text-anchor="middle">called, %</text>'
        f'<text x="{EDGE}" y="{EDGE - 10}">right, %</text></svg>'
    )


def _x(share: float) -> str:
    return f"{EDGE + SIDE * share:.1f}"


def _y(share: float) -> str:
    return f"{EDGE + SIDE * (1 - share):.1f}"
