"""How to take a photo again where it allows several answers: only what this photo has not got."""

from tipvision.light.light import Light
from tipvision.tip.tip import Tip

AGAIN = "with the lamp low and to the side"  # what shows shine and relief helps any photo
LARGE_PX = 120  # a nose so wide has all the detail that is measured; our estimate
UNMEASURED = ("estimate", "declared:")  # sources of light that nothing in a photo has borne out


def retake(tip: Tip, light: Light) -> str:
    """How to take the photo again, as the end of a sentence that begins "Take it again"."""
    nearer = "closer" if tip.nose_px < LARGE_PX else ""
    ahead = "" if tip.view == "end_on" else "from straight ahead"
    place = " and ".join(filter(None, [nearer, ahead]))
    told = ", ".join(filter(None, [place, AGAIN]))
    if not tip.by_hand:
        told += ", and check that the outline lies on the nose"
    if light.source.startswith(UNMEASURED):
        told += (
            "; lay a 24-patch chart, a grey card or the bench card beside the plug: it tells the"
            " light"
        )
    return told
