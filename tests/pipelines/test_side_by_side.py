"""Runs are waited for, and one that fails is named."""

import pytest

from pipelines.side_by_side import RunFailed, run_side_by_side

QUICK = ["json.tool", "--help"]


def test_a_run_that_fails_is_named() -> None:
    run_side_by_side({"a": QUICK, "b": QUICK}, gpus=0)
    with pytest.raises(RunFailed, match="The run of b and d failed"):
        run_side_by_side({"a": QUICK, "b": ["no_such"], "c": QUICK, "d": ["no_such"]}, gpus=0)


def test_several_gpus_are_taken_in_turn(monkeypatch) -> None:
    given = []

    class Begun:
        def __init__(self, _command, env) -> None:
            given.append(env.get("CUDA_VISIBLE_DEVICES"))

        def wait(self) -> int:
            return 0

    monkeypatch.setattr("pipelines.side_by_side.subprocess.Popen", Begun)
    monkeypatch.delenv("CUDA_VISIBLE_DEVICES", raising=False)
    runs = dict.fromkeys("abc", QUICK)
    run_side_by_side(runs, gpus=2)
    run_side_by_side(runs, gpus=1)
    assert given == ["0", "1", "0", None, None, None]
