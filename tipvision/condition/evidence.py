"""What parts an answer from the next best one, with the numbers behind it."""

from dataclasses import dataclass

AGAINST = "Against it: "  # how a sentence begins that speaks against the answer


@dataclass(frozen=True)
class Sign:
    """One thing that was seen, as a sentence without its full stop, and its weight: what it adds to
    the ln odds of the answer against the next best."""

    text: str
    weight: float

    @property
    def against(self) -> bool:
        """Whether it speaks against the answer, by a weight that is not rounded away."""
        return round(self.weight, 1) < 0.0


@dataclass(frozen=True)
class Evidence:
    """What decided between a label and its rival, both in words.

    signs: those that weigh most, the strongest that speak for the label first, then the strongest
    against it. rest: of all other signs; doubt: of averaging over the light; score: of all
    together. The weights of the signs, rest and doubt sum to the score.
    """

    label: str
    rival: str
    signs: tuple[Sign, ...]
    rest: float
    doubt: float
    score: float

    def sentences(self) -> tuple[str, ...]:
        """With exact weights in brackets: one for each sign, then one for the rest and the sum."""
        return (
            *(f"{_marked(sign)} ({_written(sign.weight)})." for sign in self.signs),
            f"All else comes to {_written(self.rest)}, the doubt in the light to "
            f"{_written(self.doubt)}: {_written(self.score)} in all for {self.label} against "
            f"{self.rival}, as ln odds.",
        )


def lowered(text: str) -> str:
    """The text as it stands within a sentence."""
    return f"{text[:1].lower()}{text[1:]}"


def _marked(sign: Sign) -> str:
    return f"{AGAINST}{lowered(sign.text)}" if sign.against else sign.text


def _written(weight: float) -> str:
    return f"{round(weight, 1) + 0.0:+.1f}"
