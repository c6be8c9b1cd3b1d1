"""The simulated sets are what they are said to be, and the command's verdict can fail."""

import numpy as np
import pytest

from pipelines.bench import odd_plug


def levels(darker: float, shared: float) -> np.ndarray:
    sets = [odd_plug.readings_of(seed, 62.0, darker, shared) for seed in range(60)]
    return np.log([[np.exp(r.measurement.lab[0] / 40) for r in one] for one in sets])


def test_bores_in_common_move_all_plugs_together():
    apart, together = (levels(0.0, shared).std(axis=1).mean() for shared in (0.0, 1.0))
    assert together < 0.5 * apart


def test_the_odd_plug_is_darker():
    seen = levels(40.0, 1.0).mean(axis=0)
    assert seen.argmin() == odd_plug.ODD
    assert np.delete(seen, odd_plug.ODD) == pytest.approx(seen.max(), abs=0.1)


@pytest.mark.parametrize(("alarms", "status"), [(0, 0), (1, 0), (12, 1)])
def test_too_many_alarms_fail(monkeypatch, capsys, alarms, status):
    monkeypatch.setattr(odd_plug, "named", lambda *_: (alarms, 0))
    assert odd_plug.main(["--runs", "20"]) == status
    assert "of 20 = " in capsys.readouterr().out
