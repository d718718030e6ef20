"""The printed spectra: positive, bounded, darker with more ink, and a gamut like a photo printer's."""

import itertools
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from spectro.errors import InputError, ShapeError
from spectro.records.conditions import MeasurementCondition
from spectro.stand_in.driver import Driver
from spectro.stand_in.inks import Ink
from spectro.stand_in.paper import glossy_paper, matte_paper
from spectro.stand_in.print_path import PrintPath
from spectro.stand_in.printer import Printer, grown_dots, printed_reflectance, random_dot_shares

PAPERS = pytest.mark.parametrize("paper", [matte_paper(), glossy_paper()], ids=["matte", "glossy"])
M0, M1, M2 = MeasurementCondition.M0, MeasurementCondition.M1, MeasurementCondition.M2


def greys(count):
    return np.repeat(np.linspace(0, 1, count)[:, None], 3, axis=1)


@PAPERS
@given(arrays(np.float64, (4, 3), elements=st.floats(0, 1)), st.sampled_from(MeasurementCondition))
def test_reflectance_is_positive_and_no_brighter_than_the_paper(paper, device, condition):
    """Ink only takes light away: nothing is brighter than bare paper, nothing is darker than the surface."""
    printed = printed_reflectance(device, printer=Printer(), paper=paper, condition=condition)
    bare = printed_reflectance([1, 1, 1], printer=Printer(), paper=paper, condition=condition)
    assert printed.shape == (4, 36)
    assert printed.min() > 0
    assert (printed <= bare + 1e-12).all()


def test_leading_axes_are_free():
    """One colour, a row and a block of colours give the same spectra."""
    device = np.random.default_rng(3).random((2, 5, 3))
    settings = {"printer": Printer(), "paper": matte_paper(), "condition": M1}
    block = printed_reflectance(device, **settings)
    assert block.shape == (2, 5, 36)
    np.testing.assert_allclose(block[1, 2], printed_reflectance(device[1, 2], **settings), rtol=1e-12)


@PAPERS
def test_greys_darken_steadily(paper):
    """Every step of the grey ramp is darker than the one before, in every band, light inks or not."""
    printed = printed_reflectance(greys(256), printer=Printer(), paper=paper, condition=M2)
    assert (np.diff(printed.mean(axis=-1)) > 0).all()


@PAPERS
def test_single_channels_darken_steadily(paper, lab_of):
    """L* falls along each ramp of the cube's edges that leave white."""
    ramp = np.linspace(0, 1, 101)
    for mask in itertools.product((0, 1), repeat=3):
        if any(mask):
            device = 1 - ramp[:, None] * np.array(mask)
            lightness = lab_of(printed_reflectance(device, printer=Printer(), paper=paper, condition=M0))[:, 0]
            assert (np.diff(lightness) < 0).all(), mask


def test_the_print_has_the_drivers_kinks(lab_of):
    """Along cyan the second difference of L* jumps at the light ink's threshold."""
    demand = np.linspace(0, 1, 401)
    driver = Driver(curves=(0.0, 0.0, 0.0), light_ink_end=0.36)
    device = np.stack([1 - demand, np.ones(401), np.ones(401)], axis=1)
    lightness = lab_of(printed_reflectance(device, printer=Printer(driver=driver), paper=matte_paper(), condition=M0))[:, 0]
    second = np.abs(np.diff(lightness, 2))
    assert demand[second.argmax() + 1] == pytest.approx(0.36, abs=0.003)
    away = np.abs(demand[1:-1] - 0.36) > 0.01
    assert second.max() > 10 * second[away].max()


@pytest.mark.source("Balci-2025", "black of the matte (L* 14.9) and the glossy print (L* 2.8): the same order of size")
@pytest.mark.parametrize(("paper", "low", "high"), [(matte_paper(), 12, 20), (glossy_paper(), 3, 8)])
def test_black_depth(paper, low, high, lab_of):
    """A matte paper's black is weak, a glossy one's deep; both are nearly neutral."""
    black = lab_of(printed_reflectance([0, 0, 0], printer=Printer(), paper=paper, condition=M0))
    assert low < black[0] < high
    assert np.abs(black[1:]).max() < 2


def signed_volume(paper, lab_of, steps=17):
    """Volume inside the image of the device cube's surface: signed tetrahedra from the origin to its triangles."""
    ticks = np.linspace(0, 1, steps)
    first, second = np.meshgrid(ticks, ticks, indexing="ij")
    volume = 0.0
    for axis, value in itertools.product(range(3), (0.0, 1.0)):
        device = np.full((steps, steps, 3), value)
        device[..., (axis + 1) % 3], device[..., (axis + 2) % 3] = first, second
        lab = lab_of(printed_reflectance(device, printer=Printer(), paper=paper, condition=M0))
        a, b, c, d = lab[:-1, :-1], lab[1:, :-1], lab[1:, 1:], lab[:-1, 1:]
        part = (a * np.cross(b, c)).sum() + (a * np.cross(c, d)).sum()
        volume += part / 6 if value else -part / 6
    return abs(volume)


