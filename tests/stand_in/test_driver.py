"""The driver: where its kinks are, and that all else is orderly."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from spectro.errors import InputError, ShapeError
from spectro.stand_in.driver import Driver, ink_coverages
from spectro.stand_in.print_path import PrintPath, along_path

device_values = arrays(np.float64, (5, 3), elements=st.floats(0, 1))
CYAN, LIGHT_CYAN, MAGENTA, LIGHT_MAGENTA, YELLOW, BLACK = range(6)


@given(device_values, st.sampled_from(PrintPath))
def test_coverages_lie_between_none_and_full(device, path):
    """No device value asks for less than no ink or more than a full layer, on any path."""
    coverage = ink_coverages(device, Driver(path=path))
    assert coverage.shape == (5, 6)
    assert coverage.min() >= 0
    assert coverage.max() <= 1


@pytest.mark.parametrize("path", PrintPath)
def test_white_takes_no_ink(path):
    """Paper white stays bare on every path."""
    assert not ink_coverages([1.0, 1.0, 1.0], Driver(path=path)).any()


def test_black_is_printed_with_full_black():
    """The darkest colour uses the whole black ink and less than the whole of the others."""
    coverage = ink_coverages([0.0, 0.0, 0.0], Driver())
    assert coverage[BLACK] == 1
    assert coverage[[CYAN, MAGENTA, YELLOW]].max() < 1


def test_light_ink_prints_alone_up_to_its_threshold():
    """Below the threshold no dark ink, above it both."""
    driver = Driver(curves=(0.0, 0.0, 0.0), light_ink_end=0.4)
    coverage = ink_coverages([[0.65, 1, 1], [0.55, 1, 1]], driver)
    assert coverage[0, CYAN] == 0
    assert 0 < coverage[0, LIGHT_CYAN] < 1
    assert coverage[1, CYAN] > 0
    assert coverage[1, LIGHT_CYAN] > 0


def test_pure_colours_use_no_black():
    """Black replaces only what all three have in common."""
    assert not ink_coverages([[0, 1, 1], [0, 0, 1], [1, 0, 0]], Driver())[:, BLACK].any()


@pytest.mark.parametrize(("ink", "threshold"), [(CYAN, 0.36), (BLACK, 0.45)])
def test_kinks_stand_at_the_thresholds(ink, threshold):
    """The second difference along greys jumps where an ink sets in, and only there."""
    demand = np.linspace(0, 1, 401)
    driver = Driver(curves=(0.0, 0.0, 0.0), light_ink_end=0.36, black_start=0.45, black_curve=1.0, removal=0.0)
    curve = ink_coverages(np.repeat(1 - demand[:, None], 3, axis=1), driver)[:, ink]
    second = np.abs(np.diff(curve, 2))
    assert demand[second.argmax() + 1] == pytest.approx(threshold, abs=0.003)
    away = np.abs(demand[1:-1] - threshold) > 0.01
    assert second.max() > 50 * second[away].max()


@pytest.mark.parametrize("path", [PrintPath.GAMMA, PrintPath.SRGB_CONVERTED, PrintPath.VIVID])
def test_paths_are_monotone_and_keep_greys_grey(path):
    """A conversion changes the numbers of a grey but not its greyness, and never turns a ramp round."""
    ramp = np.repeat(np.linspace(0, 1, 101)[:, None], 3, axis=1)
    sent = along_path(ramp, path)
    np.testing.assert_allclose(sent, sent[:, :1].repeat(3, axis=1), atol=1e-12)
    assert (np.diff(sent[:, 0]) > 0).all()
    assert sent[0, 0] == pytest.approx(0, abs=1e-12)
    assert sent[-1, 0] == pytest.approx(1, abs=1e-12)


def test_paths_differ():
    """Any two paths move the middle of the cube apart, so that a print can tell them."""
    colours = np.random.default_rng(0).random((200, 3))
    sent = [along_path(colours, path) for path in PrintPath]
    for i, first in enumerate(sent):
        for second in sent[:i]:
            assert np.abs(first - second).mean() > 0.03


def test_conversion_takes_saturation_away_and_vivid_adds_it():
    """What was meant for a small space is duller in a wide one; an enhancement does the contrary."""
    red = [0.8, 0.3, 0.3]
    spread = {path: np.ptp(along_path(red, path)) for path in PrintPath}
    assert spread[PrintPath.SRGB_CONVERTED] < spread[PrintPath.RAW] < spread[PrintPath.VIVID]


@pytest.mark.parametrize("wrong", [[0.5, 1.2, 0.1], [-0.01, 0, 0], [np.nan, 0.5, 0.5], [255.0, 0, 0]])
def test_values_outside_the_domain_are_refused(wrong):
    """A value that no driver could get is an error of ours, with the way out."""
    with pytest.raises(InputError, match="from 0 to 1"):
        ink_coverages(wrong, Driver())


@pytest.mark.parametrize("wrong", [0.5, [0.1, 0.2], [[0.1, 0.2, 0.3, 0.4]]])
def test_other_channel_counts_are_refused(wrong):
    """The stand-in prints red, green and blue."""
    with pytest.raises(ShapeError, match="red, green and blue"):
        ink_coverages(wrong, Driver())


@pytest.mark.parametrize(
    "settings",
    [{"light_ink_end": 0.0}, {"black_start": 1.0}, {"removal": 1.5}, {"black_curve": 0.5}, {"curves": (1.0, 0.0, 0.0)}],
)
def test_settings_that_turn_a_curve_round_are_refused(settings):
    """A driver that is not monotone is no driver."""
    with pytest.raises(InputError):
        Driver(**settings)
