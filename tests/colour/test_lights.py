"""Lights: white points both ways of summing, daylight, agreement with a second implementation, laws."""

import colour
import numpy as np
import pytest

from spectro.colour.daylight import daylight_chromaticity, daylight_factors, daylight_power
from spectro.colour.lights import as_light, is_light_name, named_light
from spectro.colour.pcs import light_name, spectra_to_pcs
from spectro.colour.tristimulus import spectra_to_lab, tristimulus
from spectro.colour.weights import tristimulus_weights
from spectro.errors import InputError, ShapeError
from spectro.records.light import Light
from spectro.standards.tables import illuminant_names, illuminant_power, observer_table

NM = np.arange(380.0, 731.0, 10.0)
FULL = np.arange(360.0, 781.0)
# light: X, Z of the 2 degree observer, X, Z of the 10 degree observer; sums at 5 nm, 380 to 780 nm, as printed tables have
WHITES_5_NM = {
    "A": (109.849, 35.582, 111.144, 35.200),
    "D50": (96.420, 82.512, 96.720, 81.427),
    "D55": (95.679, 92.137, 95.799, 90.925),
    "D65": (95.043, 108.880, 94.812, 107.324),
    "D75": (94.967, 122.614, 94.416, 120.640),
    "F2": (99.186, 67.394, 103.280, 69.030),
    "F7": (95.042, 108.749, 95.793, 107.690),
    "F11": (100.961, 64.351, 103.864, 65.609),
    "LED-B3": (100.893, 67.715, 103.347, 68.010),
}


@pytest.mark.source("CIE-15-2018", "white points of the illuminants, sums at 5 nm from 380 to 780 nm")
@pytest.mark.parametrize("light", WHITES_5_NM)
def test_whites_summed_at_5_nm(light):
    nm = np.arange(380.0, 781.0, 5.0)
    for observer, (x, z) in ((2, WHITES_5_NM[light][:2]), (10, WHITES_5_NM[light][2:])):
        table = observer_table(observer)
        functions = table.values[np.isin(table.wavelengths, nm)]
        sums = functions.T @ illuminant_power(light, nm)
        np.testing.assert_allclose(100 * sums / sums[1], [x, 100, z], atol=0.01)
        across = tristimulus_weights(FULL, light, observer).sum(axis=0)
        np.testing.assert_allclose(across, [x, 100, z], atol=0.111 if light[0] in "FL" else 0.025)


@pytest.mark.source("CIE-15-2018", "chromaticity of daylight, M1 and M2")
def test_daylight_series():
    places = {
        5000 * 1.4388 / 1.4380: (0.34566, 0.35860, -1.039, 0.363),
        5503: (0.33243, 0.34755, -0.785, -0.198),
        6504: (0.31271, 0.32912, -0.294, -0.689),
        7504: (0.29905, 0.31498, 0.145, -0.760),
        4000: (0.38234, 0.38377, None, None),
        10000: (0.27880, 0.29197, 1.003, -0.369),
    }
    for kelvin, (x, y, m1, m2) in places.items():
        found = daylight_chromaticity(kelvin)
        np.testing.assert_allclose(found, (x, y), atol=1.01e-5)
        if m1 is not None:
            np.testing.assert_allclose(daylight_factors(*found), (m1, m2), atol=0.00101)


@pytest.mark.source("CIE-15-2018", "tables of D50, D65 and A at 400 to 700 nm; the formula gives the D tables")
def test_tables_and_the_daylight_formula_agree():
    at = np.array([400.0, 450, 500, 600, 700])
    np.testing.assert_allclose(illuminant_power("D65", at), [82.7549, 117.008, 109.354, 90.0062, 71.6091], atol=0.001)
    np.testing.assert_allclose(illuminant_power("D50", at)[[0, 2, 3, 4]], [49.308, 95.724, 97.688, 91.604], atol=0.001)
    np.testing.assert_allclose(illuminant_power("A", at)[[0, 2, 3, 4]], [14.708, 59.8611, 129.043, 198.261], atol=0.001)
    np.testing.assert_allclose(daylight_power(5000 * 1.4388 / 1.4380, FULL), illuminant_power("D50", FULL), atol=0.01)
    planck = 100 * (560 / FULL) ** 5 * np.expm1(1.435e7 / (2848 * 560)) / np.expm1(1.435e7 / (2848 * FULL))
    np.testing.assert_allclose(named_light("A").power[::5], planck[::5], atol=1e-3)


