"""Which of what decided fits on the sheet."""

from tipvision.condition.evidence import AGAINST
from tipvision.report.contents import weightiest

FOR = tuple(f"For it, {n}." for n in range(4))
OTHERS = tuple(f"{AGAINST}something, {n}." for n in range(2))


def test_the_strongest_against_the_answer_is_never_left_out() -> None:
    assert weightiest((*FOR, *OTHERS, "All else."), 3) == (*FOR[:2], OTHERS[0])
    assert weightiest((FOR[0], *OTHERS, "All else."), 2) == (FOR[0], OTHERS[0])


def test_without_one_the_first_are_shown() -> None:
    assert weightiest((*FOR, "All else."), 3) == FOR[:3]
    assert weightiest((), 3) == ()
