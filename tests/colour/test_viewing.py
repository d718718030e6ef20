"""Light on prints and displays."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from spectro.colour.lab import lab_to_xyz
from spectro.colour.srgb import encode_srgb
from spectro.colour.viewing import (
    bt1886_luminance,
    chromaticity,
    chromaticity_uv,
    decode_srgb,
    print_luminance,
    with_surface_reflection,
)
from spectro.colour.weights import tristimulus_weights
from spectro.errors import InputError


@pytest.mark.source("ISO-3664-2009", "illuminance 500 and 2000 lx; luminance of a matt print is E Y / pi")
def test_print_luminance():
    np.testing.assert_allclose(
        print_luminance([500, 2000, 500, 2000], [0.88, 0.88, 1, 1]), [140.06, 560.2, 159.15, 636.6], atol=0.05
    )
    assert print_luminance(500, 0.88) == pytest.approx(140.06, abs=0.01)


@pytest.mark.source("ITU-R-BT.1886", "white 100, black 0.1 cd/m2")
def test_display_curve():
    found = bt1886_luminance([0, 0.1, 0.5, 0.75, 1], 100, 0.1)
    np.testing.assert_allclose(found, [0.1, 1.06379, 21.60491, 52.42083, 100], atol=1e-4)


@pytest.mark.source("IEC-61966-2-1", "decoding of 8-bit values and of one half")
def test_srgb_decoding():
    expected = [0.00303527, 0.00334654, 0.05126946, 0.21586050, 0.50288646]
    np.testing.assert_allclose(decode_srgb(np.array([10, 11, 64, 128, 188]) / 255), expected, atol=1e-8)
    assert decode_srgb(0.5) == pytest.approx(0.21404114, abs=1e-8)


@given(st.floats(0, 1))
def test_srgb_round_trip(value):
    assert float(encode_srgb(decode_srgb(value))) == pytest.approx(value, abs=1e-6)


@pytest.mark.source("FOGRA51", "chromaticity of the paper 95 1.5 -6 on screen")
def test_paper_white():
    xyz = lab_to_xyz([95, 1.5, -6], [96.422, 100, 82.521])
    np.testing.assert_allclose(chromaticity(xyz), [0.3382, 0.3474], atol=1e-4)
    np.testing.assert_allclose(chromaticity_uv(xyz), [0.2083, 0.4816], atol=1e-4)


@pytest.mark.source("ISO-3664-2009", "D50 for the 10 degree observer: u' .2102, v' .4889")
def test_u_v_of_lights():
    nm = np.arange(360.0, 781.0)
    for light, observer, expected in (
        ("D50", 10, (0.21015, 0.48887)),
        ("D50", 2, (0.2092, 0.4881)),
        ("D65", 2, (0.1978, 0.4683)),
        ("D65", 10, (0.1979, 0.4696)),
    ):
        np.testing.assert_allclose(chromaticity_uv(tristimulus_weights(nm, light, observer).sum(axis=0)), expected, atol=6e-5)


def test_surface_reflection_adds_light_and_bad_input_is_refused():
    white = np.array([96.42, 100.0, 82.49])
    np.testing.assert_allclose(with_surface_reflection(np.zeros(3), white, [0, 0.01])[1], white / 100)
    for share in (-0.1, 1.1):
        with pytest.raises(InputError, match="0 to 1"):
            with_surface_reflection(np.zeros(3), white, share)
    with pytest.raises(InputError, match="outside 0 to 1"):
        decode_srgb(1.2)
    with pytest.raises(InputError, match="white above black"):
        bt1886_luminance(0.5, 1, 2)
    for function in (chromaticity, chromaticity_uv):
        with pytest.raises(InputError, match="XYZ of zero"):
            function([0.0, 0, 0])
