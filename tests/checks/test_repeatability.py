"""Repeats: averages of reflectance, systematic differences, outliers, evenness, drying, and halves of a sitting."""

import numpy as np
import pytest

from spectro.checks.repeatability import drying, halves_differ, merge_readings, page_evenness
from spectro.colour.difference import delta_e_2000
from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import InputError, ShapeError
from spectro.records.conditions import MeasurementCondition
from spectro.stand_in.bands import WAVELENGTHS
from spectro.stand_in.instrument import Instrument, read_spectra
from spectro.stand_in.paper import matte_paper
from spectro.stand_in.printer import Printer, printed_reflectance

INVENTED = pytest.mark.common_practice("no source: readings of the stand-in, sizes invented")


@pytest.fixture(scope="module")
def true():
    device = np.random.default_rng(3).random((60, 3))
    return printed_reflectance(device, printer=Printer(), paper=matte_paper(), condition=MeasurementCondition.M1)


def read(true, seed):
    return read_spectra(true, Instrument(drift=0.0), np.random.default_rng(seed))


@INVENTED
def test_readings_that_agree_are_averaged_and_the_mean_is_nearer_the_truth(true):
    readings = [read(true, seed) for seed in range(5)]
    merged = merge_readings(readings, WAVELENGTHS)
    assert merged.systematic == ()
    np.testing.assert_allclose(merged.reflectance, np.mean(readings, axis=0), atol=1e-12)
    lab = spectra_to_lab(true, WAVELENGTHS)
    ours = delta_e_2000(spectra_to_lab(merged.reflectance, WAVELENGTHS), lab).mean()
    assert ours < 0.6 * delta_e_2000(spectra_to_lab(readings[0], WAVELENGTHS), lab).mean()
    assert merged.noise == pytest.approx(delta_e_2000(spectra_to_lab(readings[0], WAVELENGTHS), lab).mean(), rel=0.25)


@pytest.mark.source("Colour-check-values", "MCDM of five readings, ΔE00")
def test_mcdm_of_five_readings_of_one_colour():
    """Mean distance from mean, on the published five readings; ours starts from reflectance, so only the formula is tested."""
    lab = np.array([[50.02, 0.10, -0.05], [49.98, 0.12, -0.03], [50.05, 0.08, -0.06], [49.95, 0.10, -0.02], [50, 0.10, -0.04]])
    assert delta_e_2000(lab, lab.mean(axis=0)).mean() == pytest.approx(0.0350, abs=5e-5)


@INVENTED
def test_a_systematic_difference_is_said_and_not_averaged(true):
    merged = merge_readings([read(true, 1), read(true, 2), read(true, 3) * 1.04], WAVELENGTHS)
    assert merged.reflectance is None
    assert {(first, second) for first, second, _ in merged.systematic} == {(0, 2), (1, 2)}
    assert "not averaged" in merged.sentence


@INVENTED
def test_outliers_are_listed_with_their_place_and_left_out(true):
    readings = [read(true, seed) for seed in range(4)]
    readings[2] = readings[2].copy()
    readings[2][17] = readings[2][40]
    positions = np.array([[1, row % 10 + 1, row // 10 + 1] for row in range(60)])
    merged = merge_readings(readings, WAVELENGTHS, positions=positions)
    (outlier,) = merged.outliers
    assert (outlier.reading, outlier.patch, outlier.position) == (2, 17, (1, 8, 2))
    np.testing.assert_allclose(merged.reflectance[17], np.mean([readings[k][17] for k in (0, 1, 3)], axis=0))


@INVENTED
def test_an_instrument_shift_between_halves_is_caught():
    """Shifts of 0.5 ΔE00 in any direction, twelve anchors, noise of the stand-in; and none where there is none."""
    rng = np.random.default_rng(8)
    device = rng.random((12, 3))
    true = printed_reflectance(device, printer=Printer(), paper=matte_paper(), condition=MeasurementCondition.M1)
    caught = false = 0
    for trial in range(400):
        first, second = (spectra_to_lab(read(true, 2 * trial + half), WAVELENGTHS) for half in (0, 1))
        direction = rng.standard_normal(3)
        unit = direction / delta_e_2000(first, first + direction * 1e-3).mean() * 1e-3
        caught += halves_differ(first, second + 0.5 * unit)[0]
        false += halves_differ(first, second)[0]
    assert caught >= 0.99 * 400
    assert false <= 1


def test_halves_must_be_the_same_patches():
    with pytest.raises(ShapeError):
        halves_differ(np.zeros((6, 3)), np.zeros((7, 3)))
    with pytest.raises(InputError):
        merge_readings([np.zeros((6, 36))], WAVELENGTHS)
    with pytest.raises(ShapeError):
        merge_readings([np.zeros((6, 36)), np.zeros((7, 36))], WAVELENGTHS)
    with pytest.raises(InputError):
        merge_readings([np.zeros((2, 36)), np.zeros((2, 36))], WAVELENGTHS)


@INVENTED
@pytest.mark.parametrize("seed", range(4))
def test_evenness_of_a_page_is_found_where_it_is(true, seed):
    """A page 3 % lighter at one side than at the other, from 24 repeats of three patches."""
    rng = np.random.default_rng(seed)
    group = np.repeat([0, 1, 2], 8)
    positions = np.column_stack([np.ones(24), rng.integers(1, 30, 24), rng.integers(1, 20, 24)]).astype(int)
    slope = 0.015 * (2 * (positions[:, 2] - positions[:, 2].min()) / np.ptp(positions[:, 2]) - 1)
    patches = true[[1, 2, 3]][group]
    even = page_evenness(read(patches, seed), group, positions, WAVELENGTHS)
    tilted = page_evenness(read(patches * (1 + slope[:, None]), seed), group, positions, WAVELENGTHS)
    assert tilted.certain
    assert not even.certain
    assert tilted.coefficients[2] == pytest.approx(0.015, abs=0.006)
    assert page_evenness(patches[:4], group[:4], positions[:4], WAVELENGTHS) is None


@INVENTED
def test_drying_is_told_from_noise(true):
    five = true[:5]
    dry = sum(drying(read(five, 2 * k), read(five, 2 * k + 1), WAVELENGTHS, noise=0.13).dry for k in range(100))
    assert dry >= 95
    wet = five * (five / five.max()) ** 0.05
    assert not drying(read(wet, 1), read(five, 2), WAVELENGTHS, noise=0.13).dry
