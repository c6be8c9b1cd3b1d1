"""Every number that a sum prints is one that it was asked with, computed or read from the data."""

import re
from itertools import product

import pytest

from tipvision.causes.entries import is_source
from tipvision.causes.knowledge import shipped_knowledge
from tipvision.workshop.air import Air
from tipvision.workshop.figures import HEADS, SEATS, THREADS
from tipvision.workshop.gap import gap
from tipvision.workshop.heat_range import CHANGES, SCALES, TOWARDS, heat_range_step
from tipvision.workshop.mixture import mixture
from tipvision.workshop.tightening import tightening
from tipvision.workshop.tip_temperature import tip_temperature
from tipvision.workshop.units import mm_to_inch
from tipvision.workshop.worked import Worked

FRACTIONS = {"1/16": 0.0625, "1/12": 0.0833, "1/2": 0.5, "2/3": 0.6667}

EVERY: list[Worked] = [
    *(
        gap(g, s)
        for g in (0.0, 0.05, 0.45, 0.75, 0.802, 1.2, 4.0)
        for s in (None, (0.7, 0.8), (0.6, 0.6))
    ),
    *(
        heat_range_step(n, s, t, c)
        for n, s, t, c in product((None, 0, 7), (None, *SCALES), (None, *TOWARDS), (None, *CHANGES))
    ),
    *(tip_temperature(t) for t in (None, 300.0, 650.0, 820.0, 900.0)),
    *(tightening(*key) for key in product(THREADS, SEATS, HEADS)),
    tightening("M14", "gasket", "iron", used_gasket=True),
    *(
        mixture(Air(a, 15.0), Air(b, 25.0, 0.5), fuel, 120.0, by)
        for a, b, fuel, by in product(
            (0.0, 2000.0), (0.0, 900.0), (None, "injection"), (None, "diameter", "flow")
        )
    ),
]


def known_numbers(worked: Worked) -> list[float]:
    numbers = [n for n in worked.numbers.values() if n is not None]
    numbers += [mm_to_inch(n) for k, n in worked.numbers.items() if k.endswith("_mm") and n]
    return [abs(n) for n in numbers]


@pytest.mark.parametrize("worked", EVERY, ids=lambda w: w.sentences[0][:40])
def test_every_printed_number_can_be_traced(worked: Worked) -> None:
    known = known_numbers(worked)
    text = " ".join(worked.sentences)
    for fraction in re.findall(r"\d/\d+", text):
        assert FRACTIONS[fraction] in known
    text = re.sub(r"\d/\d+|\bM\d+\b", "", text).replace("within 1 %", "")
    for printed in re.findall(r"\d+(?:\.\d+)?", text):
        step = 10.0 ** -len(printed.partition(".")[2])
        assert any(abs(float(printed) - n) <= 0.5001 * step for n in known), (printed, known)


@pytest.mark.parametrize("worked", EVERY, ids=lambda w: w.sentences[0][:40])
def test_every_sum_has_known_cautions_and_listed_sources(worked: Worked) -> None:
    assert worked.sources and all(is_source(re.sub(r" \(.*", "", s)) for s in worked.sources)
    assert set(worked.cautions) <= set(shipped_knowledge().cautions)
    assert "manual_first" in worked.cautions
    assert len(worked.caution_texts()) == len(worked.cautions)
    text = " ".join(worked.sentences)
    if re.search(r"\b(hotter|leaner|lean)\b|one size at a time", text):
        assert "never_leaner_or_hotter" in worked.cautions
    reads = "steady load" in text
    assert reads == ({"engine_cold", "closed_ground", "no_load_stop"} <= set(worked.cautions))
