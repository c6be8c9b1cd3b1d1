"""What an engine's own facts say of the plug that goes into it."""

from dataclasses import dataclass

from tipvision.causes.explanation import Engine
from tipvision.workshop.gap import gap_words
from tipvision.workshop.tightening import tightening
from tipvision.workshop.units import celsius_to_fahrenheit

FITTING = ("gap_specified", "tighten_plug", "heat_range_kept", "jetted_for")  # ids, as in a record


@dataclass(frozen=True)
class Fitting:
    """A piece of advice; `cautions` are ids of those that stand with it."""

    id: str
    text: str
    cautions: tuple[str, ...] = ()


def fitting(engine: Engine, new: bool = False) -> tuple[Fitting, ...]:
    """Gap, tightening, heat range and jetting, each as far as the engine's facts tell it.

    new: a new plug goes in, never the old one.
    """
    pieces = (_gap(engine), _tightening(engine, new), _heat_range(engine), _jetting(engine))
    return tuple(piece for piece in pieces if piece is not None)


def _gap(engine: Engine) -> Fitting | None:
    if engine.gap_mm is None:
        return None
    words = gap_words(*engine.gap_mm)
    return Fitting("gap_specified", f"Set its gap to {words}.")


def _tightening(engine: Engine, new: bool) -> Fitting | None:
    if engine.thread is None or engine.seat is None or engine.head is None:
        return None
    torque, turn, *_ = tightening(engine.thread, engine.seat, engine.head).sentences
    if engine.seat == "gasket" and not new:
        used = tightening(engine.thread, engine.seat, engine.head, used_gasket=True).sentences[1]
        turn = f"Refitted, it sits on its used gasket. {used} A new plug has a new one. {turn}"
    return Fitting("tighten_plug", f"Tighten it: {torque} {turn}", _NO_GREASE)


def _heat_range(engine: Engine) -> Fitting | None:
    if engine.scale is None:
        return None
    way = "higher" if engine.scale == "higher_is_colder" else "lower"
    text = f"Keep the manual's heat range; on this maker's scale colder plugs have {way} numbers."
    return Fitting("heat_range_kept", text, ("never_leaner_or_hotter",))


def _jetting(engine: Engine) -> Fitting | None:
    if engine.jetted_at_m is None or engine.fuel == "injection":
        return None
    at = f"{engine.jetted_at_m:.0f} m"
    if engine.jetted_at_c is not None:
        warm = celsius_to_fahrenheit(engine.jetted_at_c)
        at += f" and {engine.jetted_at_c:.0f} °C ({warm:.0f} °F)"
    text = (
        f"The jets were chosen for {at}: higher up or warmer they run richer, lower down or colder"
        " leaner."
    )
    return Fitting("jetted_for", text, ("never_leaner_or_hotter",))


_NO_GREASE = ("no_anti_seize",)
