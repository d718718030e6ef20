"""The device model: gradients, leave-one-out, replicates, and accuracy on real readings."""

import numpy as np
import pytest
from scipy.optimize import approx_fprime

from spectro.colour.difference import delta_e_2000
from spectro.errors import InputError
from spectro.maths.spread import farthest_points
from spectro.model.gaussian_process import FitSettings, fit_gaussian_process, solve_gaussian_process
from spectro.model.kernel import model_inputs
from spectro.model.likelihood import mean_terms, negative_log_likelihood
from spectro.model.many_patches import solve_projected


def invented_readings(count: int, noise: float = 0.1, seed: int = 0) -> tuple[np.ndarray, np.ndarray]:
    """Invented data: a smooth made-up printer with one kink, and noise."""
    random = np.random.default_rng(seed)
    device = random.random((count, 3))
    device[:8] = [[(k >> 2) & 1, (k >> 1) & 1, k & 1] for k in range(8)]
    kink = np.maximum(device.min(axis=1, keepdims=True) - 0.4, 0)
    lightness = 15 + 80 * (device**1.3).mean(axis=1, keepdims=True) + 8 * kink
    lab = np.hstack([lightness, 70 * (device[:, :1] - device[:, 1:2]), 70 * (device[:, 1:2] - device[:, 2:])])
    return device, lab + noise * random.normal(size=lab.shape)


def test_gradient_is_that_of_the_likelihood():
    device, lab = invented_readings(40)
    counts = np.arange(40) % 3 + 1.0
    arguments = (model_inputs(device), mean_terms(device, 2), lab, counts)
    random = np.random.default_rng(3)
    for _ in range(3):
        at = np.append(random.normal(size=15) * 0.3, -6.0)
        numeric = approx_fprime(at, lambda x: negative_log_likelihood(x, *arguments)[0], 1e-6)
        _, gradient = negative_log_likelihood(at, *arguments)
        np.testing.assert_allclose(gradient, numeric, rtol=1e-4, atol=1e-3)


def test_leave_one_out_is_what_fitting_without_the_patch_gives():
    device, lab = invented_readings(50)
    counts = np.ones(50)
    model = fit_gaussian_process(device, lab)
    for row in (0, 7, 23, 49):
        kept = np.arange(50) != row
        without = solve_gaussian_process(device[kept], lab[kept], counts[kept], model.prior)
        np.testing.assert_allclose(model.left_out[row], without.predict(device[row : row + 1])[0], atol=1e-8)


def test_a_repeated_reading_counts_like_its_mean():
    device, lab = invented_readings(60)
    model = fit_gaussian_process(device, lab)
    counts = np.ones(60)
    counts[5] = 400.0
    firm = solve_gaussian_process(device, lab, counts, model.prior)
    at = device[5:6]
    assert np.abs(firm.predict(at)[0] - lab[5]).max() < 0.05 * model.noise().max() + 1e-6
    assert (firm.uncertainty(at) < model.uncertainty(at)).all()


def test_uncertainty_grows_where_nothing_was_read():
    device, lab = invented_readings(200)
    far = device[:, 0] < 0.6
    model = fit_gaussian_process(device[far], lab[far])
    spread = model.uncertainty(np.array([[0.3, 0.5, 0.5], [0.99, 0.5, 0.5]]))
    assert (spread[1] > 1.3 * spread[0]).all()


def test_predictions_in_blocks_are_those_row_by_row():
    device, lab = invented_readings(300)
    model = fit_gaussian_process(device, lab)
    many = np.random.default_rng(1).random((5000, 3))
    np.testing.assert_allclose(model.predict(many)[[0, 2500, 4999]], model.predict(many[[0, 2500, 4999]]), atol=1e-9)
    assert model.predict(many[:0]).shape == (0, 3)


def test_a_projected_fit_around_all_patches_is_the_exact_one():
    device, lab = invented_readings(150)
    counts = np.arange(150) % 2 + 1.0
    exact = fit_gaussian_process(device, lab, counts)
    projected = solve_projected(device, lab, counts, exact.prior, device)
    at = np.random.default_rng(2).random((50, 3))
    np.testing.assert_allclose(projected.predict(at), exact.predict(at), atol=1e-3)
    np.testing.assert_allclose(projected.uncertainty(at), exact.uncertainty(at), rtol=1e-2)
    np.testing.assert_allclose(projected.left_out, exact.left_out, atol=1e-3)
    np.testing.assert_allclose(projected.left_out_spread, exact.left_out_spread, rtol=1e-2)


def test_thousands_of_patches_are_fitted_around_some_of_them(monkeypatch):
    device, lab = invented_readings(400)
    exact = fit_gaussian_process(device, lab)
    monkeypatch.setattr("spectro.model.gaussian_process.SETTINGS", FitSettings(most_exact=300, basis=200))
    projected = fit_gaussian_process(device, lab)
    at = np.random.default_rng(2).random((200, 3))
    assert projected.colours.placed.shape[0] == 200
    assert delta_e_2000(projected.predict(at), exact.predict(at)).mean() < 0.1


def test_more_patches_than_a_process_can_solve_at_once_are_carried_by_some():
    """The time of an exact solution grows with the cube of the patches: 4600 are carried by 1600, as well as they need be."""
    device, lab = invented_readings(4600)
    prior = fit_gaussian_process(device[:150], lab[:150]).prior
    model = solve_gaussian_process(device, lab, np.ones(4600), prior)
    assert model.colours.placed.shape[0] == 1600
    at, truth = invented_readings(500, noise=0.0, seed=1)
    assert delta_e_2000(model.predict(at), truth).mean() < 0.05


def test_too_few_patches_and_grey_charts_are_refused():
    device, lab = invented_readings(40)
    with pytest.raises(InputError, match="11 different patches"):
        fit_gaussian_process(device[:11], lab[:11])
    grey = np.repeat(np.linspace(0, 0.1, 40)[:, None], 3, axis=1)
    with pytest.raises(InputError, match="spans only"):
        fit_gaussian_process(grey, lab)


@pytest.mark.source("Balci-2025", "matte paper: trained on chart B, held against chart A, printed and read apart")
@pytest.mark.parametrize(("patches", "mean", "p95"), [(300, 0.55, 1.15), (900, 0.452, 0.915), (2420, 0.43, 0.88)])
def test_accuracy_on_a_real_print(matte_charts, patches, mean, p95):
    (device_a, lab_a), (device_b, lab_b) = matte_charts
    chosen = farthest_points(device_b, patches) if patches < len(device_b) else np.arange(len(device_b))
    unique, group = np.unique(device_b[chosen], axis=0, return_inverse=True)
    counts = np.bincount(group).astype(float)
    lab = np.column_stack([np.bincount(group, lab_b[chosen, k]) / counts for k in range(3)])
    model = fit_gaussian_process(unique, lab, counts)
    difference = delta_e_2000(model.predict(device_a), lab_a)
    assert difference.mean() <= mean
    assert np.percentile(difference, 95) <= p95
