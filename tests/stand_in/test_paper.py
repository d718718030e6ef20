"""The brightener: what each measurement condition sees of it, and that ink quenches it."""

from dataclasses import replace

import numpy as np
import pytest

from spectro.errors import InputError, ShapeError
from spectro.records.conditions import MeasurementCondition
from spectro.stand_in.bands import WAVELENGTHS
from spectro.stand_in.paper import glossy_paper, matte_paper
from spectro.stand_in.printer import Printer, printed_reflectance

M0, M1, M2, M3 = MeasurementCondition
PAPERS = pytest.mark.parametrize("paper", [matte_paper(), glossy_paper()], ids=["matte", "glossy"])
AT_440 = int(np.flatnonzero(WAVELENGTHS == 440)[0])


def read(device, paper, condition):
    return printed_reflectance(device, printer=Printer(), paper=paper, condition=condition)


@PAPERS
@pytest.mark.source("ISO-13655-2017", "measurement conditions: M1 includes ultraviolet, M2 and M3 exclude it")
def test_conditions_see_more_or_less_of_the_brightener(paper):
    """At 440 nm bare paper is brightest under M1, less under M0, without emission under M2."""
    m0, m1, m2 = (read([1, 1, 1], paper, condition)[AT_440] for condition in (M0, M1, M2))
    assert m1 > m0 + 0.01
    assert m0 > m2 + 0.01
    assert m2 == pytest.approx(paper.base[AT_440])


def test_bright_paper_exceeds_the_perfect_diffuser_under_m1():
    """A factor above 1 is legal, and the demo has it."""
    assert read([1, 1, 1], matte_paper(), M1)[AT_440] > 1


def test_long_waves_do_not_fluoresce():
    """From 600 nm up M1 and M2 agree."""
    red = WAVELENGTHS >= 600
    np.testing.assert_allclose(read([1, 1, 1], matte_paper(), M1)[red], read([1, 1, 1], matte_paper(), M2)[red], atol=1e-4)


@pytest.mark.source("Balci-2025", "white of the matte paper, M0 and M2: L* 96, bluish only with ultraviolet")
def test_white_of_the_matte_paper(lab_of):
    """Bluish under M1, nearly neutral under M2."""
    with_uv, without = lab_of(read([1, 1, 1], matte_paper(), M1)), lab_of(read([1, 1, 1], matte_paper(), M2))
    assert 95 < with_uv[0] < 97
    assert 95 < without[0] < 97
    assert -10 < with_uv[2] < -5
    assert -2 < without[2] < 0
    assert np.abs(without[1]) < 1


@pytest.mark.parametrize(("name", "device", "left"), [("yellow", [1, 1, 0], 0.05), ("black", [0, 0, 0], 0.01)])
def test_ink_quenches_the_brightener(name, device, left):
    """A full layer that absorbs the exciting ultraviolet leaves next to nothing of the emission."""
    bare = read([1, 1, 1], matte_paper(), M1) - read([1, 1, 1], matte_paper(), M2)
    inked = read(device, matte_paper(), M1) - read(device, matte_paper(), M2)
    assert inked.max() < left * bare.max(), name
    assert inked.min() >= 0


def test_polarised_reading_makes_blacks_darker():
    """M3 hides the surface: much darker blacks, nearly the same white as M2."""
    assert (read([0, 0, 0], matte_paper(), M3) < 0.5 * read([0, 0, 0], matte_paper(), M2)).all()
    np.testing.assert_allclose(read([1, 1, 1], matte_paper(), M3), read([1, 1, 1], matte_paper(), M2), atol=0.02)


def test_impossible_papers_are_refused():
    """Wrong shapes and a surface brighter than the sheet are errors of ours."""
    with pytest.raises(ShapeError, match="emission"):
        replace(matte_paper(), emission=np.zeros(35))
    with pytest.raises(InputError, match="surface"):
        replace(matte_paper(), surface=0.9)
    with pytest.raises(InputError, match="ink_strength"):
        replace(matte_paper(), ink_strength=0.0)
