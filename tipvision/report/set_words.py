"""What a comparison says, in sentences."""

from collections.abc import Sequence

from tipvision.comparison.odd_one import Apart, Comparison
from tipvision.comparison.trend import REACH, Trend
from tipvision.record.reading import Reading
from tipvision.report.words import CONDITIONS, listed, opening, taken_words


def comparison_words(
    readings: Sequence[Reading], labels: Sequence[str], comparison: Comparison
) -> tuple[str, ...]:
    """Which plug stands apart and how, or that none does, and what could not be compared."""
    sentences: list[str] = []
    for apart in comparison.by_colour:
        sentences += [f"{opening(labels[apart.plug])} stands apart.", _apart_words(apart)]
    for plug in comparison.by_condition:
        condition = readings[plug].condition
        assert condition is not None and condition.label is not None
        name = CONDITIONS[condition.label][0].lower()
        sentences.append(f"{opening(labels[plug])} is {name}, and the others are not.")
    sentences = sentences or _nothing_apart(comparison)
    if comparison.label is not None:
        sentences.append(f"All of them are {CONDITIONS[comparison.label][0].lower()}.")
    missing = [labels[i] for i, reading in enumerate(readings) if reading.measurement is None]
    if missing:
        sentences.append(f"Not compared, for want of a measured colour: {listed(missing)}.")
    return tuple(sentences)


def _nothing_apart(comparison: Comparison) -> list[str]:
    if comparison.measured < 2:
        return ["Too few plugs were measured to hold them against each other."]
    if comparison.uneven:
        return [
            "The plugs differ.",
            "They do so by more than the doubt in them explains, but not one against the rest: no"
            " colour says which is the odd one.",
        ]
    return [
        "No plug stands apart.",
        "What differs between them is no more than the doubt in the light and the ordinary spread"
        " of an engine explain.",
    ]


def _apart_words(apart: Apart) -> str:
    ratio, low, high = apart.light_ratio
    if low <= 1.0 <= high:
        return (
            "Its colour differs from that of the others by more than the doubt in it explains, in"
            " tint more than in lightness."
        )
    return (
        f"It is {'darker' if ratio < 1.0 else 'lighter'}: its nose gives back {ratio:.2g} times the"
        f" light that the others do (95 % interval {low:.2g} to {high:.2g})."
    )


def trend_words(trend: Trend) -> str:
    """How the plug has changed since the first of the readings."""
    count = len(trend.readings)
    since = trend.readings[0].taken
    span = f"Over {count} readings" + (f" since {taken_words(since)}" if since else "")
    figures = f"{abs(trend.change):.0f} ± {REACH * trend.sd:.0f} L*"
    if trend.is_real:
        return (
            f"{span} the nose has grown {'lighter' if trend.change > 0 else 'darker'} by {figures}."
        )
    return f"{span} the lightness has moved by {figures}: no more than the doubt in it explains."
