"""Tone value: formulas, the published curve, spot colours; paper 0 and solid 100 in every method."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from spectro.colour.density import density
from spectro.colour.lab import lab_to_xyz
from spectro.colour.tone_value import (
    spot_colour_tone_value,
    spot_colour_tone_value_of_lab,
    tone_value_increase,
    tone_value_murray_davies,
)
from spectro.errors import InputError

STEPS = (10, 20, 30, 40, 50, 60, 70, 80, 90)
CURVE_A = (6.1, 10.5, 13.5, 15.3, 16.0, 15.6, 14.0, 11.0, 6.5)


@pytest.mark.source("ISO-12647-1", "formula of Murray and Davies")
@pytest.mark.source("Yule-Nielsen-1951", "the same with n")
def test_formulas():
    for densities, expected in (((0.35, 0.0, 1.40), (57.626, 44.422, 41.432)), ((0.40, 0.05, 1.55), (57.139, 43.450, 40.339))):
        found = [float(tone_value_murray_davies(*densities, n)) for n in (1.0, 1.7, 2.0)]
        np.testing.assert_allclose(found, expected, atol=0.001)


@pytest.mark.source("ISO-12647-2-2013", "tone value increase curve A, from the spectra of FOGRA51")
@pytest.mark.parametrize(("ink", "channel", "status"), [(3, 0, "T"), (0, 1, "E"), (1, 2, "E"), (2, 3, "E")])
def test_curve_a(offset, ink, channel, status):
    def read(value):
        cmyk = [0, 0, 0, 0]
        cmyk[ink] = value
        return density(offset.spectrum(*cmyk), offset.wavelengths, status)[channel]

    known = [step for step in STEPS if (np.abs(offset.device - np.eye(4)[ink] * step) < 0.01).all(axis=1).any()]
    assert len(known) >= 7
    tints = np.array([read(step) for step in known])
    increase = tone_value_increase(tone_value_murray_davies(tints, read(0), read(100)), known)
    np.testing.assert_allclose(increase, [CURVE_A[STEPS.index(step)] for step in known], atol=0.1)


@pytest.mark.source("ISO-20654", "spot colour tone value of the ramps of FOGRA51")
def test_spot_colour_tone_values(offset):
    ramps = {
        1: {10: 9.90, 20: 19.98, 40: 40.44, 55: 56.08, 70: 72.19, 85: 87.75},
        0: {10: 9.80, 20: 19.97, 40: 40.55, 55: 56.43, 70: 72.85, 85: 88.30},
        2: {10: 9.33, 20: 18.72, 40: 37.82, 55: 53.00, 70: 69.27, 85: 85.98},
        3: {10: 7.71, 20: 15.47, 40: 31.83, 70: 60.96, 85: 79.18},
    }
    white = np.array([96.422, 100.0, 82.521])
    paper = offset.lab[offset.row(0, 0, 0, 0)]
    for ink, values in ramps.items():
        solid = offset.lab[offset.row(*(np.eye(4)[ink] * 100))]
        tints = np.array([offset.lab[offset.row(*(np.eye(4)[ink] * step))] for step in values])
        np.testing.assert_allclose(spot_colour_tone_value_of_lab(tints, paper, solid), list(values.values()), atol=0.02)
        xyz = [lab_to_xyz(lab, white) for lab in (tints, paper, solid)]
        np.testing.assert_allclose(spot_colour_tone_value(*xyz, white), list(values.values()), atol=0.02)


@given(st.floats(0, 0.3), st.floats(0.01, 3), st.floats(1, 4))
def test_paper_is_0_and_the_solid_100(paper, above, n):
    assert float(tone_value_murray_davies(paper, paper, paper + above, n)) == pytest.approx(0, abs=1e-9)
    assert float(tone_value_murray_davies(paper + above, paper, paper + above, n)) == pytest.approx(100, abs=1e-9)
    white, blank, full = [96.42, 100.0, 82.49], np.array([80.0, 84, 70]), np.array([20.0, 12, 9 + above])
    for xyz, expected in ((blank, 0), (full, 100)):
        assert float(spot_colour_tone_value(xyz, blank, full, white)) == pytest.approx(expected, abs=1e-9)


def test_a_solid_without_ink_is_refused():
    with pytest.raises(InputError, match="no denser"):
        tone_value_murray_davies(0.3, 0.5, 0.5)
    with pytest.raises(InputError, match="Yule-Nielsen"):
        tone_value_murray_davies(0.3, 0.1, 0.5, 0.5)
    with pytest.raises(InputError, match="paper's colour"):
        spot_colour_tone_value_of_lab([50, 0, 0], [95, 0, 0], [95, 0, 0])
    with pytest.raises(InputError, match="paper's colour"):
        spot_colour_tone_value([50, 50, 50], [90, 90, 90], [90, 90, 90], [96, 100, 82])