@pytest.mark.source("ASTM-E308", "weights by ASTM E2022, as implemented by a general colour-science library")
@pytest.mark.parametrize("observer", [2, 10])
def test_random_spectra_under_all_illuminants_agree_with_a_second_implementation(observer):
    random = np.random.default_rng(31)
    reflectance = np.clip(np.cumsum(random.normal(size=(40, 43)) * 0.12, axis=1) + 0.5, 0, 1.2)
    nm = np.arange(360.0, 781.0, 10.0)
    shape = colour.SpectralShape(360, 780, 1)
    name = {2: "CIE 1931 2 Degree Standard Observer", 10: "CIE 1964 10 Degree Standard Observer"}[observer]
    functions = colour.MSDS_CMFS[name].copy().align(shape)
    for light in illuminant_names():
        power = colour.SpectralDistribution(dict(zip(FULL, as_light(light).power, strict=True)))
        expected = colour.colorimetry.msds_to_XYZ_ASTME308(
            colour.MultiSpectralDistributions(reflectance.T, nm), cmfs=functions, illuminant=power, mi_5nm_omission_method=False
        )
        np.testing.assert_allclose(tristimulus(reflectance, tristimulus_weights(nm, light, observer)), expected, atol=1e-3)


@pytest.mark.parametrize("light", ["A", "D50", "D93", "E", "F3.7", "HP3", "LED-RGB1", "ID65", "6100K"])
def test_a_perfect_diffuser_is_white_under_every_light(light):
    for nm in (NM, np.arange(360.0, 781.0), np.arange(380.0, 781.0, 20.0)):
        np.testing.assert_allclose(spectra_to_lab(np.ones(len(nm)), nm, light, 10), [100, 0, 0], atol=1e-9)


def test_uneven_wavelengths_are_taken():
    smooth = 0.5 + 0.3 * np.sin(NM / 60)
    uneven = np.delete(NM, [5, 12, 20])
    np.testing.assert_allclose(
        spectra_to_lab(np.delete(smooth, [5, 12, 20]), uneven, "D50"), spectra_to_lab(smooth, NM, "D50"), atol=0.03
    )
    np.testing.assert_allclose(
        tristimulus_weights(uneven, "F2").sum(axis=0), tristimulus_weights(FULL, "F2").sum(axis=0), atol=1e-9
    )


def test_a_light_record_serves_as_well_as_a_name():
    mine = Light(name="booth", power=named_light("D65").power * 3)
    reflectance = np.linspace(0.2, 0.8, 36)
    np.testing.assert_allclose(spectra_to_lab(reflectance, NM, mine), spectra_to_lab(reflectance, NM, "d65"), atol=1e-9)
    assert light_name(mine, 2) == "booth, 2° observer"
    assert spectra_to_pcs(reflectance, NM, mine).adaptation is not None
    assert as_light(mine) is mine


def test_names_are_told_from_files():
    assert is_light_name("f3.12")
    assert is_light_name(" 5500k ")
    assert is_light_name("D10")
    assert not is_light_name("lamp.csv")
    assert not is_light_name("F99")
    with pytest.raises(InputError, match="4000 to 25000 K"):
        named_light("D10")
    with pytest.raises(InputError, match="5500K, or a file"):
        named_light("candle")


def test_a_light_checks_itself():
    with pytest.raises(ShapeError, match="421"):
        Light(name="short", power=np.ones(400))
    for power in (np.zeros(421), np.full(421, -1.0), np.full(421, np.nan)):
        with pytest.raises(InputError, match="light bad"):
            Light(name="bad", power=power)
