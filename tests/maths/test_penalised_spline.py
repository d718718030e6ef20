"""Smooth curves through noisy points: they rise, they meet what is to be met, and noise does not lead them."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from spectro.errors import ShapeError
from spectro.maths.penalised_spline import fit_rising, fit_smooth

FINE = np.linspace(0, 1, 1001)


def tone(x):
    """Invented tone curve: a blocked shadow, then a bend."""
    return 15 + 81 * np.clip((x - 0.04) / 0.96, 0, 1) ** 1.3


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10_000), st.integers(8, 90), st.floats(0, 4))
def test_the_rising_curve_rises_whatever_the_noise(seed, count, noise):
    random = np.random.default_rng(seed)
    x = np.concatenate([[0, 1], random.random(count)])
    y = tone(x) + noise * random.standard_normal(len(x))
    curve = fit_rising(x, y, np.ones(len(x)), (x == 1).astype(float))(FINE)
    assert np.isfinite(curve).all()
    assert (np.diff(curve) >= 0).all()
    assert (np.diff(curve[::20]) > 0).all()


def test_noise_is_smoothed_and_a_clean_curve_is_kept():
    x = np.repeat(np.linspace(0, 1, 48), 2)
    noisy = tone(x) + 0.4 * np.random.default_rng(2).standard_normal(len(x))
    errors = {}
    for name, y in (("clean", tone(x)), ("noisy", noisy)):
        errors[name] = np.sqrt(np.mean((fit_rising(x, y, np.ones(len(x)))(FINE) - tone(FINE)) ** 2))
    assert errors["clean"] < 0.05
    assert errors["noisy"] < 0.2  # half of the noise
    assert fit_smooth(x, noisy, np.ones(len(x))).left_out == pytest.approx(0.4, rel=0.25)


def test_points_to_be_met_are_met():
    x = np.linspace(0, 1, 20)
    y = tone(x) + 0.3 * np.random.default_rng(3).standard_normal(20)
    met = (x == 1).astype(float)
    for fit in (fit_smooth, fit_rising):
        assert fit(x, y, np.ones(20), met)(1.0) == pytest.approx(y[-1], abs=2e-3)


def test_a_straight_line_stays_straight_and_ends_hold():
    x = np.linspace(0, 1, 12)
    curve = fit_smooth(x, 3 + 2 * x, np.ones(12))
    np.testing.assert_allclose(curve(FINE), 3 + 2 * FINE, atol=1e-6)
    np.testing.assert_allclose(curve([-1.0, 2.0]), [3, 5], atol=1e-6)


def test_too_few_points_are_refused():
    with pytest.raises(ShapeError, match="n 4 or more"):
        fit_smooth(np.zeros(3), np.zeros(3), np.ones(3))
