"""RGB spaces that displays are set to."""

import colour
import numpy as np
import pytest

from spectro.colour.rgb_spaces import (
    CURVES,
    curve_light,
    curve_name,
    primaries_matrix,
    space_chromaticities,
    space_name,
    xyz_of_chromaticity,
)
from spectro.errors import InputError

LIBRARY = {"sRGB": "sRGB", "BT.709": "ITU-R BT.709", "P3-D65": "P3-D65", "BT.2020": "ITU-R BT.2020"}


@pytest.mark.source("Colour-check-values", "section on displays: primaries and white")
@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("sRGB", [0.640, 0.330, 0.300, 0.600, 0.150, 0.060, 0.3127, 0.3290]),
        ("BT.709", [0.640, 0.330, 0.300, 0.600, 0.150, 0.060, 0.3127, 0.3290]),
        ("P3-D65", [0.680, 0.320, 0.265, 0.690, 0.150, 0.060, 0.3127, 0.3290]),
        ("BT.2020", [0.708, 0.292, 0.170, 0.797, 0.131, 0.046, 0.3127, 0.3290]),
        ("opRGB", [0.64, 0.33, 0.21, 0.71, 0.15, 0.06, 0.3127, 0.3290]),
    ],
)
def test_primaries(name, expected):
    np.testing.assert_array_equal(space_chromaticities(name).reshape(-1), expected)
    if name in LIBRARY:
        library = colour.RGB_COLOURSPACES[LIBRARY[name]]
        np.testing.assert_allclose(space_chromaticities(name)[:3], library.primaries, atol=1e-12)


@pytest.mark.source("IEC-61966-2-1", "the matrix of sRGB")
def test_matrix():
    expected = [[0.4123908, 0.3575843, 0.1804808], [0.212639, 0.7151687, 0.0721923], [0.0193308, 0.1191948, 0.9505322]]
    np.testing.assert_allclose(primaries_matrix(space_chromaticities("sRGB")), expected, atol=6e-8)


@pytest.mark.source("IEC-61966-2-1", "decoding of sRGB; a pure power of 2.2 for comparison")
def test_curves():
    assert curve_light(128 / 255, "sRGB") == pytest.approx(0.21586050, abs=1e-8)
    assert curve_light(128 / 255, "2.2") == pytest.approx(0.21951972, abs=1e-8)


@pytest.mark.source("ITU-R-BT.1886", "white 100, black 0.1 cd/m2")
def test_curve_with_black():
    found = 100 * curve_light([0, 0.1, 0.5, 0.75, 1], "BT.1886", 0.001)
    np.testing.assert_allclose(found, [0.1, 1.06379, 21.60491, 52.42083, 100], atol=1e-4)


@pytest.mark.parametrize("curve", ["sRGB", "BT.1886", "2.2", CURVES["opRGB"]])
def test_every_curve_runs_from_black_to_white(curve):
    signal = np.linspace(0, 1, 50)
    light = curve_light(signal, curve, 0.002)
    np.testing.assert_allclose(light[[0, -1]], [0.002, 1], atol=1e-12)
    assert (np.diff(light) > 0).all()


def test_names():
    assert space_name(" p3-d65 ") == "P3-D65"
    assert curve_name("SRGB") == "sRGB"
    for bad in ("0.5", "5", "nan", "steep"):
        with pytest.raises(InputError, match="tone curve"):
            curve_name(bad)
    with pytest.raises(InputError, match="colour space"):
        space_name("cinema")
    for bad in ((0.3, 0.0), (0.9, 0.4), (-0.1, 0.4)):
        with pytest.raises(InputError, match="chromaticity"):
            xyz_of_chromaticity(bad)
