"""A refresh of inks on published presses that change: the campaign of `benchmarks/refresh_inks.py` in short, and six inks."""

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from spectro.checks.fitted_printer import fit_printer
from spectro.checks.ink_refresh_moves import ink_refresh_moves
from spectro.checks.ink_settings import CURVES, OTHERS, CurvePart, ink_setting, other_order
from spectro.checks.refresh import refreshed_readings, telling_rows
from spectro.checks.refresh_causes import fresh_causes
from spectro.checks.statistics import difference_statistics
from spectro.colour.difference import delta_e_2000
from spectro.colour.pcs import spectra_to_pcs
from spectro.records.drift import DriftCause
from spectro.separation.ink_limits import InkLimits, drawn_within
from spectro.stand_in.press import PressSheet, press_measurements
from spectro.stand_in.readings import CREATED
from spectro.standards.limits import shipped_limits

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "benchmarks"))
import refresh_inks

SIX = ("cyan", "magenta", "yellow", "black", "orange", "green")


@pytest.mark.common_practice("no source: presses are splines through published prints; changes, sheets and faults are invented")
@pytest.mark.parametrize("seed", [300, 304, 308])
def test_what_is_told_comes_true_and_no_profile_is_made_over_a_fault(check_data, seed):
    """One case of each press: the whole campaign is too slow here."""
    case = refresh_inks.one(seed)
    assert case.told == pytest.approx(case.true, rel=0.3)
    assert case.true <= 1.3 * case.new
    assert not case.refused
    assert [fault for fault, stopped, harm in case.spoilt if harm and not stopped] == []


def six_inks(device, seed, sheet):
    """Readings of six inks on the stand-in press."""
    count = len(device)
    page = PressSheet(
        device=device,
        positions=np.zeros((0, 3), dtype=np.int64),
        sample_ids=tuple(str(row) for row in range(count)),
        sample_names=("",) * count,
    )
    return press_measurements(page, SIX, seed=seed, sheet_seed=sheet, created=CREATED, origin="invented")


@pytest.fixture(scope="module")
def six():
    """Six inks up to 300 % in all, and the model of their readings."""
    limits = InkLimits(total=3.0, ceilings=np.ones(6))
    ramps = np.concatenate([np.eye(6) * level for level in (0.25, 0.5, 0.75, 1.0)])
    device = np.concatenate([np.zeros((1, 6)), ramps, drawn_within(475, limits, np.random.default_rng(1))])
    old = six_inks(device, 1, 2)
    return old, fit_printer(old), limits


@pytest.mark.common_practice("no source: the stand-in press, whose dots grew by 1 to 3 % at one half of each ink; invented")
def test_six_inks_that_moved_are_nearly_as_good_as_printed_anew(six):
    old, fitted, limits = six
    gain = np.array([0.03, -0.02, 0.02, 0.01, -0.03, 0.02])

    def moved(device):
        return device + 4 * gain * device * (1 - device)

    chosen = fitted.repeats.device[telling_rows(old, fitted, 60)]
    assert (chosen == 0).all(axis=1).any()
    assert all((chosen == solid).all(axis=1).any() for solid in np.eye(6))
    fresh = six_inks(moved(chosen), 3, 2)
    found = refreshed_readings(old, replace(fresh, device=chosen), fitted)
    places = drawn_within(500, limits, np.random.default_rng(5))
    seen = spectra_to_pcs(six_inks(moved(places), 6, 2).reflectance, old.wavelengths).lab
    before = delta_e_2000(fitted.model.predict(places), seen).mean()
    after = delta_e_2000(fit_printer(found.readings).model.predict(places), seen).mean()
    still = spectra_to_pcs(six_inks(places, 6, 2).reflectance, old.wavelengths).lab
    new = delta_e_2000(fitted.model.predict(places), still).mean()  # as good as a new chart of as many patches
    assert before > 1.4 * new
    assert after <= 1.3 * new
    assert found.told == pytest.approx(after, rel=0.3)


def test_moves_leave_the_paper_alone_but_for_its_own(six):
    """Of 6 inks: 6 groups of curves, 6 of strengths, one each together, on other inks, of the paper."""
    _, fitted, _ = six
    groups = ink_refresh_moves(fitted.model.predict, 6)(np.zeros((1, 6)))
    assert len(groups) == 15
    assert all(np.abs(group).max() < 1e-9 for group in groups[:-1])
    assert np.abs(groups[-1]).max() > 0.5


@pytest.mark.common_practice("no source: three tenths of orange missing from an invented press")
def test_a_missing_ink_of_six_is_asked_about_without_a_name(six):
    """The causes of drift know cyan, magenta, yellow and black: of other inks they would name the wrong one."""
    old, fitted, _ = six
    chosen = np.random.default_rng(3).permutation(fitted.repeats.device[telling_rows(old, fitted, 60)])
    limits = shipped_limits("drift")
    right, short = (
        fresh_causes(fitted, replace(six_inks(chosen * share, 3, 4), device=chosen), limits).spoils
        for share in (np.ones(6), np.where(np.arange(6) == 4, 0.7, 1.0))
    )
    assert right is None
    assert short is not None
    assert not any(name in short.detail for name in SIX)


@pytest.mark.common_practice("no source: columns of two inks that were exchanged")
def test_inks_in_another_order_are_seen(six):
    _, fitted, _ = six
    device = fitted.repeats.device[:80]
    limits = shipped_limits("drift")
    fresh = six_inks(device, 3, 4)
    assert other_order(fitted, fresh, limits) is None
    swapped = replace(fresh, device=device[:, [0, 1, 2, 3, 5, 4]])
    assert other_order(fitted, swapped, limits) == (4, 5)


@pytest.mark.common_practice("no source: sizes on both sides of the limits")
def test_a_setting_is_asked_about_where_it_would_do_harm():
    limits = shipped_limits("drift")
    least = limits["fresh_curves"]
    large, small = (CurvePart(explains=0.5, mean=least + more, p95=least) for more in (0.1, -0.1))
    away = difference_statistics(np.full(40, least))
    found = ink_setting(large, away, limits, paper=False)
    assert found is not None
    assert (found.cause, found.detail) == (DriftCause.SETTING, CURVES)
    assert ink_setting(small, away, limits, paper=False) is None
    farther = difference_statistics(np.full(40, least + 0.1))
    assert ink_setting(replace(small, explains=0.8), farther, limits, paper=False) is not None  # it counts for all of it
    far = difference_statistics(np.full(40, limits["act"] + 0.1))
    found = ink_setting(small, far, limits, paper=False)
    assert found is not None
    assert found.detail == OTHERS
    assert ink_setting(small, far, limits, paper=True) is None
