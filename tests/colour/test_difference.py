"""CIEDE2000 against the published pairs and a second implementation."""

from pathlib import Path

import colour
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from spectro.colour.ciede2000_blocks import BLOCK, ciede2000_by_angles
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


@pytest.mark.source("Sharma-2005", "as implemented by a general colour-science library; near pairs, greys, axes, opposite hues")
def test_hard_places_agree_with_a_second_implementation():
    random = np.random.default_rng(11)
    first = random.uniform((0, -110, -110), (100, 110, 110), (20_000, 3))
    near = first + random.normal(size=first.shape) * 1e-4
    opposite = first * [1, -1, -1] + random.normal(size=first.shape) * [5, 1e-3, 1e-3]
    axis = np.round(first / 40) * 40  # many zeros and equal values
    for second in (near, opposite, axis):
        np.testing.assert_allclose(delta_e_2000(first, second), colour.delta_E(first, second, method="CIE 2000"), atol=1e-7)
    np.testing.assert_allclose(delta_e_2000(axis, axis[::-1]), ciede2000_by_angles(axis.T, axis[::-1].T), atol=1e-9)


def test_blocks_and_threads_change_nothing():
    random = np.random.default_rng(12)
    first, second = random.uniform((0, -80, -80), (100, 80, 80), (2, 3 * BLOCK + 7, 3))
    one = delta_e_2000(first, second, threads=1)
    np.testing.assert_array_equal(one, delta_e_2000(first, second, threads=2))
    np.testing.assert_allclose(one, ciede2000_by_angles(first.T, second.T), atol=1e-9)


def test_no_pairs_give_no_differences():
    assert delta_e_2000(np.zeros((0, 3)), [50.0, 0, 0]).shape == (0,)
