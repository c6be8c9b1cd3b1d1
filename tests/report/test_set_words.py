from dataclasses import replace

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


def test_plugs_in_different_conditions_are_never_called_alike() -> None:
    two = words(sets.plug(64.0), sets.plug(60.0, "dry_black"))
    assert two[:2] == (
        "The plugs are in different conditions.",
        "Cylinder 1 is normal; cylinder 2 is dry black.",
    )
    assert not any("apart" in sentence for sentence in two)
    one_odd = words(*sets.ONE_DARK)
    assert one_odd[2] == "Cylinder 3 is dry black, and the others are not."
    assert not any("different conditions" in sentence for sentence in one_odd)


def test_a_plug_that_was_not_settled_is_not_said_to_be_otherwise() -> None:
    condition = replace(
        samples.condition("dry_black", {"dry_black": 0.9, "normal": 0.1}, "dry_black"),
        possible=("dry_black", "normal"),
    )
    unclear = replace(sets.plug(22.0), outcome="unclear", condition=condition)
    said = words(*sets.ONE_DARK[:3], unclear)
    assert "Cylinder 3 is dry black, and none of the others is so for sure." in said


def test_a_trend_tells_another_condition_and_photos_out_of_order() -> None:
    def said(*points: tuple[str | None, str | None]) -> str:
        trend = trend_of(
            [Earlier(taken, (60.0, 0, 0), (4.0, 1, 1), label) for taken, label in points]
        )
        assert trend is not None
        return trend_words(trend)

    june, may = "2026:06:12 08:00:00", "2026:05:12 08:00:00"
    changed = said((may, "normal"), (may, None), (june, "chalk_white"))
    assert changed.endswith("Its condition was read as normal, then chalk white.")
    back = said((may, "normal"), (may, "dry_black"), (may, None), (june, "normal"))
    assert back.endswith("Its condition was read as normal, then dry black, then normal.")
    assert "condition" not in said((may, "normal"), (june, "normal"))
    assert "condition" not in said((may, None), (june, "normal"))
    older = said((june, "normal"), (may, "normal"))
    assert older.endswith("taken before others of them, so the change is not one over time.")
    assert "before others" not in said((may, None), (june, None))
