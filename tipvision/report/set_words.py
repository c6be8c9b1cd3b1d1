"""What a comparison says, in sentences."""

from collections.abc import Mapping, Sequence
from itertools import groupby

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
    settled = all(reading.outcome == "read" for reading in readings)
    rest = ", and the others are not" if settled else ", and none of the others is so for sure"
    for plug in comparison.by_condition:
        condition = readings[plug].condition
        assert condition is not None and condition.label is not None
        sentences.append(f"{opening(labels[plug])} is {_named(condition.label)}{rest}.")
    answers = _answers(readings, labels)
    if len(answers) > 1 + len(comparison.by_condition[:1]):
        sentences += _unlike(answers, alone=not sentences)
    sentences = sentences or _nothing_apart(comparison)
    if comparison.label is not None:
        sentences.append(f"All of them are {_named(comparison.label)}.")
    missing = [labels[i] for i, reading in enumerate(readings) if reading.measurement is None]
    if missing:
        sentences.append(f"Not compared, for want of a measured colour: {listed(missing)}.")
    return tuple(sentences)


def _named(label: str) -> str:
    return CONDITIONS[label][0].lower()


def _answers(readings: Sequence[Reading], labels: Sequence[str]) -> dict[str, list[str]]:
    """By condition, the plugs that were answered so; conditions in the order of the plugs."""
    answers: dict[str, list[str]] = {}
    for label, reading in zip(labels, readings, strict=True):
        answer = None if reading.condition is None else reading.condition.label
        if reading.outcome == "read" and answer is not None:  # None: findings alone describe it
            answers.setdefault(answer, []).append(label)
    return answers


def _unlike(answers: Mapping[str, Sequence[str]], alone: bool) -> list[str]:
    """That plugs of one engine are in different conditions: whatever their colours explain, that is
    not alike. alone: nothing else was said of what differs."""
    told = [
        f"{listed(plugs)} {'is' if len(plugs) == 1 else 'are'} {_named(label)}"
        for label, plugs in answers.items()
    ]
    sentences = ["The plugs are in different conditions."] if alone else []
    return [*sentences, f"{opening('; '.join(told))}."]


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
    """How the plug has changed since the first of the readings, in condition and in lightness."""
    count = len(trend.readings)
    since = trend.readings[0].taken
    span = f"Over {count} readings" + (f" since {taken_words(since)}" if since else "")
    figures = f"{abs(trend.change):.0f} ± {REACH * trend.sd:.0f} L*"
    if trend.is_real:
        said = f"the nose has grown {'lighter' if trend.change > 0 else 'darker'} by {figures}."
    else:
        said = f"the lightness has moved by {figures}: no more than the doubt in it explains."
    return " ".join([f"{span} {said}", *_changed(trend), *_out_of_order(trend)])


def _changed(trend: Trend) -> list[str]:
    """Said where the condition was not always the one that it is settled to be now."""
    settled = [one.condition for one in trend.readings if one.condition is not None]
    in_turn = [_named(one) for one, _ in groupby(settled)]
    return [f"Its condition was read as {', then '.join(in_turn)}."] if len(in_turn) > 1 else []


def _out_of_order(trend: Trend) -> list[str]:
    """Said where the reading that stands last was not the last to be taken."""
    *before, now = [one.taken for one in trend.readings]
    if now is None or not any(one is not None and one > now for one in before):
        return []
    return ["This photo was taken before others of them, so the change is not one over time."]
