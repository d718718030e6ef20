"""Lab to sRGB for swatches."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from spectro.colour.lab import xyz_to_lab
from spectro.colour.srgb import encode_srgb, lab_to_srgb, linear_srgb_to_pcs, linear_srgb_to_xyz


@pytest.mark.source("IEC-61966-2-1", "primaries and white, as the matrix to XYZ")
def test_matrix_to_xyz_from_primaries_and_white():
    """The published primaries and white give the published matrix, to its seven decimals."""
    expected = [[0.4123908, 0.3575843, 0.1804808], [0.2126390, 0.7151687, 0.0721923], [0.0193308, 0.1191948, 0.9505322]]
    np.testing.assert_allclose(linear_srgb_to_xyz(), expected, atol=6e-8)


@pytest.mark.source("IEC-61966-2-1", "primaries, adapted to the D50 of ICC.1-2022 by the linear Bradford transform")
def test_matrix_to_pcs():
    """The adapted matrix is the one found in public sRGB profiles (s15Fixed16, one count)."""
    columns = [[0x6FA0, 0x38F5, 0x0390], [0x6297, 0xB787, 0x18D9], [0x249F, 0x0F84, 0xB6C3]]
    np.testing.assert_allclose(linear_srgb_to_pcs().T * 65536, columns, atol=1.5)


@pytest.mark.source("IEC-61966-2-1", "transfer function")
@pytest.mark.parametrize(
    ("code", "linear"), [(10, 0.00303527), (11, 0.00334654), (64, 0.05126946), (128, 0.21586050), (188, 0.50288646)]
)
def test_encoding(code, linear):
    """Linear light that decodes from an 8-bit code is encoded to that code."""
    assert float(encode_srgb(linear)) * 255 == pytest.approx(code, abs=3e-5)


@pytest.mark.source("IEC-61966-2-1", "transfer function")
def test_encoding_of_half():
    """0.5 decodes to 0.21404114, so that is encoded as one half."""
    assert float(encode_srgb(0.21404114)) == pytest.approx(0.5, abs=1e-7)


@pytest.mark.source("IEC-61966-2-1", "primaries, transfer function")
def test_primary_red_comes_back():
    """The Lab of full red, computed from the adapted matrix, shows as full red."""
    red = xyz_to_lab(np.array([0.436041, 0.222485, 0.013920]) * 100)
    np.testing.assert_allclose(lab_to_srgb(red), [1, 0, 0], atol=2e-3)


@given(st.floats(0, 100))
def test_greys_stay_grey(lightness):
    """Neutral Lab gives three equal channels, rising with lightness."""
    shown = lab_to_srgb([lightness, 0.0, 0.0])
    assert np.ptp(shown) < 1e-6


@given(st.floats(-20, 120), st.floats(-200, 200), st.floats(-200, 200))
def test_any_lab_is_shown(lightness, a, b):
    """Every Lab, also an impossible one, gives a colour between 0 and 1."""
    shown = lab_to_srgb([lightness, a, b])
    assert shown.shape == (3,)
    assert np.all((shown >= 0) & (shown <= 1))


def test_lightness_rises():
    """A lighter grey is shown lighter."""
    assert np.all(np.diff(lab_to_srgb(np.stack([np.arange(101), np.zeros(101), np.zeros(101)], axis=-1))[:, 0]) > 0)


def test_shapes():
    """Leading axes are free."""
    assert lab_to_srgb(np.zeros((2, 5, 3))).shape == (2, 5, 3)
