"""CIELAB, adaptation, media-relative scaling and the hue-straight space."""

import colour
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from spectro.colour.adaptation import absolute_to_relative, bradford_matrix, relative_to_absolute
from spectro.colour.black_point import scale_black
from spectro.colour.hue_straight import CAM_SHARE, edge_space_to_lab, lab_to_edge_space
from spectro.colour.lab import D50_PCS, lab_to_xyz, xyz_to_lab
from spectro.colour.pcs import spectra_to_pcs
from spectro.colour.source_gamut import source_surface

REAL_LAB = arrays(np.float64, (6, 3), elements=st.floats(-60, 60)).map(lambda lab: lab * [0.75, 1, 1] + [50, 0, 0])


@pytest.mark.source("CIE-15-2018", "CIELAB formula, white 96.422 100 82.521, worked values")
def test_worked_values():
    lab = xyz_to_lab([[20, 20, 20], [41, 45, 30], [0.5, 0.5, 0.4]], [96.422, 100, 82.521])
    expected = [[51.8372, 3.5730, -7.7351], [72.8919, -7.1679, 10.5208], [4.5165, 0.7224, 0.2379]]
    np.testing.assert_allclose(lab, expected, atol=5e-5)


@pytest.mark.source("ICC.1-2022", "Bradford matrices to the PCS illuminant, worked values for D65 and A")
def test_bradford_matrices():
    d65 = [[1.04784, 0.0228979, -0.0501808], [0.0295537, 0.9904924, -0.0170663], [-0.0092459, 0.0150633, 0.7518389]]
    a = [[0.8779713, -0.0915125, 0.256459], [-0.1117301, 1.0924423, 0.0851293], [0.0501654, -0.083701, 2.3984665]]
    np.testing.assert_allclose(bradford_matrix([95.047, 100, 108.883], D50_PCS), d65, atol=1e-4)
    np.testing.assert_allclose(bradford_matrix([109.85, 100, 35.585], D50_PCS), a, atol=2e-4)


@pytest.mark.source("ICC.1-2022", "media-relative colorimetry, worked example: medium 95 1.5 -6")
def test_media_relative_example():
    white = lab_to_xyz([95, 1.5, -6])
    relative = absolute_to_relative([56.12, -34.90, -52.52], white)
    np.testing.assert_allclose(relative, [59.3686, -37.3734, -49.2672], atol=0.005)
    np.testing.assert_allclose(relative_to_absolute(relative, white), [56.12, -34.90, -52.52], atol=1e-9)


@given(REAL_LAB)
def test_lab_and_xyz_are_inverse(lab):
    np.testing.assert_allclose(xyz_to_lab(lab_to_xyz(lab)), lab, atol=1e-9)


@given(REAL_LAB)
def test_the_edge_space_keeps_neutrals(lab):
    neutral = lab_to_edge_space(lab * [1, 0, 0])
    np.testing.assert_allclose(neutral[:, 1:], 0, atol=1e-5)  # the published matrices have ten digits


def test_the_way_back_from_the_edge_space():
    lab = source_surface("opRGB", np.random.default_rng(3).random((500, 3)))
    np.testing.assert_allclose(edge_space_to_lab(lab_to_edge_space(lab)), lab, atol=1e-4)


def turn(first, second):
    """Return the turn in degrees from the first angle to the second, -180 to 180."""
    return (np.asarray(second) - first + 180) % 360 - 180


@pytest.mark.source("Ottosson-2020", "the space as implemented by a general colour-science library, from D65 XYZ")
@pytest.mark.source("Li-2017", "hue of CAM16 as implemented by the same library, average surround, 100 cd/m²")
def test_the_edge_space_agrees_with_a_second_implementation():
    """Chroma is that of the one space, drawn in towards black; the hue lies at a fixed share of the way to the other's."""
    lab = np.random.default_rng(2).uniform((5, -60, -60), (98, 60, 60), (200, 3))
    xyz = lab_to_xyz(lab) @ bradford_matrix(D50_PCS, [95.047, 100, 108.883]).T / 100
    keep = (xyz > 0.001).all(axis=1) & (np.hypot(lab[:, 1], lab[:, 2]) > 5)
    found, ok = lab_to_edge_space(lab)[keep], 100 * colour.XYZ_to_Oklab(xyz[keep])
    np.testing.assert_allclose(found[:, 0], lab[keep, 0], atol=1e-9)
    drawn_in = 1 - np.exp(-lab[keep, 0] / 6)
    np.testing.assert_allclose(np.hypot(found[:, 1], found[:, 2]), drawn_in * np.hypot(ok[:, 1], ok[:, 2]), atol=0.05)
    surround = colour.VIEWING_CONDITIONS_CAM16["Average"]
    cam = colour.XYZ_to_CAM16(lab_to_xyz(lab)[keep], D50_PCS, 100.0, 20.0, surround, discount_illuminant=True).h
    hue, ok_hue = (np.degrees(np.arctan2(values[:, 2], values[:, 1])) for values in (found, ok))
    np.testing.assert_allclose(turn(ok_hue, hue), CAM_SHARE * turn(ok_hue, cam), atol=0.6)


def test_scaling_black_keeps_white_and_moves_black():
    np.testing.assert_allclose(scale_black([100.0, 0, 0], 0, 0.01), [100, 0, 0], atol=1e-9)
    assert lab_to_xyz(scale_black([0.0, 0, 0], 0, 0.01))[1] == pytest.approx(1.0, abs=1e-9)


def test_another_light_reaches_the_pcs_through_a_named_adaptation():
    wavelengths = np.arange(380.0, 731.0, 10.0)
    white = spectra_to_pcs(np.ones(36), wavelengths, "A", 2)
    assert white.adaptation is not None
    np.testing.assert_allclose(white.lab, [100, 0, 0], atol=1e-6)
    assert spectra_to_pcs(np.ones(36), wavelengths, "d50", 10).adaptation is None
