"""What prints are expected to be off by."""

import numpy as np
import pytest

from spectro.checks.forecast import print_forecast
from spectro.records.profile_settings import ProfileSettings


def test_patches_like_all_colours_and_no_other_sheet_give_the_left_out_errors():
    random = np.random.default_rng(3)
    spread = np.full((4000, 3), 0.4)
    errors = 0.5 * np.linalg.norm(random.normal(size=(4000, 3)), axis=1)
    found = print_forecast(errors, spread, np.full((50, 3), 0.4), 0.0)
    assert found.mean == pytest.approx(errors.mean(), rel=0.005)
    assert found.p95 == pytest.approx(np.percentile(errors, 95), rel=0.01)


def test_colours_surer_than_the_patches_are_forecast_better_in_proportion():
    errors, spread = np.random.default_rng(3).gamma(3.0, 0.2, 500), np.full((500, 3), 0.6)
    wide, near = (print_forecast(errors, spread, np.full((50, 3), value), 0.0) for value in (0.6, 0.2))
    assert near.mean == pytest.approx(wide.mean / 3, rel=1e-9)
    assert near.p95 == pytest.approx(wide.p95 / 3, rel=1e-9)


def test_another_sheet_adds_in_squares():
    errors, spread = np.full(100, 0.3), np.full((100, 3), 0.3)
    found = print_forecast(errors, spread, spread, 0.4)
    assert (found.mean, found.p95) == pytest.approx((0.5, 0.5))
    assert found.sheet == ProfileSettings(sheet=0.4).sheet
