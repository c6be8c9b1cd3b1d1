"""Readings made by hand, one for each thing that a report has to say."""

from dataclasses import replace
from functools import cache

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFilter

from tipvision.causes.explanation import Cause, Check, Explanation, Sentence, Verdict
from tipvision.condition.condition import FINDINGS, LABELS, Condition
from tipvision.condition.evidence import Evidence, Sign
from tipvision.light.correction import Correction
from tipvision.light.light import Light
from tipvision.measure.bands import distances, load_bands
from tipvision.measure.measurement import Measurement
from tipvision.photo.box import Box
from tipvision.record.reading import Reading
from tipvision.record.reason import reason
from tipvision.tip.tip import Part, Tip

SIZE = (1600, 1200)  # of the displayed photo, pixels
_MIDDLE = (820.0, 590.0)

# Facts that fill the braces of each reason.
REASONS = tuple(
    reason(code, **facts)
    for code, facts in {
        "cannot_open": {"fault": "This file is cut off.", "mend": "Copy it from the phone again."},
        "no_plug": {},
        "several_plugs": {"count": 3, "fault": "none was picked"},
        "tip_not_found": {},
        "tip_hidden": {"percent": 20},
        "too_small": {"nose_px": 12.0, "least": 24},
        "blurred": {},
        "too_dark": {},
        "clipped": {"percent": 40},
        "glare": {"percent": 50},
        "mixed_light": {},
        "light_mismatch": {"fault": "the camera is another one"},
        "dry_or_wet": {},
        "outside_model": {},
        "undecided": {"labels": "normal or unused", "again": "closer"},
    }.items()
)