@pytest.mark.source("Balci-2025", "gamut of the matte (505 900) and the glossy print (753 700): the same order of size")
@pytest.mark.parametrize(("paper", "low", "high"), [(matte_paper(), 400e3, 600e3), (glossy_paper(), 700e3, 1000e3)])
def test_gamut_volume(paper, low, high, lab_of):
    """Cubic CIELAB units, as a photo inkjet has on such paper; the hull is a little more than the surface's volume."""
    from scipy.spatial import ConvexHull

    volume = signed_volume(paper, lab_of)
    assert low < volume < high
    cube = np.stack(np.meshgrid(*[np.linspace(0, 1, 9)] * 3, indexing="ij"), axis=-1).reshape(-1, 3)
    hull = ConvexHull(lab_of(printed_reflectance(cube, printer=Printer(), paper=paper, condition=M0))).volume
    assert 0.98 * volume < hull < 1.5 * volume


@given(arrays(np.float64, (3, 4), elements=st.floats(0, 1)))
def test_shares_of_random_dots_sum_to_one(area):
    """Every spot lies under exactly one overprint, and an ink's overprints together cover its dots."""
    shares = random_dot_shares(area)
    np.testing.assert_allclose(shares.sum(axis=-1), 1, atol=1e-12)
    for ink in range(4):
        with_ink = (np.arange(16) >> ink) & 1 == 1
        np.testing.assert_allclose(shares[:, with_ink].sum(axis=-1), area[:, ink], atol=1e-12)


def test_dots_grow_and_keep_their_ends():
    """Growth is largest at half coverage, none at 0 and 1, and never turns a curve round."""
    coverage = np.repeat(np.linspace(0, 1, 101)[:, None], 6, axis=1)
    area = grown_dots(coverage, Printer(), matte_paper())
    np.testing.assert_allclose(area[[0, -1]], coverage[[0, -1]])
    assert (area >= coverage).all()
    assert (np.diff(area, axis=0) > 0).all()
    expected = np.array(Printer().increase) + matte_paper().spread
    np.testing.assert_allclose((area - coverage)[50], expected)


def test_full_single_ink_follows_its_density():
    """A full layer without trapping or brightener transmits 10 to the minus its density, as the ink states it."""
    clear = replace(matte_paper(), emission=np.zeros(36), ink_strength=1.0)
    driver = Driver(curves=(0.0, 0.0, 0.0))
    printed = printed_reflectance([1, 1, 0], printer=Printer(driver=driver), paper=clear, condition=M2)
    yellow = Printer().inks[4].density
    expected = clear.surface + (clear.base - clear.surface) * 10**-yellow
    np.testing.assert_allclose(printed, expected, rtol=1e-12)


def test_spread_of_light_darkens_halftones_only():
    """A larger Yule–Nielsen n makes halftones darker and leaves paper and solids alone."""
    plain, spread = Printer(yule_nielsen=1.0), Printer(yule_nielsen=2.0)
    device = np.array([[1, 1, 1], [1, 1, 0], [1, 1, 0.5]])
    first, second = (
        printed_reflectance(device, printer=printer, paper=matte_paper(), condition=M2) for printer in (plain, spread)
    )
    np.testing.assert_allclose(first[:2], second[:2], rtol=1e-12)
    assert (second[2, :8] < first[2, :8]).all()


def test_paths_give_other_prints(lab_of, delta_e_of):
    """A print by another path is another print by far more than noise."""
    device = np.random.default_rng(1).random((200, 3))
    prints = [
        lab_of(printed_reflectance(device, printer=Printer(driver=Driver(path=path)), paper=matte_paper(), condition=M1))
        for path in PrintPath
    ]
    for i, first in enumerate(prints):
        for second in prints[:i]:
            assert delta_e_of(first, second).mean() > 2


def test_impossible_printers_are_refused():
    """Parts that do not fit together are errors of ours."""
    with pytest.raises(ShapeError, match="one an ink"):
        Printer(increase=(0.1, 0.1))
    with pytest.raises(InputError, match="n of 1 or more"):
        Printer(yule_nielsen=0.5)
    with pytest.raises(InputError, match="tone value increase"):
        printed_reflectance(
            [0, 0, 0], printer=Printer(), paper=replace(matte_paper(), spread=0.3), condition=MeasurementCondition.M0
        )
    with pytest.raises(ShapeError, match="ink orange"):
        Ink(name="orange", density=np.ones(31), ultraviolet_density=1.0)
