"""Smoothness figures: a straight ramp has none, a step is found where it is."""

import numpy as np
import pytest

from spectro.checks.smoothness import RAMPS, STEPS, device_ramps, second_differences, smoothness
from spectro.stand_in.photograph import photograph, ramps


def test_even_steps_are_smooth_and_a_kink_is_found_in_its_place():
    lightness = np.linspace(40, 60, STEPS)
    lab = np.zeros((2, STEPS, 3))
    lab[..., 0] = lightness
    lab[1, 70:, 1] += 0.5  # one step in a*
    at = lab.copy()
    assert second_differences(lab)[0].max() < 0.01
    found = smoothness("B2A1", lab, at, lambda values: f"L {values[0]:.1f}")
    assert found.worst == pytest.approx(0.5, abs=0.2)
    place = float(found.worst_place.removeprefix("L "))
    assert abs(place - lightness[70]) < 2 * (lightness[1] - lightness[0])
    assert 0 < found.rms < found.worst
    assert found.p99 <= found.worst


@pytest.mark.parametrize("channels", [3, 4])
def test_ramps_run_straight_through_the_cube(channels):
    values = device_ramps(channels)
    assert values.shape == (RAMPS, STEPS, channels)
    assert values.min() >= 0
    assert values.max() <= 1
    np.testing.assert_allclose(np.diff(values, n=2, axis=1), 0, atol=1e-12)


def test_the_made_up_photograph_is_smooth_and_within_lab():
    for picture in (photograph(), ramps()):
        assert np.isfinite(picture).all()
        assert picture[..., 0].min() >= 0
        assert picture[..., 0].max() <= 100
    sky = photograph()[:120]
    assert np.abs(np.diff(sky, axis=0)).max() < 1.5
