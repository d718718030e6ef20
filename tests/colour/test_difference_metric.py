"""Small differences as distances, and spectra moved to another colour."""

import numpy as np
import pytest

from spectro.colour.difference import delta_e_2000, difference_roots
from spectro.colour.spectral_shift import spectra_with_lab
from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import InputError, ShapeError

NM = np.arange(380.0, 731.0, 10.0)
RNG = np.random.default_rng(3)
LAB = RNG.uniform([5, -60, -60], [95, 60, 60], (300, 3))


@pytest.mark.parametrize("size", [0.05, 0.5])
def test_lengths_are_colour_differences(size):
    """For small steps in any direction, |W v| is the ΔE00 to 3 % on average and 15 % at most for nearly all."""
    steps = size * RNG.normal(size=LAB.shape)
    wanted = delta_e_2000(LAB - steps / 2, LAB + steps / 2)
    found = np.linalg.norm(np.einsum("nij,nj->ni", difference_roots(LAB), steps), axis=1)
    assert np.abs(found / wanted - 1).mean() < 0.03
    assert np.quantile(np.abs(found / wanted - 1), 0.95) < 0.15


SPECTRA = np.clip(0.02 + 0.9 * RNG.random((40, 1)) * np.exp(-0.5 * ((NM - RNG.uniform(420, 680, (40, 1))) / 70) ** 2), 0, 1)


def test_spectra_take_the_wanted_colour_and_keep_their_shape():
    lab = spectra_to_lab(SPECTRA, NM)
    wanted = lab + RNG.uniform(-2, 2, lab.shape)
    moved = spectra_with_lab(SPECTRA, NM, wanted)
    np.testing.assert_allclose(spectra_to_lab(moved, NM), wanted, atol=1e-6)
    assert np.abs(np.log(moved / SPECTRA)).max() < 0.8
    np.testing.assert_allclose(spectra_with_lab(SPECTRA, NM, lab), SPECTRA, atol=1e-12)


def test_colours_no_print_has_are_refused():
    with pytest.raises(InputError, match="Make a new profile"):
        spectra_with_lab(SPECTRA[:1], NM, np.array([[50.0, 300.0, -400.0]]))
    with pytest.raises(ShapeError):
        spectra_with_lab(SPECTRA, NM, np.zeros((3, 3)))
