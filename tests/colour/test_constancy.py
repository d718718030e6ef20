"""Metamerism and inconstancy against worked numbers; adaptation transforms against published ones."""

import numpy as np
import pytest

from spectro.colour.adaptation import TRANSFORMS, corresponding_colour
from spectro.colour.constancy import inconstancy, metamerism_index
from spectro.colour.tristimulus import spectra_to_lab
from spectro.colour.weights import tristimulus_weights
from spectro.errors import InputError

WIDE = np.arange(360.0, 781.0, 10.0)
NM = np.arange(380.0, 731.0, 10.0)


def metameric_pair():
    """A flat grey and one that matches it exactly under D65, 10 degree; invented."""
    weights = tristimulus_weights(WIDE, "D65", 10)
    wave = np.cos(2 * np.pi * (WIDE - 360) / 105)
    unseen = wave - weights @ np.linalg.solve(weights.T @ weights, weights.T @ wave)
    flat = np.full(len(WIDE), 0.30)
    return flat, flat + 0.08 * unseen / np.abs(unseen).max()


@pytest.mark.source("CIE-15-2018", "special metamerism index of a pair that matches exactly under D65; worked numbers")
@pytest.mark.parametrize(
    ("light", "of_76", "of_2000"),
    [
        ("D65", 0, 0),
        ("D50", 0.4850, 0.5946),
        ("A", 2.1597, 2.9833),
        ("F2", 4.2337, 4.4042),
        ("F11", 6.2518, 7.7203),
        ("LED-B3", 1.1249, 1.4531),
    ],
)
def test_metamerism_of_a_made_pair(light, of_76, of_2000):
    first, second = metameric_pair()
    assert (second.min(), second.max()) == pytest.approx((0.2200, 0.3756), abs=1e-4)
    found = metamerism_index(first, second, WIDE, test=light)
    assert found.delta_e_76 == pytest.approx(of_76, abs=0.02)
    assert found.delta_e_2000 == pytest.approx(of_2000, abs=0.02)
    assert found.at_reference == pytest.approx(0, abs=1e-6)
    assert spectra_to_lab(first, WIDE, "D65", 10)[0] == pytest.approx(61.6542, abs=1e-4)


@pytest.mark.source("FOGRA51", "50/40/40 against 60 % black, corrected and not, worked numbers")
def test_metamerism_of_a_printed_pair(offset):
    mixed, black = offset.spectrum(50, 40, 40, 0), offset.spectrum(0, 0, 0, 60)
    np.testing.assert_allclose(spectra_to_lab(mixed, NM, "D65", 10), [56.866, -2.304, -1.828], atol=0.005)
    np.testing.assert_allclose(spectra_to_lab(black, NM, "D65", 10), [55.275, 0.046, -3.623], atol=0.005)
    for light, expected in (("A", (4.754, 6.573)), ("F11", (5.084, 7.306))):
        found = metamerism_index(mixed, black, NM, test=light)
        assert (float(found.delta_e_76), float(found.delta_e_2000)) == pytest.approx(expected, abs=0.02)
    plain = metamerism_index(mixed, black, NM, test="A", correction="none")
    assert plain.delta_e_76 == pytest.approx(2.901, abs=0.02)
    assert plain.correction == "none"


@pytest.mark.source("FOGRA51", "inconstancy from D65 to A, 10 degree, by three adaptation transforms, worked numbers")
@pytest.mark.parametrize(
    ("cmyk", "expected"),
    [
        ((0, 0, 0, 0), (0.906, 1.165, 1.134)),
        ((100, 0, 0, 0), (5.683, 9.299, 6.700)),
        ((0, 100, 0, 0), (7.326, 9.598, 6.050)),
        ((0, 0, 100, 0), (2.656, 4.477, 2.283)),
        ((50, 40, 40, 0), (7.103, 7.246, 7.254)),
        ((0, 0, 0, 50), (0.366, 0.595, 0.589)),
    ],
)
def test_inconstancy(offset, cmyk, expected):
    found = [float(inconstancy(offset.spectrum(*cmyk), NM, adaptation=name)) for name in TRANSFORMS[:3]]
    np.testing.assert_allclose(found, expected, atol=0.02)


@pytest.mark.source("FOGRA51", "a grey of three inks is more than ten times less constant than one of black ink")
def test_greys_rank(offset):
    mixed = inconstancy(offset.spectrum(50, 40, 40, 0), NM)
    assert mixed > 10 * inconstancy(offset.spectrum(0, 0, 0, 50), NM)


@pytest.mark.source("FOGRA51", "solids under D65 and A, 10 degree observer, worked numbers")
def test_solids_under_other_lights(offset):
    for cmyk, d65, a in (
        ((0, 0, 0, 0), (95.23, 1.03, -5.51), (94.96, 0.27, -5.91)),
        ((100, 0, 0, 0), (60.83, -35.01, -43.38), (52.02, -54.87, -59.35)),
        ((0, 100, 0, 0), (46.31, 66.82, -9.90), (54.20, 62.62, 6.00)),
        ((0, 0, 100, 0), (86.32, -2.25, 93.07), (89.72, 6.91, 92.54)),
        ((0, 0, 0, 100), (16.02, -0.05, -0.30), (16.00, 0.08, -0.34)),
        ((50, 40, 40, 0), (56.87, -2.30, -1.83), (56.45, 1.75, -3.00)),
    ):
        np.testing.assert_allclose(spectra_to_lab(offset.spectrum(*cmyk), NM, "D65", 10), d65, atol=0.05)
        np.testing.assert_allclose(spectra_to_lab(offset.spectrum(*cmyk), NM, "A", 10), a, atol=0.05)


@pytest.mark.source("Li-2002", "worked example: illuminant A to D65, 200 cd/m2")
def test_cmccat2000():
    found = corresponding_colour([22.48, 22.74, 8.54], [111.15, 100, 35.20], [94.81, 100, 107.30], "CMCCAT2000", 200)
    np.testing.assert_allclose(found, [19.53, 23.07, 24.97], atol=0.006)


@pytest.mark.parametrize("transform", TRANSFORMS)
def test_laws(transform):
    random = np.random.default_rng(3).random((20, 36))
    assert np.all(inconstancy(random, NM, test="D65", adaptation=transform) < 1e-9)
    if transform != "CMCCAT2000":  # which adapts in part, so that white keeps a tinge of the light
        assert inconstancy(np.ones(36), NM, test="F11", adaptation=transform) == pytest.approx(0, abs=1e-9)
    there = corresponding_colour(random[:, :3], [110.0, 100, 35], [95.0, 100, 108], transform)
    np.testing.assert_allclose(
        corresponding_colour(there, [95.0, 100, 108], [110.0, 100, 35], transform), random[:, :3], atol=0.1
    )
    same = metamerism_index(random, random, NM)
    assert np.all(same.delta_e_2000 < 1e-9)


def test_bad_words_are_refused():
    with pytest.raises(InputError, match="adaptation 'none'"):
        inconstancy(np.ones(36), NM, adaptation="none")
    with pytest.raises(InputError, match="correction"):
        metamerism_index(np.ones(36), np.ones(36), NM, correction="additive")
    with pytest.raises(InputError, match="sample that is black"):
        metamerism_index(np.ones(36), np.zeros(36), NM)
    with pytest.raises(InputError, match="luminance"):
        corresponding_colour([1.0, 1, 1], [95.0, 100, 108], [96.0, 100, 82], "CMCCAT2000", 0)
