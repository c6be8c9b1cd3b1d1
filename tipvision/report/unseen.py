"""What the tool could not see in a photo: said beside every answer."""

from collections.abc import Sequence

from tipvision.record.reading import Reading
from tipvision.report.same_plug import base_name
from tipvision.report.words import FINDINGS, listed, percent

HIDDEN_FROM = 0.05  # share of the nose from which it is worth saying; our estimate
ALWAYS = (
    "Not measured in any photo: the gap in millimetres, the threads and seat, the inside of the"
    " plug, its hours.",
    "Learnt from rendered pictures: how often it is right on real plugs is not known.",
)


def unseen(reading: Reading) -> tuple[str, ...]:
    """One sentence for each thing that this reading leaves open; () where no plug was read."""
    condition, measured = reading.condition, reading.measurement
    if condition is None or measured is None:
        return ()
    sentences = []
    blind = [FINDINGS[name] for name, p in condition.findings.items() if p is None]
    if len(blind) == len(condition.findings):
        sentences.append(
            "Not searched for any finding beside the condition: ash, a bridged gap, cracks, worn or"
            " melted electrodes, metal specks, coolant and the like. Look for them yourself."
        )
    elif blind:
        sentences.append(f"Not searched for: {listed(blind)}. Look for them yourself.")
    if len(reading.tips) == 1 and 1.0 - reading.tips[0].visible >= HIDDEN_FROM:
        hidden = percent(1.0 - reading.tips[0].visible)
        sentences.append(f"Strap and electrode hide {hidden} of the nose.")
    lost = measured.glare + measured.clipped
    if lost >= HIDDEN_FROM:
        sentences.append(f"Glare or overexposure covers {percent(min(lost, 1.0))} of the nose.")
    if reading.light is not None and reading.light.source == "estimate":
        sentences.append("Nothing in the photo told the light, so its colours are a guess.")
    elif reading.light is not None and not reading.light.level_known:
        sentences.append("How light the nose is was taken from the camera's own exposure.")
    return (*sentences, *ALWAYS)


def not_in_report(photos: Sequence[str]) -> tuple[str, ...]:
    """What a report says of photos that could not be opened, so that nobody misses a plug."""
    if not photos:
        return ()
    names = listed([base_name(name) for name in photos])
    return (f"Not in this report, because the photo could not be opened: {names}.",)
