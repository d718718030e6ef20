"""What prints are expected to be off by, and what any two readings and sheets differ by."""

import numpy as np
import pytest

from spectro.checks.forecast import print_forecast
from spectro.checks.print_noise import print_noise, sheet_difference
from spectro.records.print_noise import PrintNoise
from spectro.standards.limits import shipped_limits


def known(reading=0.1, sheet=0.0):
    return PrintNoise(
        reading=reading, reading_from="told", reading_measured=True, sheet=sheet, sheet_from="told", sheet_measured=True
    )


def test_patches_like_all_colours_and_no_other_sheet_give_the_left_out_errors():
    random = np.random.default_rng(3)
    spread = np.full((4000, 3), 0.4)
    errors = 0.5 * np.linalg.norm(random.normal(size=(4000, 3)), axis=1)
    found = print_forecast(errors, spread, np.full((50, 3), 0.4), known())
    assert found.mean == pytest.approx(errors.mean(), rel=0.005)
    assert found.p95 == pytest.approx(np.percentile(errors, 95), rel=0.01)


def test_colours_surer_than_the_patches_are_forecast_halfway_better():
    """The geometric mean of what left-out patches and the spread elsewhere say: a third of the spread, 1 / √3 of the error."""
    errors, spread = np.random.default_rng(3).gamma(3.0, 0.2, 500), np.full((500, 3), 0.6)
    wide, near = (print_forecast(errors, spread, np.full((50, 3), value), known()) for value in (0.6, 0.2))
    assert near.mean == pytest.approx(wide.mean / 3**0.5, rel=1e-9)
    assert near.p95 == pytest.approx(wide.p95 / 3**0.5, rel=1e-9)


def test_parts_add_up_as_squares_and_the_range_is_as_wide_as_the_limit_says():
    errors, spread = np.full(100, 0.3), np.full((100, 3), 0.3)
    found = print_forecast(errors, spread, spread, known(sheet=0.4), tables=0.05)
    parts = (found.noise, found.model, found.tables, found.sheet)
    assert found.mean == pytest.approx(np.sqrt(np.sum(np.square(parts))))
    assert found.mean_range == pytest.approx((0.8 * found.mean, 1.2 * found.mean))
    stated = print_forecast(errors, spread, spread, print_noise())
    assert stated.p95_range == pytest.approx((0.75 * stated.p95, 1.25 * stated.p95))


def test_what_was_not_read_twice_is_stated():
    """One reading of every patch tells neither its noise nor what sheets differ by, and six repeats are said to be too few."""
    lab, limits = np.random.default_rng(1).random((40, 3)) * 50, shipped_limits("noise")
    found = print_noise(lab, np.arange(40))
    assert (found.reading, found.sheet) == (limits["reading"], limits["sheet"])
    assert (found.reading_from, found.sheet_measured) == ("stated", False)
    few = print_noise(lab, np.r_[np.arange(34), np.arange(6)])
    assert (few.reading_measured, few.reading_from) == (False, "6 repeats, fewer than 8: stated")


@pytest.mark.parametrize("apart", [0.0, 1.0])
def test_sheets_that_share_patches_tell_what_they_differ_by(apart):
    """Twenty patches on two pages, greys near L* 50, where a step of L* is a step of ΔE00; noise of a reading 0.05."""
    rng = np.random.default_rng(2)
    lab = np.tile([50.0, 0.0, 0.0], (40, 1)) + 0.05 * rng.normal(size=(40, 3))
    lab[20:, 0] += apart
    group, sheets = np.r_[np.arange(20), np.arange(20)], np.repeat([1, 2], 20)
    found, count = sheet_difference(lab, group, sheets)
    assert count == 20
    assert found == pytest.approx(apart, abs=0.15)
    assert print_noise(lab, group, sheets).sheet_measured is (apart > 0)
    assert print_noise(lab, group, sheets, sheet=0.4).sheet == 0.4


def test_sheets_that_differ_no_more_than_two_readings_are_taken_for_one():
    """Twenty greys read twice, off by 0.05 each: one sheet read twice tells nothing of another, so the stated value counts."""
    rng = np.random.default_rng(2)
    lab = np.tile([50.0, 0.0, 0.0], (40, 1)) + 0.05 * rng.normal(size=(40, 3))
    found = print_noise(lab, np.tile(np.arange(20), 2), np.repeat([1, 2], 20))
    assert found.sheet == shipped_limits("noise")["sheet"]
    assert not found.sheet_measured
    assert found.sheet_alike == pytest.approx(0.1, abs=0.05)
    assert found.sheet_from.startswith("stated: those read differ by 0.")
