"""Blocks of pixels keep the brightest of what they hold."""

import numpy as np
import pytest

from tipvision.photo.blocks import brightest_in


@pytest.mark.parametrize("block", [(1, 1), (2, 2), (4, 3), (1, 5)])
@pytest.mark.parametrize("dtype", [np.uint8, np.uint16])
def test_a_block_is_as_bright_as_its_brightest_channel_anywhere(block, dtype):
    across, down = block
    codes = np.random.default_rng(0).integers(0, 250, (6 * down, 5 * across, 3)).astype(dtype)
    expected = codes.reshape(6, down, 5, across, 3).max(axis=(1, 3, 4))
    found = brightest_in(codes, block)
    np.testing.assert_array_equal(found, expected)
    assert found.dtype == dtype
