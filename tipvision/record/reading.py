"""The one record of a photo: what every report, batch and journal consumes."""

from dataclasses import dataclass

from tipvision.causes.explanation import Explanation
from tipvision.condition.condition import Condition
from tipvision.light.light import Light
from tipvision.measure.measurement import Measurement
from tipvision.record.reason import Reason
from tipvision.tip.tip import Tip


@dataclass(frozen=True)
class Reading:
    """What one photo (or one plug of it) says.

    A station that was not reached is None; what was measured before a refusal stands.

    photo:   path as it was given.
    outcome: "read", "unclear", "not_a_plug" or "unreadable".
    tips:    the firing ends that this line is about: one, or all of them where the photo shows
             several and none was picked.
    plug:    (number of this plug, 1-based, count of plugs in the photo); the number is None where
             several were found and none picked.
    size:    (width, height) of the photo as displayed, pixels; None when unreadable.
    model:   name and version of the model that judged; None where none did.
    """

    photo: str
    outcome: str
    reasons: tuple[Reason, ...] = ()
    light: Light | None = None
    tips: tuple[Tip, ...] = ()
    measurement: Measurement | None = None
    condition: Condition | None = None
    explanation: Explanation | None = None
    plug: tuple[int | None, int] | None = None
    size: tuple[int, int] | None = None
    model: dict[str, str] | None = None
