"""Drawing the light of a photo: which lamps, where, how hard, and which of them share a spectrum.

Nothing here knows what lies on the bench: a lamp can tell nothing of a plug. Source of all ranges:
our estimate.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pipelines.studio.lights.lamps import Lamp, Lighting, at

KINDS = ("arm lamp", "soft box", "window", "ceiling", "flash", "work light")
"""Kinds of lamp that `sample_lights` draws from."""


@dataclass(frozen=True)
class Lights:
    """The light of one photo: one or two groups of lamps, each of one illuminant.

    `groups` are rendered apart, as linear pictures, and mixed by the camera stage; `share` is how
    much of the luminance on the subject the second brings (0 when there is one group). `kind` names
    the main lamp. `shade` is a plate (centre, aim, width, height) that throws a shadow, in mm.
    `dim` is in stops below a well-lit bench: it costs photons, not radiance.
    """

    groups: tuple[Lighting, ...]
    share: float
    kind: str
    shade: tuple[tuple[float, float, float], tuple[float, float, float], float, float] | None
    dim: float


def strength(lamp: Lamp) -> float:
    """Radiance of a white surface that faces the lamp at the point it is aimed at."""
    distance = float(np.linalg.norm(np.subtract(lamp.place, lamp.aim)))
    area = lamp.size[0] * lamp.size[1] * (np.pi / 4 if lamp.shape == "disk" else 1.0)
    return float(lamp.radiance * area / distance**2 / np.pi)


def lamp_of(
    kind: str,
    rng: np.random.Generator,
    eye: tuple[float, float, float],
    subject: tuple[float, float, float] = (0.0, 0.0, 0.0),
) -> Lamp:
    """A lamp of the kind round `subject`, scaled so that a white surface facing it has radiance 1.

    `eye` is where the camera is: a flash sits 10 to 18 mm beside its lens. Raises KeyError for an
    unknown kind.
    """
    azimuth = float(rng.uniform(0, 360))
    small = float(rng.uniform(5, 14))
    shape, size, distance, height = {
        "arm lamp": ("disk", (rng.uniform(60, 160),) * 2, rng.uniform(300, 600), (35, 75)),
        "soft box": ("rectangle", rng.uniform(250, 600, 2), rng.uniform(350, 700), (35, 85)),
        "window": ("rectangle", rng.uniform(500, 1100, 2), rng.uniform(1050, 1350), (12, 40)),
        "ceiling": ("rectangle", (1200.0, rng.uniform(60, 150)), 1400.0, (60, 88)),
        "work light": ("disk", (small, small), rng.uniform(250, 700), (20, 80)),
        "flash": ("disk", (small, small), 1.0, (0, 1)),
    }[kind]
    if kind == "flash":
        place = _beside(eye, subject, float(rng.uniform(10, 18)), np.radians(azimuth))
        shape, size = "disk", (4.0, 4.0)
    else:
        away = np.array(at(azimuth, float(rng.uniform(*height)), float(distance)))
        place = tuple(float(v) for v in away + np.array(subject))  # type: ignore[assignment]
    lamp = Lamp(shape, place, subject, (float(size[0]), float(size[1])), 1.0)
    return Lamp(shape, place, subject, lamp.size, 1.0 / strength(lamp))


def _beside(
    eye: tuple[float, float, float], subject: tuple[float, float, float], off: float, turn: float
) -> tuple[float, float, float]:
    forward = np.subtract(subject, eye)
    forward = forward / np.linalg.norm(forward)
    some = np.array([0.0, 0.0, 1.0]) if abs(forward[2]) < 0.9 else np.array([0.0, 1.0, 0.0])
    right = np.cross(forward, some)
    right = right / np.linalg.norm(right)
    place = np.array(eye) + off * (np.cos(turn) * right + np.sin(turn) * np.cross(forward, right))
    return float(place[0]), float(place[1]), float(place[2])


def sample_lights(
    seed: int,
    allowed: Sequence[str],
    eye: tuple[float, float, float],
    subject: tuple[float, float, float] = (0.0, 0.0, 0.0),
    mixed: float = 0.3,
) -> Lights:
    """Draw the light of a photo from the allowed illuminants; `mixed` is the chance of two groups.

    A phone's flash is a white LED or D65, and a window daylight, where the allowed ones have any.
    Raises ValueError when `allowed` is empty.
    """
    if not allowed:
        raise ValueError("no illuminant is allowed: name at least one")
    rng = np.random.default_rng([seed, 30])
    main = str(rng.choice(KINDS, p=[0.27, 0.15, 0.16, 0.14, 0.16, 0.12]))
    first, second = _two(rng, allowed, main)
    room = float(rng.choice([rng.uniform(0.03, 0.1), rng.uniform(0.12, 0.4)]))
    lamps = [lamp_of(main, rng, eye, subject)]
    if main != "flash" and rng.random() < 0.35:
        lamps.append(_dimmed(lamp_of("ceiling", rng, eye, subject), rng.uniform(0.1, 0.5)))
    rooms = rng.integers(0, 2**31, 2)
    groups = [Lighting(first, tuple(lamps), room, int(rooms[0]))]
    other = str(rng.choice([k for k in KINDS if k not in ("flash", main)]))
    fill = Lighting(
        second, (lamp_of(other, rng, eye, subject),), float(rng.uniform(0.15, 0.6)), int(rooms[1])
    )
    two = rng.random() < mixed
    share = float(rng.uniform(0.12, 0.6))
    if two:
        groups.append(fill)
    shaded = rng.random() < 0.2
    shade = _shade(rng, lamps[0], subject)
    dim = float(rng.uniform(1.0, 4.0)) if rng.random() < 0.2 else 0.0
    return Lights(
        tuple(groups),
        share if two else 0.0,
        main,
        shade if shaded and main not in ("flash", "work light") else None,
        dim,
    )


def _two(rng: np.random.Generator, allowed: Sequence[str], main: str) -> tuple[str, str]:
    """The main illuminant and another one (the same when only one is allowed)."""
    fitting = {
        "flash": [n for n in allowed if n.startswith("LED-B") or n == "D65"],
        "window": [n for n in allowed if n.startswith("D")],
    }.get(main) or list(allowed)
    first = _fair(rng, fitting)
    rest = [n for n in allowed if n != first] or [first]
    return first, _fair(rng, rest)


def _fair(rng: np.random.Generator, names: Sequence[str]) -> str:
    """A name with equal chances for each series, so that twelve F lamps do not crowd out A."""
    series = sorted({_series(n) for n in names})
    here = str(rng.choice(series))
    return str(rng.choice([n for n in names if _series(n) == here]))


def _series(name: str) -> str:
    return "LED" if name.startswith("LED") else "FL" if name.startswith("FL") else name[:1]


def _dimmed(lamp: Lamp, factor: float) -> Lamp:
    return Lamp(lamp.shape, lamp.place, lamp.aim, lamp.size, lamp.radiance * float(factor))


def _shade(
    rng: np.random.Generator, lamp: Lamp, subject: tuple[float, float, float]
) -> tuple[tuple[float, float, float], tuple[float, float, float], float, float]:
    """A plate about a third of the way to the lamp, pushed aside so that it shades one part."""
    way = np.subtract(lamp.place, subject)
    middle = np.array(subject) + 0.35 * way + rng.uniform(-45, 45, 3)
    centre = (float(middle[0]), float(middle[1]), float(middle[2]))
    return centre, lamp.place, float(rng.uniform(25, 90)), float(rng.uniform(60, 160))
