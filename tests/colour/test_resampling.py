"""Interpolation of spectra and the width of the instrument's band."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from spectro.colour.resampling import METHODS, bandpass_corrected, resampled, sprague_matrix
from spectro.errors import InputError, ShapeError
from spectro.standards.tables import observer_table

STEP = [0, 0, 0.1, 0.5, 0.9, 1, 1]


@pytest.mark.source("CIE-167-2005", "fifth-degree interpolation: exact for x^4 in the inside; values of a step")
def test_sprague_gives_the_worked_numbers():
    fourth = np.arange(7.0) ** 4
    np.testing.assert_allclose(resampled(fourth, range(7), [2.5, 3.25], "sprague"), [39.0625, 111.56640625], atol=1e-9)
    found = resampled(STEP, range(7), [1.5, 2.5, 3.25, 3.5], "sprague")
    np.testing.assert_allclose(found, [0.01868085, 0.275390625, 0.61312256, 0.72460938], atol=1e-8)


@pytest.mark.source("CIE-018-2019", "the colour-matching function y at 10 nm, interpolated to 555 and 565 nm")
def test_sprague_on_a_colour_matching_function():
    table = observer_table(2)
    nodes = np.arange(540.0, 601.0, 10.0)
    values = table.values[np.isin(table.wavelengths, nodes), 1]
    np.testing.assert_allclose(resampled(values, nodes, [555.0, 565.0], "sprague"), [1.000739, 0.978747], atol=1e-6)


@pytest.mark.source("Stearns-Stearns-1988", "the formula on neighbours as measured; 500 to 600 nm in steps of 20")
def test_bandpass_gives_the_worked_numbers():
    data = [0.0651, 0.0705, 0.0772, 0.0870, 0.1128, 0.1360]
    expected = [0.0646518, 0.0703921, 0.0769427, 0.0856720, 0.1130158, 0.1379256]
    np.testing.assert_allclose(bandpass_corrected(data), expected, atol=1e-7)
    np.testing.assert_allclose(bandpass_corrected([data, data])[1], expected, atol=1e-7)


@pytest.mark.parametrize("method", METHODS)
def test_constants_and_measured_points_stay(method):
    nodes = np.arange(380.0, 731.0, 10.0)
    targets = np.arange(360.0, 781.0)
    np.testing.assert_allclose(resampled(np.full((2, 36), 0.37), nodes, targets, method), 0.37, atol=1e-12)
    values = np.random.default_rng(1).random(36)
    np.testing.assert_allclose(resampled(values, nodes, nodes, method), values, atol=1e-12)
    np.testing.assert_allclose(resampled(values, nodes, [300.0, 900.0], method), values[[0, -1]], atol=1e-12)


@given(st.floats(0, 1.5), st.integers(2, 40))
def test_bandpass_leaves_constants(value, bands):
    np.testing.assert_allclose(bandpass_corrected(np.full(bands, value)), value, atol=1e-12)


def test_what_a_method_cannot_take_is_refused():
    with pytest.raises(InputError, match="six at least"):
        sprague_matrix(np.arange(5.0), np.array([1.0]))
    with pytest.raises(InputError, match="even steps"):
        resampled([0, 1, 2, 3, 4, 5, 6], [0, 1, 2, 3, 4, 5, 7], [1.5], "sprague")
    with pytest.raises(InputError, match="four at least"):
        resampled([0, 1], [0, 1], [0.5])
    with pytest.raises(InputError, match="rising"):
        resampled([0, 1, 2, 3], [0, 1, 1, 2], [0.5])
    with pytest.raises(InputError, match="one of sprague"):
        resampled([0, 1, 2, 3], [0, 1, 2, 3], [0.5], "spline")
    with pytest.raises(ShapeError):
        resampled([0, 1, 2], [0, 1, 2, 3], [0.5])
    with pytest.raises(ShapeError):
        bandpass_corrected([0.5])
