"""A print path's own table in the device model: its covariance, its predictions, and when it is believed in."""

from dataclasses import replace

import numpy as np
import pytest

from spectro.colour.difference import delta_e_2000
from spectro.colour.tristimulus import spectra_to_lab
from spectro.files.cgats import read_cgats
from spectro.maths.lattice import tetrahedral
from spectro.maths.spread import farthest_points
from spectro.maths.tetrahedra import tetrahedral_weights
from spectro.model.gaussian_process import fit_gaussian_process, solve_gaussian_process
from spectro.model.kernel import Hyperparameters, matern
from spectro.model.prior import Lattice, PathTable, Prior, fitted_colours

RNG = np.random.default_rng(8)
SOME = Hyperparameters(
    lengths=np.array([1.0, 1.5, 2.0, 2.5, 3.0]),
    warp_first=np.full(5, 1.2),
    warp_second=np.full(5, 0.8),
    noise_ratio=1e-3,
)
EVEN, BY_LEVELS = Lattice(9, 1 / 8), Lattice(5, 64 / 255)


def prior(lattice: Lattice) -> Prior:
    return Prior(hyperparameters=SOME, table=PathTable(lattice=lattice, share=0.4, node_errors=5e-4))


def smooth_printer(device: np.ndarray) -> np.ndarray:
    """Invented: smooth, but so curved that a table of 17 nodes is off by more than the noise."""
    waves = np.sin(6 * device @ np.array([[1.0, 0.4, 0.2], [0.3, 1.0, 0.4], [0.2, 0.3, 1.0]]) + [0.0, 1.0, 2.0])
    return np.array([50.0, 0.0, 0.0]) + 60 * (device.mean(axis=1, keepdims=True) - 0.5) * [1, 0, 0] + waves * [8.0, 15.0, 15.0]


def through_table(device: np.ndarray, lattice: Lattice) -> np.ndarray:
    every = lattice.device(np.arange(lattice.nodes**3))
    return tetrahedral(smooth_printer(every).reshape(*lattice.grid, 3), device / lattice.step)


@pytest.mark.parametrize("lattice", [EVEN, BY_LEVELS])
def test_the_covariance_is_that_of_its_formula(lattice):
    """(1 - s) k + s w' k(N, N) w + v w' w, with all nodes and dense weights."""
    first, second = RNG.random((12, 3)), RNG.random((7, 3))
    second[:2] = [[0, 0, 0], [1, 1, 1]]
    every = SOME.place(lattice.device(np.arange(lattice.nodes**3)))
    kernels = matern(every, every)

    def dense(device):
        found = np.zeros((len(device), lattice.nodes**3))
        indices, weights = tetrahedral_weights(lattice.grid, device / lattice.step)
        np.put_along_axis(found, indices, weights, axis=1)
        return found

    for one, other in ((first, second), (first, first)):
        wanted = 0.6 * matern(SOME.place(one), SOME.place(other)) + dense(one) @ (0.4 * kernels + 5e-4 * np.eye(len(every))) @ (
            dense(other).T
        )
        np.testing.assert_allclose(prior(lattice).between(one, other), wanted, atol=1e-12)
    np.testing.assert_allclose(prior(lattice).variance(first), np.diag(prior(lattice).between(first, first)), atol=1e-12)


@pytest.mark.parametrize("lattice", [EVEN, BY_LEVELS])
def test_predictions_through_the_nodes_are_those_through_all_patches(lattice):
    device, at, weights = RNG.random((40, 3)), RNG.random((200, 3)), RNG.normal(size=(40, 3))
    found = fitted_colours(prior(lattice), device, weights, np.zeros((10, 3)))
    np.testing.assert_allclose(found.predict(at), prior(lattice).between(at, device) @ weights, atol=1e-10)


def test_left_out_and_uncertainty_hold_with_a_table():
    """Leaving a patch out gives what left_out says; the uncertainty is the diagonal of what is left of the covariance."""
    device, counts = RNG.random((60, 3)), np.arange(60) % 2 + 1.0
    lab = through_table(device, EVEN) + 0.1 * RNG.normal(size=(60, 3))
    model = solve_gaussian_process(device, lab, counts, prior(EVEN))
    for row in (3, 31):
        kept = np.arange(60) != row
        without = solve_gaussian_process(device[kept], lab[kept], counts[kept], prior(EVEN))
        np.testing.assert_allclose(model.left_out[row], without.predict(device[row : row + 1])[0], atol=1e-7)
    at = RNG.random((20, 3))
    left = np.diag(model.left_correlation(at))[:, None] * model.variance
    np.testing.assert_allclose(model.uncertainty(at) ** 2, left, rtol=1e-6)


def test_a_path_with_a_table_is_told_from_one_without():
    """Invented: one printer read through 17 nodes, and as it is; the table brings the model nearer to the truth."""
    device, at = RNG.random((700, 3)), RNG.random((1500, 3))
    noise, lattice = 0.05 * RNG.normal(size=(700, 3)), Lattice(17, 16 / 255)
    found = fit_gaussian_process(device, through_table(device, lattice) + noise)
    assert found.prior.table is not None
    assert found.prior.table.lattice.nodes == 17
    assert found.prior.gain > 20
    plain = fit_gaussian_process(device, through_table(device, lattice) + noise, tables=False)
    assert plain.prior.table is None
    errors = [delta_e_2000(model.predict(at), through_table(at, lattice)).mean() for model in (found, plain)]
    assert errors[0] < 0.9 * errors[1]
    assert fit_gaussian_process(device, smooth_printer(device) + noise).prior.table is None


@pytest.mark.source("Balci-2025", "matte paper, chart B: what is left over comes back on chart A, printed and read apart")
def test_the_table_of_a_real_print_path_is_found(matte_charts):
    (device_a, lab_a), (device_b, lab_b) = matte_charts
    rows = farthest_points(device_b, 900)
    found = fit_gaussian_process(device_b[rows], lab_b[rows])
    assert found.prior.table is not None
    assert found.prior.table.lattice.nodes == 17
    plain = Prior(hyperparameters=replace(found.prior.hyperparameters, noise_ratio=2 * found.prior.hyperparameters.noise_ratio))
    errors = [
        delta_e_2000(model.predict(device_a), lab_a).mean()
        for model in (found, solve_gaussian_process(device_b[rows], lab_b[rows], np.ones(900), plain))
    ]
    assert errors[0] < errors[1] - 0.003


@pytest.mark.source("Balci-2025", "glossy paper, 674 different patches")
def test_no_table_is_believed_in_without_evidence(check_data):
    table = read_cgats(check_data / "photo-inkjet-glossy" / "chart-680-m0.txt")
    numbers = np.unique(np.array([row[1:] for row in table.rows], dtype=float), axis=0)
    device, rows = np.unique(numbers[:, :3] / 255, axis=0, return_index=True)
    lab = spectra_to_lab(numbers[rows, 3:], np.arange(380.0, 731.0, 10.0))
    found = fit_gaussian_process(device, lab)
    assert found.prior.table is None
    assert found.prior.gain < 2
