"""A step of heat range: which number is colder, and why there is never more than one step."""

from tipvision.workshop.worked import READING_CAUTIONS, Worked

SCALES = ("higher_is_colder", "higher_is_hotter")
TOWARDS = ("colder", "hotter")
CHANGES = ("compression", "timing", "fuel", "use")  # what may ask for another heat range

_SOURCE = "common practice, no published source"
_CAUTIONS = ("never_leaner_or_hotter", "manual_first")


def heat_range_step(
    now: int | None, scale: str | None, towards: str | None, changed: str | None
) -> Worked:
    """The step of heat range that may be taken.

    now:     the number on the plug, None where it is not said.
    scale:   how the maker numbers, one of `SCALES`; None where nobody looked it up.
    towards: one of `TOWARDS`; None is "in doubt", and that is the colder side.
    changed: what was changed in the engine or its use, one of `CHANGES`; without it the answer is
             to stay.
    Raises ValueError for another word or a number below 0.
    """
    for word, known in ((scale, SCALES), (towards, TOWARDS), (changed, CHANGES)):
        if word is not None and word not in known:
            raise ValueError(f"'{word}' is not one of {', '.join(known)}.")
    if now is not None and now < 0:
        raise ValueError(f"{now} is no number of a heat range.")
    numbers: dict[str, float | None] = {"now": now, "next": None}
    if changed is None:
        stay = (
            "Stay on the heat range that the manual names: nothing was named that has changed in"
            " compression, timing, fuel or use, and colour alone is no reason."
        )
        return Worked((stay,), numbers, _CAUTIONS, (_SOURCE,))
    side = towards or "colder"
    opening = "In doubt go to the colder side: one" if towards is None else "Go one"
    first = f"{opening} step {side}, for the changed {changed}, and never two steps at once."
    after = "Read the plug again after a steady load before anything else is changed."
    if scale is None:
        which = (
            "Makers' scales run either way: look up whether this maker's higher number is the"
            " colder or the hotter plug before one is ordered."
        )
        return Worked((first, which, after), numbers, READING_CAUTIONS + _CAUTIONS, (_SOURCE,))
    up = (side == "colder") == (scale == "higher_is_colder")
    way = "higher" if up else "lower"
    if now is None:
        which = f"On this maker's scale that is the next {way} number of the list."
    elif now == 0 and not up:
        which = f"Below {now} this maker's scale has no number: there is no {side} plug of it."
    else:
        numbers["next"] = now + (1 if up else -1)
        which = (
            f"On this maker's scale that is {numbers['next']:.0f} in place of {now}, or the next"
            f" {way} number that the maker lists."
        )
    return Worked((first, which, after), numbers, READING_CAUTIONS + _CAUTIONS, (_SOURCE,))
