"""One seed, one photo; and nothing but the plug knows the condition."""

from dataclasses import FrozenInstanceError

import numpy as np
import pytest
from scipy.stats import chi2_contingency

from pipelines.studio.looks import LOOKS
from pipelines.studio.looks.job import Job, job
from pipelines.studio.looks.look import look


@pytest.fixture(scope="module")
def jobs() -> list[Job]:
    return [job("train", i) for i in range(3000)]


@pytest.mark.parametrize("name", LOOKS)
def test_a_job_is_always_the_same_and_holds_only_what_its_look_allows(name: str) -> None:
    of = look(name)
    for index in range(40):
        drawn = job(name, index)
        assert drawn == job(name, index)
        assert of.seeds[0] <= drawn.seed <= of.seeds[1]
        assert drawn.background in of.backgrounds
        assert set(drawn.cameras) <= set(of.cameras)
        assert set(drawn.illuminants) <= set(of.illuminants)
        assert set(drawn.objects) <= set(of.objects)
        assert set(drawn.holders) <= set(of.holders)
        assert set(drawn.gloves) <= set(of.gloves)
        for plug in drawn.row:
            assert plug.family in of.families and plug.palette in of.palettes
        if drawn.plug is not None:
            assert drawn.plug.family in of.families
            assert drawn.plug.palette in of.palettes
            assert drawn.plug.condition is not None or drawn.plug.findings
            shares = dict(drawn.plug.shares)
            if shares:
                assert sum(shares.values()) == pytest.approx(1.0)
                assert max(shares, key=lambda c: shares[c]) == drawn.plug.condition
    with pytest.raises(FrozenInstanceError):
        drawn.seed = 1  # type: ignore[misc]


def test_rows_are_a_share_of_the_photos_with_a_plug(jobs: list[Job]) -> None:
    plugs = [j for j in jobs if j.plug is not None]
    rows = [j for j in plugs if j.row]
    # Four standard deviations of a share of 0.08 in 2,550 draws are 0.022.
    assert len(rows) / len(plugs) == pytest.approx(0.08, abs=0.022)
    assert {len(j.row) for j in rows} == {1, 2, 3}
    assert not any(j.row for j in jobs if j.plug is None)
    assert not any(j.row for j in jobs if j.round_plug is not None)
    same = [j.plug is not None and j.plug.condition == j.row[0].condition for j in rows]
    # Drawn apart they agree in a fifth of the rows; 0.5 is seven standard deviations off.
    assert np.mean(same) < 0.5


def test_background_view_and_family_are_independent_of_the_condition(jobs: list[Job]) -> None:
    plugs = [j for j in jobs if j.plug is not None and j.plug.condition is not None]
    conditions = np.array([j.plug.condition for j in plugs if j.plug])
    for what in (
        [j.background for j in plugs],
        [j.view for j in plugs],
        [str(round(8 * j.share)) for j in plugs],
        [j.plug.palette for j in plugs if j.plug],
        [j.reference for j in plugs],
        [j.plug.family for j in plugs if j.plug],
    ):
        names = np.array(what)
        table = [
            [int(((conditions == c) & (names == n)).sum()) for c in np.unique(conditions)]
            for n in np.unique(names)
        ]
        table = [row for row in table if sum(row) >= 25]
        # One fixed draw of seeds: a hundredth of a thousandth chance that honest draws fail.
        assert chi2_contingency(table).pvalue > 1e-5
