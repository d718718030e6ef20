"""ΔE94, CMC and the parts of a difference, against numbers on which two public libraries agree, and by their laws."""

from pathlib import Path

import colour
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from spectro.colour.difference import delta_e_76, difference_parts
from spectro.colour.difference_asymmetric import delta_e_94, delta_e_cmc
from spectro.errors import InputError

PAIRS = np.loadtxt(Path(__file__).parents[1] / "published" / "asymmetric_difference_pairs.csv", delimiter=",", skiprows=5)
STANDARD, SAMPLE = PAIRS[:, :3], PAIRS[:, 3:6]
LAB = arrays(np.float64, (4, 3), elements=st.floats(-120, 120))


@pytest.mark.source("Colour-check-values", "34 pairs, ΔE*ab, ΔE94, CMC(2:1), CMC(1:1)")
def test_all_pairs():
    assert len(PAIRS) == 34
    np.testing.assert_allclose(delta_e_76(STANDARD, SAMPLE), PAIRS[:, 6], atol=1e-4)
    np.testing.assert_allclose(delta_e_94(STANDARD, SAMPLE), PAIRS[:, 7], atol=1e-4)
    np.testing.assert_allclose(delta_e_cmc(STANDARD, SAMPLE), PAIRS[:, 8], atol=1e-4)
    np.testing.assert_allclose(delta_e_cmc(STANDARD, SAMPLE, lightness=1), PAIRS[:, 9], atol=1e-4)


@pytest.mark.source("CIE-116-1995", "the weights come from the standard; pairs 7 and 8 are one pair in both orders")
def test_exchanging_standard_and_sample_changes_the_number():
    neutral, bluish = [50.0, 0, 0], [50.0, -1, 2]
    assert delta_e_94(neutral, bluish) == pytest.approx(2.2361, abs=1e-4)
    assert delta_e_94(bluish, neutral) == pytest.approx(2.0316, abs=1e-4)
    assert delta_e_cmc(neutral, bluish) == pytest.approx(3.5048, abs=1e-4)
    assert delta_e_cmc(bluish, neutral) == pytest.approx(2.8793, abs=1e-4)


@pytest.mark.source("Colour-check-values", "textile ΔE94 of pair 17")
def test_textile_weights():
    assert delta_e_94([50, 2.5, 0], [73, 25, -18], textiles=True) == pytest.approx(28.2503, abs=1e-4)


@pytest.mark.source("Colour-check-values", "components of a difference")
def test_parts_of_a_difference():
    standard, sample = [56.12, -34.90, -52.52], [55.20, -33.00, -50.10]
    parts = difference_parts(standard, sample)
    assert delta_e_76(standard, sample) == pytest.approx(3.2114, abs=1e-4)
    assert parts.chroma == pytest.approx(-3.0666, abs=1e-4)
    assert abs(parts.hue) == pytest.approx(0.2492, abs=1e-4)
    assert difference_parts([56.52, 0.52, -2.91], [57.10, 1.30, -1.90]).plane == pytest.approx(1.2761, abs=1e-4)


@pytest.mark.source("CIE-116-1995", "as implemented by a general colour-science library, which names the standard first")
def test_agree_with_a_second_implementation():
    random = np.random.default_rng(8)
    first, second = random.uniform((0, -110, -110), (100, 110, 110), (2, 20_000, 3))
    for ours, theirs in (
        (delta_e_94(first, second), colour.delta_E(first, second, method="CIE 1994")),
        (delta_e_94(first, second, textiles=True), colour.delta_E(first, second, method="CIE 1994", textiles=True)),
        (delta_e_cmc(first, second), colour.delta_E(first, second, method="CMC")),
        (delta_e_cmc(first, second, lightness=1), colour.delta_E(first, second, method="CMC", l=1, c=1)),
        (delta_e_76(first, second), colour.delta_E(first, second, method="CIE 1976")),
    ):
        np.testing.assert_allclose(ours, theirs, atol=1e-7)


@given(LAB, LAB)
def test_parts_add_up_and_equals_have_none(first, second):
    parts = difference_parts(first, second)
    squared = parts.lightness**2 + parts.chroma**2 + parts.hue**2
    np.testing.assert_allclose(np.sqrt(squared), delta_e_76(first, second), atol=1e-6)
    np.testing.assert_allclose(np.hypot(parts.chroma, parts.hue), parts.plane, atol=1e-6)
    for zero in (delta_e_94(first, first), delta_e_cmc(first, first), delta_e_76(first, first)):
        assert np.all(zero == 0)
    back = difference_parts(second, first)
    np.testing.assert_allclose(back.plane, parts.plane, atol=1e-9)
    np.testing.assert_allclose(back.chroma, -parts.chroma, atol=1e-9)


def test_bad_factors_are_refused():
    with pytest.raises(InputError, match="positive factors"):
        delta_e_cmc([50, 0, 0], [50, 1, 1], lightness=0)
