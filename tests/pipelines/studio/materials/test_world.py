"""The table of the world's matters: complete entries, energy kept, plugs' matters still found."""

import pytest

from pipelines.studio.materials import spectra
from pipelines.studio.materials.world import matter, table


def test_every_entry_is_complete_and_reflects_less_than_it_gets() -> None:
    entries = {k: v for k, v in table().items() if isinstance(v, dict)}
    assert len(entries) > 25
    assert table()["source"] == "our estimate"
    for name, entry in entries.items():
        assert set(entry) == {"kind", "alpha", "r"}, name
        assert entry["kind"] in ("body", "metal")
        assert len(entry["r"]) == len(table()["nm"])
        made = matter(name)
        assert made.reflectance.min() > 0 and made.reflectance.max() < 0.95
        # With 4 % mirrored at the surface there is less than all left for the body.
        assert made.kind == "metal" or made.reflectance.max() < 0.9
        assert made.kind == "body" or made.alpha > 0


def test_matters_of_plugs_are_found_through_it_and_unknown_ones_named() -> None:
    assert matter("soot").reflectance == pytest.approx(spectra.matter("soot").reflectance)
    with pytest.raises(KeyError, match="no matter called 'velvet'"):
        matter("velvet")
