"""What keeps the nodes of a table with coupled outputs steady."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from spectro.maths.block_stencil import weighted_roughness


@given(st.integers(0, 10_000))
def test_what_is_straight_over_uneven_places_has_no_bends(seed):
    random = np.random.default_rng(seed)
    places = [np.cumsum(random.uniform(0.5, 30, count)) for count in (4, 5, 6)]
    rough = weighted_roughness(random.uniform(0.1, 2, (4, 5, 6)), places)
    first, second, third = np.meshgrid(*places, indexing="ij")
    straight = (3 + 2 * first - second + 0.5 * third).ravel()
    assert abs(straight @ (rough @ straight)) < 1e-8 * (straight @ straight)
    bent = straight + (first**2).ravel()
    assert bent @ (rough @ bent) > 1


def test_bends_over_even_places_are_second_differences():
    values = np.random.default_rng(1).random((4, 4, 4))
    weights = np.full((4, 4, 4), 2.0)
    rough = weighted_roughness(weights, [np.arange(4) * 3.0] * 3)
    expected = 2 * sum((np.diff(values, n=2, axis=axis) ** 2).sum() for axis in range(3))
    np.testing.assert_allclose(values.ravel() @ (rough @ values.ravel()), expected)
