"""The device model of inks: gradients, lattices, what it refuses, and accuracy on a real print."""

import colour
import numpy as np
import pytest
from scipy.optimize import approx_fprime

from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import InputError
from spectro.maths.spread import farthest_points
from spectro.model.ink_likelihood import InkSearch
from spectro.model.ink_process import colours_of_lattice, fit_ink_process
from spectro.readings.load import load_readings
from spectro.readings.repeats import average_repeats
from spectro.records.reading_options import ReadingOptions


def invented_inks(count: int, inks: int = 4, seed: int = 0) -> tuple[np.ndarray, np.ndarray]:
    """Invented data: inks that each take their share of three lights, and a little noise."""
    random = np.random.default_rng(seed)
    device = random.random((count, inks))
    device[: inks + 1] = np.vstack([np.zeros(inks), np.eye(inks)])
    left = np.array([[0.2, 0.8, 0.9], [0.8, 0.25, 0.7], [0.95, 0.9, 0.2], [0.1, 0.1, 0.1], [0.9, 0.5, 0.2]])[:inks]
    light = np.prod(1 - device[:, :, None] ** 0.9 * (1 - left), axis=1)
    x, y, z = np.cbrt(light).T
    lab = np.column_stack([116 * y - 16, 500 * (x - y), 200 * (y - z)])
    return device, lab + 0.02 * random.normal(size=lab.shape)


@pytest.mark.source("Rasmussen-Williams-2006", "marginal likelihood and its partial derivatives")
@pytest.mark.parametrize(("fading", "summing"), [(True, True), (True, False), (False, True)])
def test_gradient_is_that_of_the_likelihood(fading, summing):
    device, lab = invented_inks(40)
    search = InkSearch(device=device, lab=lab, counts=np.arange(40) % 3 + 1.0, fading=fading, summing=summing)
    point = search.start() + 0.1 * np.random.default_rng(3).normal(size=22)
    numeric = approx_fprime(point, lambda x: search.value(x)[0], 1e-6)
    counted = np.ones(22, dtype=bool)
    counted[16:20] = fading  # held at 0 where the signal does not fade
    np.testing.assert_allclose(search.value(point)[1][counted], numeric[counted], rtol=1e-4, atol=2e-3)


@pytest.mark.common_practice("no source: a product of kernels is the same whether it is taken point by point or by halves")
@pytest.mark.parametrize("inks", [3, 4, 5])
def test_a_lattice_holds_what_the_model_predicts(inks):
    device, lab = invented_inks(80, inks)
    model = fit_ink_process(device, lab)
    axes = [np.linspace(0, 1, 3)] * inks
    nodes = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, inks)
    np.testing.assert_allclose(colours_of_lattice(model, axes).reshape(-1, 3), model.predict(nodes), atol=1e-6)


@pytest.mark.common_practice("no source: what was read is known better than what was not")
def test_uncertainty_is_least_where_readings_are():
    device, lab = invented_inks(120)
    model = fit_ink_process(device[device[:, 0] < 0.6], lab[device[:, 0] < 0.6])
    read, far = np.array([[0.3, 0.3, 0.3, 0.1]]), np.array([[1.0, 0.3, 0.3, 0.1]])
    assert (model.uncertainty(far) > 2 * model.uncertainty(read)).all()


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda device: device[:20], "different patches"),
        (lambda device: device * (1, 1, 1, 0.1), "ink 4 spans only"),
        (lambda device: np.column_stack([device[:, :3], device[:, 2]]), "only change together"),
        (lambda device: device * (np.arange(4) == np.arange(len(device))[:, None] % 4), "two or more inks"),
    ],
)
@pytest.mark.common_practice("no source: a model needs every ink by itself, and inks on top of each other")
def test_charts_that_tell_too_little_are_refused(change, words):
    device, lab = invented_inks(80)
    changed = change(device)
    with pytest.raises(InputError, match=words):
        fit_ink_process(changed, lab[: len(changed)])


@pytest.mark.common_practice("no source: patches left out of a real print, off by less than a plain process is (ΔE00 0.57)")
def test_a_real_print_is_predicted_from_300_of_its_patches(check_data):
    measurements = load_readings([check_data / "cmyk-10deg" / "it874-1617-m1.txt"], ReadingOptions())
    recipes = average_repeats(measurements)
    lab = spectra_to_lab(recipes.reflectance, measurements.wavelengths)
    rows = farthest_points(recipes.device, 300)
    rest = np.setdiff1d(np.arange(len(lab)), rows)
    model = fit_ink_process(recipes.device[rows], lab[rows])
    assert colour.delta_E(lab[rest], model.predict(recipes.device[rest]), method="CIE 2000").mean() < 0.52
