"""The drift term: near nothing where nothing changed, near the truth where something smooth did."""

import numpy as np
import pytest

from spectro.errors import InputError, ShapeError
from spectro.model.drift_term import fit_drift_term, solve_drift_term

RNG = np.random.default_rng(4)
DEVICE = RNG.random((60, 3))
ELSEWHERE = RNG.random((300, 3))
SPREAD = np.full(60, 0.1)


def no_moves(device):
    return (np.zeros((1, len(device), 3)),)


def ramp(device):
    """One likely move: L* falls where the first channel is low."""
    return (np.outer(1 - device[:, 0], [-2.0, 0.5, 0.0])[None],)


def term(difference, moves=no_moves, device=DEVICE, spread=SPREAD):
    return fit_drift_term(device, difference, spread, place=lambda points: points / 0.5, moves=moves)


def test_noise_alone_gives_nearly_nothing():
    found = term(0.1 * RNG.normal(size=(60, 3)), ramp)
    assert np.abs(found.predict(ELSEWHERE)).mean() < 0.05


@pytest.mark.parametrize("size", [0.3, 1.5, -1.0])
def test_a_likely_move_is_found(size):
    found = term(size * ramp(DEVICE)[0][0] + 0.1 * RNG.normal(size=(60, 3)), ramp)
    assert np.abs(found.predict(ELSEWHERE) - size * ramp(ELSEWHERE)[0][0]).mean() < 0.06
    assert found.moved[0][0] == pytest.approx(size, abs=0.15)


def smooth(device):
    return np.stack([np.sin(3 * device[:, 0]), device[:, 1] * device[:, 2], np.cos(2 * device[:, 2])], axis=1)


def test_a_smooth_change_nobody_thought_of_is_followed():
    found = term(smooth(DEVICE) + 0.1 * RNG.normal(size=(60, 3)))
    errors = found.predict(ELSEWHERE) - smooth(ELSEWHERE)
    assert np.sqrt((errors**2).mean()) < 0.12


def test_left_out_is_the_fit_without_the_patch():
    """With the sizes held, dropping a patch and predicting it gives what left_out says."""
    difference = smooth(DEVICE) + 0.1 * RNG.normal(size=(60, 3))
    found = term(difference, ramp)
    errors = found.left_out - difference
    assert 0.08 < np.sqrt((errors**2).mean()) < 0.25
    rest = np.arange(60) != 7
    without = solve_drift_term(
        DEVICE[rest], difference[rest], SPREAD[rest], found.sizes, place=lambda points: points / 0.5, moves=ramp
    )
    np.testing.assert_allclose(without.predict(DEVICE[7:8])[0], found.left_out[7], atol=1e-8)


def test_bad_input_is_refused():
    with pytest.raises(InputError, match="40 to 80 are good"):
        term(np.zeros((5, 3)), device=DEVICE[:5], spread=SPREAD[:5])
    with pytest.raises(ShapeError):
        term(np.zeros((60, 2)))
