"""What a report says where no nose was found: what was looked for, and how to go on."""

from tipvision.record.reading import Reading
from tipvision.tip.gates import LEAST_NOSE_PX

LOOKED_FOR = (
    "The firing end of a pulled spark plug: a round ceramic nose with the electrode in its middle,"
    " in the ring of the shell, with or without a strap over it.",
    f"A nose at least {LEAST_NOSE_PX} pixels across, seen end-on, at a slant or from the side.",
)
NOTHING_SAID = "so nothing was measured: this report says nothing of the plug or the engine."
RETAKE = (
    "Photograph one plug alone, out of the engine: look into its firing end from straight ahead and"
    " turn it until the strap does not cover the nose.",
    "Go close until the firing end fills a third of the frame, rest the phone on something and tap"
    " the nose on its screen to focus.",
    "Use one plain white lamp from the side and no flash; a bench card, a 24-patch chart or a grey"
    " card beside the plug tells the light.",
)


def looked_for(reading: Reading) -> tuple[str, ...]:
    """What was looked for in a photo without a nose; () where there is one, or no photo."""
    if not _shows_none(reading):
        return ()
    none = reading.outcome == "not_a_plug"
    found = "Nothing like it was found" if none else "No nose could be made out for sure"
    return (*LOOKED_FOR, f"{found}, {NOTHING_SAID}")


def retake(reading: Reading) -> tuple[str, ...]:
    """How to take that photo again, or to point at a nose that was missed; () likewise."""
    if not _shows_none(reading):
        return ()
    if reading.size is None:
        return RETAKE
    width, height = reading.size
    example = f"circle:{width // 2},{height // 2},{max(width, height) // 20}"
    return (
        *RETAKE,
        f"If the plug is in this photo ({width} × {height} pixels), outline its nose by hand: --tip"
        f" {example} is a circle in the middle, a tenth of the photo across.",
    )


def _shows_none(reading: Reading) -> bool:
    return not reading.tips and reading.outcome != "unreadable"
