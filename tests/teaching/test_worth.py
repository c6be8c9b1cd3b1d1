"""When a model has earned its place, and that it has not otherwise."""

import numpy as np
import pytest
from sklearn.metrics import f1_score

from tipvision.condition.condition import CONDITIONS
from tipvision.teaching.worth import compared, macro_f1


def answers(plugs, wrong=0, photos=1):
    """Truth, plugs and answers, of which `wrong` of each condition are wrong."""
    truth = np.repeat([name for name in CONDITIONS for _ in range(plugs)], photos)
    plug = np.repeat(np.arange(plugs * len(CONDITIONS)), photos)
    told = truth.copy()
    for name in CONDITIONS:
        first = plug[truth == name].min()
        for number in range(first, first + wrong):
            told[plug == number] = CONDITIONS[CONDITIONS.index(name) - 1]
    return plug, truth.tolist(), told.tolist()


def test_macro_f1_is_that_of_scikit_learn():
    rng = np.random.default_rng(0)
    truth, told = rng.integers(0, 5, (2, 300))
    counts = np.zeros((5, 5))
    np.add.at(counts, (truth, told), 1)
    assert macro_f1(counts) == pytest.approx(f1_score(truth, told, average="macro"))


def test_a_better_model_earns_its_place():
    plug, truth, new = answers(25)
    _, _, old = answers(25, wrong=5)
    found = compared(plug, truth, new, old)
    assert found.earned
    assert found.overall.low > 0
    assert found.conditions["normal"].found == pytest.approx(0.2)


def test_an_equal_model_may_take_the_place():
    plug, truth, told = answers(20, wrong=2)
    assert compared(plug, truth, told, told).earned


def test_a_worse_model_does_not():
    plug, truth, old = answers(25, wrong=1)
    _, _, new = answers(25, wrong=3)
    found = compared(plug, truth, new, old)
    assert not found.earned
    assert found.faults[0].startswith("overall")


def test_better_overall_but_worse_on_one_condition_does_not():
    plug, truth, old = answers(30, wrong=6)
    new = list(truth)
    for k in range(9):
        new[k] = "unused"  # of normal
    found = compared(plug, truth, new, old)
    assert found.overall.low > 0
    (fault,) = found.faults
    assert fault.startswith("normal: it may be worse")


@pytest.mark.parametrize("plugs", [5, 19])
def test_too_few_plugs_never_do_and_say_how_many_are_missing(plugs):
    plug, truth, new = answers(plugs, photos=5)
    _, _, old = answers(plugs, wrong=4, photos=5)
    found = compared(plug, truth, new, old)
    assert set(found.missing.values()) == {20 - plugs}
    (fault,) = found.faults
    assert f"normal {20 - plugs}, dry_black {20 - plugs}" in fault


def test_photos_of_one_plug_are_no_separate_proof():
    plug, truth, new = answers(25)
    _, _, old = answers(25, wrong=3)
    one = compared(plug, truth, new, old)
    plug, truth, new = answers(25, photos=4)
    _, _, old = answers(25, wrong=3, photos=4)
    assert compared(plug, truth, new, old).overall == one.overall


def test_the_interval_holds_the_true_difference_19_times_in_20():
    rng, held = np.random.default_rng(3), 0
    for _ in range(40):
        plug, truth, _ = answers(20)
        kinds = np.array(truth)
        both = [
            np.where(rng.random(100) < share, kinds, np.roll(kinds, 20)).tolist()
            for share in (0.9, 0.8)
        ]
        found = compared(plug, truth, *both).overall
        held += found.low <= 0.1 <= found.high
    assert held >= 34
