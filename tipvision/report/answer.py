"""The answer of a reading in plain words, the same for every kind of report."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tipvision.causes.explanation import Check, Sentence
from tipvision.record.reading import Reading
from tipvision.report.same_plug import base_name
from tipvision.report.words import CONDITIONS, FINDINGS, listed, percent, sure_word

FINDING_STANDS = 0.5  # probability from which a finding is named; the record's own line


_UNSEEN = {"unreadable": "Could not be opened", "not_a_plug": "No spark plug found"}


@dataclass(frozen=True)
class Answer:
    """What is said first.

    headline: the answer, such as "Dry black" or "Cannot tell: dry black or wet black".
    gloss:    what it means, such as "carbon fouled"; "" without one.
    sure:     how sure, in a word, such as "Very sure"; "" where nothing was answered.
    number:   how sure, such as "93 %"; "" where nothing was answered.
    """

    headline: str
    gloss: str = ""
    sure: str = ""
    number: str = ""

    @property
    def sentence(self) -> str:
        """All of it on one line: "Dry black (carbon fouled): 93 % sure"."""
        meaning = f" ({self.gloss})" if self.gloss else ""
        certainty = f": {self.number} sure" if self.number else ""
        return f"{self.headline}{meaning}{certainty}"


def answer(reading: Reading) -> Answer:
    """The answer that this reading allows."""
    if reading.outcome in _UNSEEN:
        return Answer(_UNSEEN[reading.outcome])
    condition = reading.condition
    if condition is None:
        return Answer("Cannot tell from this photo")
    if reading.outcome == "unclear":
        names = [CONDITIONS[label][0].lower() for label in condition.possible]
        several = len(names) > 1
        opening = "Cannot tell:" if several else "Cannot be sure: it looks like"
        return Answer(f"{opening} {listed(names, 'or')}")
    if condition.label is None:
        found = listed([name for name, _ in findings(reading)])
        name = found[:1].upper() + found[1:] or CONDITIONS["none"][0]
        gloss = "no fouling or heat condition fits"
    else:
        name, gloss = CONDITIONS[condition.label]
    probability = condition.probabilities[condition.label or "none"]
    return Answer(name, gloss, sure_word(probability), percent(probability))


def findings(reading: Reading) -> list[tuple[str, float]]:
    """Findings that stand, in words, with their probabilities, most probable first."""
    if reading.condition is None:
        return []
    return [(FINDINGS[name], p) for name, p in standing(reading.condition.findings)]


def standing(found: Mapping[str, float | None]) -> list[tuple[str, float]]:
    """Names of the findings that stand, with their probabilities, most probable first."""
    stand = [(name, p) for name, p in found.items() if p is not None and p >= FINDING_STANDS]
    return sorted(stand, key=lambda pair: -pair[1])


def photo_name(reading: Reading) -> str:
    """Base name of the photo, with how many more there are of this plug."""
    more = 0 if reading.together is None else len(reading.together.photos) - 1
    name = base_name(reading.photo)
    return f"{name} and {more} more of this plug" if more else name


def plug_words(reading: Reading) -> str | None:
    """Which of several plugs this is: "plug 2 of 4", or "4 plugs" where none was picked."""
    if reading.plug is None or reading.plug[1] < 2:
        return None
    number, count = reading.plug
    return f"plug {number} of {count}" if number else f"{count} plugs"


def heeded(check: Check, cautions: Sequence[Sentence]) -> str:
    """The cautions of a check by their numbers in the report: "cautions 2 and 3", or ""."""
    order = {caution.id: number for number, caution in enumerate(cautions, 1)}
    numbers = [str(n) for n in sorted(order[c] for c in check.cautions if c in order)]
    return f"caution{'s' * (len(numbers) > 1)} {listed(numbers)}" if numbers else ""
