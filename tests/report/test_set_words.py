from tests.report import samples, sets
from tipvision.comparison.earlier import Earlier
from tipvision.comparison.odd_one import compare
from tipvision.comparison.trend import trend_of
from tipvision.record.reading import Reading
from tipvision.report.set_words import comparison_words, trend_words


def words(*readings: Reading) -> tuple[str, ...]:
    return comparison_words(readings, sets.LABELS[: len(readings)], compare(readings))


def test_the_answer_comes_first() -> None:
    assert words(*sets.ONE_DARK)[0] == "Cylinder 3 stands apart."
    assert words(*sets.ALL_DARK)[0] == "No plug stands apart."
    assert words(sets.plug(64.0), sets.plug(15.0))[0] == "The plugs differ."
    assert words(samples.NOT_FOUND, samples.NOT_A_PLUG)[0].startswith("Too few")


def test_what_was_not_measured_is_said() -> None:
    said = words(samples.NOT_FOUND, *sets.ALL_DARK[:3])
    assert said[-1] == "Not compared, for want of a measured colour: cylinder 1."


def test_a_trend_is_told_with_its_doubt() -> None:
    def said(*lightness: float) -> str:
        points = [
            Earlier(f"2026:0{n}:12 08:00:00", (value, 0.0, 0.0), (4.0, 1.0, 1.0), None)
            for n, value in enumerate(lightness, 1)
        ]
        trend = trend_of(points)
        assert trend is not None
        return trend_words(trend)

    assert said(70.0, 50.0, 30.0) == (
        "Over 3 readings since 12 January 2026, 08:00 the nose has grown darker by 40 ± 11 L*."
    )
    assert "lighter" in said(30.0, 70.0)
    assert "no more than the doubt" in said(50.0, 52.0)
