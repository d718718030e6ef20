"""Whiteness, tint, brightness, yellowness and opacity of paper."""

import numpy as np
import pytest

from spectro.colour.paper_measures import brightness_r457, opacity, yellowness_e313
from spectro.colour.tristimulus import tristimulus
from spectro.colour.weights import tristimulus_weights
from spectro.colour.whiteness import cie_whiteness
from spectro.errors import InputError, ShapeError

NM = np.arange(380.0, 731.0, 10.0)


@pytest.mark.source("CIE-15-2004", "whiteness and tint, D65, 10 degree")
@pytest.mark.parametrize(
    ("xyz", "whiteness", "tint", "valid"),
    [
        ((84.5, 88.0, 103.0), 113.355, -1.151, True),
        ((85.4, 89.6, 92.0), 76.973, -2.468, True),
        ((80.0, 83.0, 90.0), 86.068, -4.074, False),
    ],
)
def test_whiteness_and_tint(xyz, whiteness, tint, valid):
    found = cie_whiteness(xyz)
    assert found.whiteness == pytest.approx(whiteness, abs=0.01)
    assert found.tint == pytest.approx(tint, abs=0.01)
    assert found.valid is valid


@pytest.mark.source("CIE-15-2004", "an example of a general colour-science library with its own white")
def test_whiteness_with_another_white():
    x, y = 0.3167, 0.3334
    found = cie_whiteness([100 * x / y, 100, 100 * (1 - x - y) / y], 2, white=(0.3139, 0.3311))
    assert (found.whiteness, found.tint) == pytest.approx((93.85, -1.305), abs=0.01)


@pytest.mark.source("CIE-15-2004", "limits 40 < W < 5Y - 280 and -4 < T < 2")
def test_limits_are_told():
    assert "tint -4.07" in cie_whiteness([80.0, 83.0, 90.0]).outside[0]
    assert "5Y - 280 = 95.0" in cie_whiteness([73.0, 75.0, 95.0]).outside[0]
    assert "is not between 40 and" in cie_whiteness([81.0, 85.0, 65.0]).outside[0]
    assert not cie_whiteness([84.0, 88.0, 103.0]).outside


@pytest.mark.source("FOGRA51", "paper, M1 spectrum: an estimate of whiteness under D65")
def test_whiteness_of_an_offset_paper(offset):
    xyz = tristimulus(offset.spectrum(0, 0, 0, 0), tristimulus_weights(NM, "D65", 10))
    np.testing.assert_allclose(xyz, [84.142, 88.175, 103.011], atol=0.01)
    found = cie_whiteness(xyz)
    assert (found.whiteness, found.tint) == pytest.approx((113.0, 0.39), abs=0.05)


@pytest.mark.source("SCAN-G-5", "weights of R457: a ramp from 0.80 at 400 nm to 0.90 at 510 nm, a flat spectrum")
def test_brightness():
    nm = np.arange(380.0, 731.0, 10.0)
    ramp = 0.80 + 0.10 * (nm - 400) / 110
    assert brightness_r457(ramp, nm) == pytest.approx(85.196, abs=0.005)
    assert brightness_r457(np.full(len(nm), 0.85), nm) == pytest.approx(85.0, abs=0.005)


@pytest.mark.source("FOGRA51", "R457 of the paper's M1 spectrum, 96.06 with 10 nm taken to 5 nm by straight lines")
def test_brightness_of_an_offset_paper(offset):
    assert brightness_r457(offset.spectrum(0, 0, 0, 0), NM) == pytest.approx(96.06, abs=0.1)


@pytest.mark.source("ASTM-E313", "yellowness of XYZ 80 83 90, and of the perfect diffuser")
def test_yellowness():
    for light, observer, expected in (("D65", 10, 0.7494), ("D65", 2, 2.2470), ("C", 2, 8.2217), ("C", 10, 7.1554)):
        assert yellowness_e313([80, 83, 90], light, observer) == pytest.approx(expected, abs=0.001)
        white = tristimulus_weights(np.arange(360.0, 781.0), light, observer).sum(axis=0)
        assert yellowness_e313(white, light, observer) == pytest.approx(0, abs=0.05)


@pytest.mark.source("ASTM-E313", "perfect white as printed gives less than 0.001")
def test_yellowness_of_the_printed_white():
    for light, observer, white in (
        ("C", 2, (98.074, 100, 118.232)),
        ("D65", 2, (95.047, 100, 108.883)),
        ("C", 10, (97.285, 100, 116.145)),
        ("D65", 10, (94.811, 100, 107.304)),
    ):
        assert abs(float(yellowness_e313(white, light, observer))) < 0.001


@pytest.mark.source("ISO-13655-2017", "opacity: Y over black, Y over white")
def test_opacity():
    assert opacity(78.4, 87.6) == pytest.approx(89.5, abs=0.05)


def test_bad_input_is_refused():
    with pytest.raises(InputError, match="Y above 0"):
        opacity(50, 0)
    with pytest.raises(InputError, match="C or D65"):
        yellowness_e313([80, 83, 90], "A", 2)
    with pytest.raises(InputError, match="Y of zero"):
        yellowness_e313([0, 0, 0])
    with pytest.raises(InputError, match="observer 5"):
        cie_whiteness([80, 83, 90], 5)
    with pytest.raises(InputError, match="paper"):
        cie_whiteness([0, 0, 0])
    with pytest.raises(ShapeError):
        brightness_r457(np.ones(35), NM)
