"""The one record of a photo: what every report, batch and journal consumes."""

from dataclasses import dataclass

from tipvision.causes.explanation import Explanation
from tipvision.condition.condition import Condition
from tipvision.light.light import Light
from tipvision.measure.measurement import Measurement
from tipvision.record.reason import Reason
from tipvision.tip.tip import Tip


@dataclass(frozen=True)
class Together:
    """How several photos were read as one plug.

    photos:   all that were given, in that order.
    measured: the one that tips, light, size and measurement are of.
    left_out: each photo that did not count, with the codes of its reasons.
    """

    photos: tuple[str, ...]
    measured: str
    left_out: tuple[tuple[str, tuple[str, ...]], ...] = ()


@dataclass(frozen=True)
class Reading:
    """What one photo (or one plug of it) says, or several photos of one plug together.

    A station that was not reached is None; what was measured before a refusal stands.

    photo:   path as it was given, of the first where there are several.
    outcome: "read", "unclear", "not_a_plug" or "unreadable".
    tips:    the firing ends that this line is about: one, or all of them where the photo shows
             several and none was picked.
    plug:    (number of this plug, 1-based, count of plugs in the photo); the number is None where
             several were found and none picked.
    size:    (width, height) of the photo as displayed, pixels; None when unreadable.
    model:   name and version of the model that judged; None where none did.
    together: where several photos were read as one plug.
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
    together: Together | None = None

    @property
    def pictured(self) -> str:
        """Path of the photo that tips, light, size and measurement are of."""
        return self.photo if self.together is None else self.together.measured
