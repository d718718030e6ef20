"""The noise of a reading: its size in ΔE00, its shape over wavelength, its drift, its seed."""

import numpy as np
import pytest

from spectro.errors import InputError, ShapeError
from spectro.records.conditions import MeasurementCondition
from spectro.stand_in.instrument import Instrument, read_spectra
from spectro.stand_in.paper import glossy_paper, matte_paper
from spectro.stand_in.printer import Printer, printed_reflectance

PERFECT = Instrument(proportional=0, additive=0, band=0, drift=0)


def truth(paper, count=1500):
    device = np.random.default_rng(5).random((count, 3))
    return printed_reflectance(device, printer=Printer(), paper=paper, condition=MeasurementCondition.M0)


@pytest.mark.source("Balci-2025", "the same 674 recipes printed twice on the glossy paper: ΔE00 mean 0.18, p95 0.34")
@pytest.mark.parametrize("paper", [matte_paper(), glossy_paper()], ids=["matte", "glossy"])
def test_repeat_noise_is_that_of_a_real_print(paper, lab_of, delta_e_of):
    """Mean ΔE00 about 0.13 from the truth and 0.18 between two readings, as outside colour science counts it."""
    true = truth(paper)
    first, second = (read_spectra(true, Instrument(), np.random.default_rng(seed)) for seed in (1, 2))
    from_truth = delta_e_of(lab_of(first), lab_of(true))
    between = delta_e_of(lab_of(first), lab_of(second))
    assert 0.10 < from_truth.mean() < 0.16
    assert 0.14 < between.mean() < 0.25
    assert np.percentile(between, 95) < 0.5


def test_noise_is_smooth_over_wavelength():
    """Neighbouring bands err together, distant ones do not; a few curves hold nearly all of it."""
    true = np.full((4000, 36), 0.5)
    error = read_spectra(true, Instrument(drift=0), np.random.default_rng(3)) - true
    correlation = np.corrcoef(error.T)
    assert np.diag(correlation, 1).min() > 0.8
    assert np.abs(correlation[0, 18:]).max() < 0.6
    values = np.linalg.svd(error, compute_uv=False) ** 2
    assert values[:6].sum() > 0.98 * values.sum()


def test_noise_is_proportional_plus_additive():
    """On bright patches the spread follows the stated share; on dark ones the additive part is what is left."""
    instrument = Instrument(proportional=0.004, additive=0.0003, band=0.0, drift=0.0)
    rng = np.random.default_rng(4)
    bright = read_spectra(np.full((6000, 36), 0.9), instrument, rng).std()
    dark = read_spectra(np.full((6000, 36), 0.01), instrument, rng).std()
    assert bright == pytest.approx(np.hypot(0.9 * 0.004, 0.0003), rel=0.04)
    assert dark == pytest.approx(np.hypot(0.01 * 0.004, 0.0003), rel=0.04)


def test_drift_starts_at_nothing_and_grows_slowly():
    """With drift alone the first reading is true, later ones move one way, and never beyond the spread's scale."""
    instrument = Instrument(proportional=0, additive=0, band=0, drift=0.01)
    error = read_spectra(np.full((2000, 36), 0.5), instrument, np.random.default_rng(6)) / 0.5 - 1
    np.testing.assert_allclose(error[0], 0, atol=1e-4)
    size = np.abs(error).max(axis=1)
    assert size[-1] > size[300] > size[30] > 0
    assert size[-1] < 0.05


def test_perfect_instrument_only_rounds():
    """Without noise the reading is the truth to five decimals."""
    true = truth(matte_paper(), 50)
    np.testing.assert_array_equal(read_spectra(true, PERFECT, np.random.default_rng(0)), np.round(true, 5))


def test_no_reading_is_below_zero():
    """A black trap read with noise gives zeros, not negative light."""
    assert read_spectra(np.zeros((500, 36)), Instrument(), np.random.default_rng(0)).min() == 0


def test_same_seed_same_reading():
    """The generator's seed decides, nothing else."""
    true = truth(matte_paper(), 20)
    first, again, other = (read_spectra(true, Instrument(), np.random.default_rng(seed)) for seed in (8, 8, 9))
    np.testing.assert_array_equal(first, again)
    assert (first != other).any()


def test_wrong_input_is_refused():
    """Shapes and spreads that make no sense are errors of ours."""
    with pytest.raises(ShapeError, match="380 to 730"):
        read_spectra(np.ones(36), Instrument(), np.random.default_rng(0))
    with pytest.raises(ShapeError):
        read_spectra(np.ones((4, 31)), Instrument(), np.random.default_rng(0))
    with pytest.raises(InputError, match="spreads of 0 or more"):
        Instrument(additive=-1.0)
