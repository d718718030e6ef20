"""The invented paths of a path test: what each does to colours and to the rule."""

import numpy as np
import pytest

from spectro.errors import InputError
from spectro.records.conditions import MeasurementCondition
from spectro.stand_in.paper import matte_paper
from spectro.stand_in.path_pages import FOUR_PATHS, PathSetup, print_path_page

DEVICE = np.array([[1, 1, 1], [0, 0, 0], [1, 0, 0], [0.7, 0.4, 0.4], [0.5, 0.5, 0.5]])
POSITIONS = np.array([[1, row + 1, 1] for row in range(5)])


def sheet(setup, seed=4):
    return print_path_page(setup, DEVICE, POSITIONS, paper=matte_paper(), condition=MeasurementCondition.M1, seed=seed)


def test_a_scaled_page_has_raw_colours_and_a_shorter_rule():
    """The rule of the page at 97 % reads about 97 mm; its spectra are those of the raw path on that sheet."""
    plain, scaled = sheet(FOUR_PATHS[0]), sheet(FOUR_PATHS[2])
    np.testing.assert_array_equal(plain.readings.reflectance, scaled.readings.reflectance)
    assert plain.rule_mm == pytest.approx((100, 100), abs=0.4)
    assert scaled.rule_mm == pytest.approx((97, 97), abs=0.4)


def test_converted_and_vivid_change_colours_but_not_the_device_values_of_the_chart():
    for setup in (FOUR_PATHS[1], FOUR_PATHS[3]):
        changed = sheet(setup)
        np.testing.assert_array_equal(changed.readings.device, DEVICE)
        assert np.abs(changed.readings.reflectance[3] - sheet(FOUR_PATHS[0]).readings.reflectance[3]).max() > 0.01


def test_the_same_seed_is_the_same_sheet():
    np.testing.assert_array_equal(sheet(FOUR_PATHS[0]).readings.reflectance, sheet(FOUR_PATHS[0]).readings.reflectance)
    assert sheet(FOUR_PATHS[0]).rule_mm == sheet(FOUR_PATHS[0]).rule_mm


def test_a_scale_no_dialog_offers_is_refused():
    with pytest.raises(InputError):
        PathSetup(name="x", scale=0)
