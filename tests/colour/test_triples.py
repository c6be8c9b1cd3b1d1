import numpy as np
import pytest

from tipvision.colour.triples import triples


def test_keeps_values_and_shape() -> None:
    assert triples(np.arange(6, dtype=np.uint8).reshape(2, 3), "XYZ").tolist() == [
        [0, 1, 2],
        [3, 4, 5],
    ]


@pytest.mark.parametrize("shape", [(), (2,), (4,), (3, 1)])
def test_refuses_what_is_not_three_numbers(shape: tuple[int, ...]) -> None:
    with pytest.raises(ValueError, match="XYZ needs three numbers"):
        triples(np.zeros(shape), "XYZ")
