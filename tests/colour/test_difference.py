"""CIEDE2000 against the published pairs and a second implementation."""

from pathlib import Path

import colour
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from spectro.colour.difference import delta_e_76, delta_e_2000

PAIRS = np.loadtxt(Path(__file__).parents[1] / "published" / "ciede2000_pairs.csv", delimiter=",", skiprows=5)
LAB = arrays(np.float64, (5, 3), elements=st.floats(-120, 120))


@pytest.mark.source("Sharma-2005", "Table 1, all 34 pairs")
def test_published_pairs_in_both_orders():
    assert len(PAIRS) == 34
    np.testing.assert_allclose(delta_e_2000(PAIRS[:, :3], PAIRS[:, 3:6]), PAIRS[:, 6], atol=5.01e-5)
    np.testing.assert_allclose(delta_e_2000(PAIRS[:, 3:6], PAIRS[:, :3]), PAIRS[:, 6], atol=5.01e-5)


@pytest.mark.source("Sharma-2005", "as implemented by a general colour-science library")
def test_agrees_with_a_second_implementation():
    random = np.random.default_rng(5)
    first, second = random.uniform((0, -110, -110), (100, 110, 110), (2, 20000, 3))
    np.testing.assert_allclose(delta_e_2000(first, second), colour.delta_E(first, second, method="CIE 2000"), atol=1e-9)


@given(LAB, LAB)
def test_is_symmetric_and_zero_only_for_equals(first, second):
    forward = delta_e_2000(first, second)
    np.testing.assert_allclose(forward, delta_e_2000(second, first), atol=1e-9)
    assert np.all(delta_e_2000(first, first) == 0)
    assert np.all(np.isfinite(forward))
    assert np.all(forward >= 0)


def test_broadcasts_one_colour_against_many():
    many = np.array([[[50.0, 0, 0], [60, 0, 0]], [[70, 0, 0], [80, 0, 0]]])
    assert delta_e_2000(many, [50.0, 0, 0]).shape == (2, 2)
    np.testing.assert_allclose(delta_e_76(many, [50.0, 0, 0]), [[0, 10], [20, 30]])
