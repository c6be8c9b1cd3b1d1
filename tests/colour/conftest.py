"""The four standing tests that every colour function over arrays has to pass."""

import itertools
import warnings
from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import ArrayLike, NDArray

ColourFunction = Callable[[ArrayLike], NDArray[np.float64]]
StandingTests = Callable[[ColourFunction, ArrayLike, ArrayLike], None]


@pytest.fixture
def standing_tests() -> StandingTests:
    return _standing_tests


def _standing_tests(function: ColourFunction, example: ArrayLike, expected: ArrayLike) -> None:
    """Values, shapes, number types, and what is not a number, for `function` of (..., n).

    example:  (n,), one input.
    expected: what `function` makes of it, to 1e-9.
    """
    sample, answer = np.array(example, dtype=np.float64), np.array(expected)
    _values(function, sample, answer)
    _shapes(function, sample, answer)
    _number_types(function, sample, answer)
    _not_numbers(function, sample.shape[-1])


def _values(function: ColourFunction, sample: NDArray, answer: NDArray) -> None:
    given = sample.copy()
    given.flags.writeable = False  # writing to the input raises
    result = function(given)
    np.testing.assert_array_equal(given, sample)
    np.testing.assert_allclose(result, answer, rtol=0, atol=1e-9)
    assert not np.shares_memory(result, given)


def _shapes(function: ColourFunction, sample: NDArray, answer: NDArray) -> None:
    for leading in ((1,), (6,), (2, 3), (1, 2, 3)):
        result = function(np.broadcast_to(sample, (*leading, *sample.shape)))
        np.testing.assert_allclose(
            result, np.broadcast_to(answer, (*leading, *answer.shape)), rtol=0, atol=1e-9
        )
        assert result.shape == (*leading, *answer.shape)
    assert function(np.empty((0, *sample.shape))).shape == (0, *answer.shape)


def _number_types(function: ColourFunction, sample: NDArray, answer: NDArray) -> None:
    for dtype in (np.float32, np.float64):
        result = function(sample.astype(dtype))
        assert result.dtype == np.float64
        # The rounding of the input to float32 is all that may be lost.
        np.testing.assert_allclose(result, function(sample.astype(dtype).astype(np.float64)))
    np.testing.assert_allclose(function(sample.tolist()), answer, rtol=0, atol=1e-9)


def _not_numbers(function: ColourFunction, n: int) -> None:
    odd = (-1.0, 0.0, 1.0, -np.inf, np.inf, np.nan)
    cases = np.array(list(itertools.product(odd, repeat=n)))
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        together = function(cases)
        alone = np.stack([function(case) for case in cases])
    np.testing.assert_array_equal(together, alone)  # one odd pixel does not spoil its neighbours
    with_nan = np.isnan(cases).any(axis=-1)
    flat = together.reshape(len(cases), -1)
    assert np.isnan(flat[with_nan]).any(axis=-1).all()  # NaN stays NaN
