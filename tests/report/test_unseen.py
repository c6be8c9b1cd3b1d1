from dataclasses import replace

from tests.report import samples
from tipvision.condition.condition import FINDINGS
from tipvision.report.unseen import ALWAYS, unseen


def test_what_nobody_looked_for_is_named() -> None:
    said = unseen(samples.READ)
    assert said[0] == (
        "Not searched for: coolant marks and dust skin from unfiltered air. Look for them yourself."
    )
    assert samples.READ.condition is not None
    blind = replace(samples.READ.condition, findings=dict.fromkeys(FINDINGS))
    assert unseen(replace(samples.READ, condition=blind))[0].startswith("Not searched for any")
    full = replace(samples.READ.condition, findings=dict.fromkeys(FINDINGS, 0.1))
    assert not any("searched" in s for s in unseen(replace(samples.READ, condition=full)))


def test_what_hides_the_nose_is_named() -> None:
    assert "Strap and electrode hide 18\u00a0% of the nose." in unseen(samples.READ)
    open_ = (replace(samples.READ.tips[0], visible=1.0),)
    assert not any("hide" in s for s in unseen(replace(samples.READ, tips=open_)))
    assert samples.READ.measurement is not None
    shiny = replace(samples.READ.measurement, glare=0.3, clipped=0.1)
    assert any("40\u00a0%" in s for s in unseen(replace(samples.READ, measurement=shiny)))


def test_a_guessed_light_is_named() -> None:
    assert any("guess" in s for s in unseen(samples.UNCLEAR))
    assert not any("guess" in s for s in unseen(samples.READ))


def test_what_no_photo_shows_is_always_named() -> None:
    assert unseen(samples.READ)[-2:] == ALWAYS
    assert unseen(samples.NOT_A_PLUG) == unseen(samples.UNREADABLE) == ()
