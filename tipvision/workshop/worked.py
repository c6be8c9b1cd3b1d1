"""What a sum of the bench gives: sentences first, then its numbers, cautions and sources."""

from collections.abc import Mapping
from dataclasses import dataclass

from tipvision.causes.knowledge import shipped_knowledge

# Cautions that stand with the advice to read a plug after load.
READING_CAUTIONS = ("engine_cold", "ignition_off", "closed_ground", "no_load_stop")


@dataclass(frozen=True)
class Worked:
    """sentences: for the technician, the answer first.
    numbers:   what was computed and what it came from, by name; the unit ends the name.
    cautions:  ids in `causes/knowledge/cautions.toml`.
    sources:   where the figures come from, each once.
    """

    sentences: tuple[str, ...]
    numbers: Mapping[str, float | None]
    cautions: tuple[str, ...]
    sources: tuple[str, ...]

    def caution_texts(self) -> tuple[str, ...]:
        known = shipped_knowledge().cautions
        return tuple(known[id_].text for id_ in self.cautions)


def once(*sources: str) -> tuple[str, ...]:
    """Each source once, in the order given."""
    return tuple(dict.fromkeys(sources))