@cache
def picture(lab_dark: bool = True) -> NDArray[np.uint8]:
    """A drawn firing end, uint8 RGB at half of `SIZE`."""
    image = Image.new("RGB", (SIZE[0] // 2, SIZE[1] // 2), (142, 138, 131))
    draw = ImageDraw.Draw(image)
    x, y = _MIDDLE[0] / 2, _MIDDLE[1] / 2
    nose = (44, 42, 40) if lab_dark else (205, 180, 150)
    rings = ((190, (120, 122, 124)), (160, (70, 70, 70)), (120, (24, 23, 22)), (80, nose))
    for radius, fill in (*rings, (32, (96, 92, 88))):
        draw.ellipse((x - radius, y - radius, x + radius, y + radius), fill=fill)
    draw.rectangle((x - 26, y - 190, x + 26, y - 40), fill=(88, 84, 80))
    return np.asarray(image.filter(ImageFilter.GaussianBlur(2)), np.uint8)


def tip(x: float = _MIDDLE[0], y: float = _MIDDLE[1], radius: float = 160.0) -> Tip:
    """A firing end with a ring for a nose."""
    turn = np.linspace(0.0, 2.0 * np.pi, 48, endpoint=False)
    circle = np.stack([np.cos(turn), np.sin(turn)], axis=1)
    outer, inner = (np.array([x, y]) + r * circle for r in (radius, 0.4 * radius))
    box = Box(int(x - radius), int(y - radius), int(x + radius), int(y + radius))
    labels = np.full((8, 8), Part.NOSE, np.uint8)
    return Tip(box, labels, (outer, inner), 2.0 * radius, "end_on", 0.97, visible=0.82)


def measurement(lab: tuple[float, float, float], lightness_sd: float = 2.0) -> Measurement:
    """A nose of this colour."""
    colour, bands = np.array(lab), load_bands()
    sd = np.array([lightness_sd, 0.8, 1.1])
    samples = colour + sd * np.random.default_rng(3).standard_normal((64, 3))
    return Measurement(
        lab=colour,
        sd=sd,
        samples=samples,
        zones=colour[None] + np.array([[1.0, 0, 0], [-1.0, 0, 0]]),
        weights=np.array([0.5, 0.5]),
        bands=distances(colour, bands),
        shares=dict(zip([b.name for b in bands], (0.04, 0.84, 0.12, 0.0), strict=True)),
        shine=1.7,
        texture=1.1,
        evenness=2.4,
        specks=0.002,
        glare=0.01,
        clipped=0.0,
    )


def condition(label: str | None, probabilities: dict[str, float], *possible: str) -> Condition:
    """A condition with one finding that stands and some that nobody looked for."""
    findings: dict[str, float | None] = dict.fromkeys(FINDINGS, 0.02)
    findings |= {"uneven": 0.71, "coolant": None, "dust": None}
    return Condition(
        label,
        {name: probabilities.get(name, 0.0) for name in LABELS},
        possible,
        0.95,
        findings,
        evidence=Evidence(
            "dry black",
            "wet black",
            (
                Sign("Its look as a whole is 93 % that of dry black, 5 % that of wet black", 2.1),
                Sign("The nose's lightness L* is 22; usual is 24 for dry black, 19 for it", 0.4),
                Sign("Dark specks cover 0.2 % of the nose; usual is 0.3 for dry black", -0.6),
            ),
            rest=0.5,
            doubt=-0.1,
            score=2.3,
        ),
    )


EXPLANATION = Explanation(
    causes=(
        Cause("air_filter_dirty", "The air filter is dirty or over-oiled.", 0.21, "likely"),
        Cause(
            "choke_on",
            "The choke or cold-start enrichment is stuck or was left on.",
            0.19,
            "likely",
        ),
        Cause("idling_or_short_runs", "Much idling, or short runs only.", 0.12, "possible"),
        Cause(
            "float_high",
            "The float level is too high, or the float needle does not close.",
            0.1,
            "possible",
        ),
        Cause("plug_cold", "The plug is too cold for this use.", 0.06, "less likely"),
        Cause(
            "weak_spark", "The ignition is weak: coil, cap, lead or supply.", 0.05, "less likely"
        ),
        Cause("retarded", "The ignition timing is late.", 0.03, "less likely"),
    ),
    checks=(
        Check("ask_the_rider", "Ask how the engine was used and started, and what was changed.", 3),
        Check("look_at_filter", "Take the air filter out and look through it at a lamp.", 5),
        Check(
            "spark_test",
            "Look at the spark on a tester while the engine is cranked.",
            8,
            ("spark_away_from_hole", "ignition_off", "not_shown"),
        ),
    ),
    advice=(
        Sentence(
            "replace_fouled",
            "Replace the fouled plug rather than clean it and trust it: of all the parts at risk it"
            " costs the least.",
        ),
        Sentence(
            "mixture_left_alone",
            "Leave the jets, needle clip and mixture screw as they are until a test has shown what"
            " is wrong.",
        ),
    ),
    cautions=(
        Sentence(
            "engine_cold",
            "Let the engine go cold before a plug comes out: a hot aluminium head can lose its"
            " thread.",
        ),
        Sentence("ignition_off", "Switch the ignition off before a plug comes out."),
        Sentence(
            "spark_away_from_hole",
            "Clip the plug or tester to ground away from the plug hole, with the fuel off, before"
            " the engine is cranked.",
        ),
        Sentence("never_leaner", "Never go leaner or hotter on colour alone."),
        Sentence(
            "one_clue",
            "One photo is one clue, not proof: confirm by test before parts are bought or the"
            " mixture is changed.",
        ),
    ),
    verdict=Verdict("replace", "check"),
)

_CORRECTION = np.diag([0.95, 1.0, 1.09])
LIGHT = Light(
    "bench_card",
    Correction(_CORRECTION),
    Correction(np.repeat(_CORRECTION[None], 8, axis=0)),
    cct_k=4100.0,
)
GUESS = replace(LIGHT, source="estimate", cct_k=None)

READ = Reading(
    photo="/home/shop/photos/TB-07 left.jpg",
    outcome="read",
    light=LIGHT,
    tips=(tip(),),
    measurement=measurement((22.4, 0.7, 1.6)),
    condition=condition(
        "dry_black",
        {"dry_black": 0.93, "wet_black": 0.05, "normal": 0.015, "unused": 0.005},
        "dry_black",
    ),
    explanation=EXPLANATION,
    plug=(1, 1),
    size=SIZE,
    model={"name": "default", "version": "1"},
)
UNCLEAR = replace(
    READ,
    photo="C:\\photos\\QD-03.jpg",
    outcome="unclear",
    reasons=(reason("dry_or_wet"),),
    light=GUESS,
    measurement=measurement((18.0, 1.9, 4.0), lightness_sd=6.0),
    condition=condition(
        "dry_black", {"dry_black": 0.52, "wet_black": 0.46, "none": 0.02}, "dry_black", "wet_black"
    ),
)
GATED = replace(READ, outcome="unclear", reasons=(reason("blurred"),))
ONLY_FINDINGS = replace(
    READ,
    condition=condition(None, {"none": 0.88, "normal": 0.12}, "none"),
    explanation=replace(EXPLANATION, verdict=Verdict("replace", "do_not_start")),
)
PALE = replace(
    READ,
    measurement=measurement((88.0, 0.2, 3.0), lightness_sd=3.5),
    condition=condition("chalk_white", {"chalk_white": 0.9, "normal": 0.1}, "chalk_white"),
    explanation=replace(EXPLANATION, verdict=Verdict("replace", "not_under_load")),
)
SEVERAL = Reading(
    "SX-01.jpg",
    "unclear",
    (reason("several_plugs", count=2, fault="none was picked"),),
    LIGHT,
    (tip(420.0, 600.0, 120.0), tip(1150.0, 640.0, 120.0)),
    plug=(None, 2),
    size=SIZE,
)
NOT_FOUND = Reading("GN-02.jpg", "unclear", (reason("tip_not_found"),), GUESS)
NOT_A_PLUG = Reading("bench.jpg", "not_a_plug", (reason("no_plug"),), GUESS)
UNREADABLE = Reading("cut.jpg", "unreadable", (REASONS[0],))

ALL = {
    "read": READ,
    "unclear": UNCLEAR,
    "gated": GATED,
    "only findings": ONLY_FINDINGS,
    "pale": PALE,
    "several": SEVERAL,
    "not found": NOT_FOUND,
    "not a plug": NOT_A_PLUG,
    "unreadable": UNREADABLE,
}
