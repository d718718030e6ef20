"""What of a proof page is over its limits: never by the page's own noise, and not by the average alone."""

import numpy as np
import pytest

from spectro.checks.proof_limits import far_from_forecast, far_greys, unproven_colours, unsteady_repeats
from spectro.records.assessment import ErrorBudget
from spectro.records.proof import ProofAims, ProofWay
from spectro.records.proof_result import ProofUse
from spectro.standards.limits import shipped_limits

LIMITS = shipped_limits("proof")
BUDGET = ErrorBudget(repeat_noise=0.1, repeat_noise_from="24 repeats", model=0.2, table=0.1, total=0.35, p95=0.7, sheet=0.26)


def colours(count=120, seed=1):
    rng = np.random.default_rng(seed)
    hue, chroma = rng.uniform(0, 2 * np.pi, count), rng.uniform(0, 50, count)
    return np.column_stack([rng.uniform(35, 85, count), chroma * np.cos(hue), chroma * np.sin(hue)])


def test_a_right_print_is_within_every_limit():
    forecast = colours()
    lab = forecast + 0.2 * np.random.default_rng(2).normal(size=forecast.shape)
    assert far_from_forecast(lab, forecast, ["in gamut"] * len(lab), BUDGET, LIMITS) == []


def test_one_hue_that_is_off_is_found_although_the_average_is_small():
    """Reds darker by 5: the page's average stays within its limit, the group of reds does not."""
    forecast = colours()
    lab = forecast.copy()
    hue = np.degrees(np.arctan2(lab[:, 2], lab[:, 1])) % 360
    reds = (hue > 15) & (hue < 50) & (np.hypot(lab[:, 1], lab[:, 2]) > 10)
    lab[reds, 0] -= 5
    names = {one.what for one in far_from_forecast(lab, forecast, ["in gamut"] * len(lab), BUDGET, LIMITS)}
    assert "reds" in names
    assert "mean" not in names


def test_limits_never_grow_beyond_what_a_proven_print_may_be():
    """A profile that expects to be off by 3 proves nothing that is off by 3."""
    forecast = colours()
    lab = forecast + np.array([3.0, 0, 0])
    poor = ErrorBudget(repeat_noise=1.0, repeat_noise_from="", model=2.5, table=1.0, total=3.0, p95=6.0)
    assert "mean" in {one.what for one in far_from_forecast(lab, forecast, ["in gamut"] * len(lab), poor, LIMITS)}


def test_repeats_that_differ_are_told_by_the_noise_that_is_known():
    rng = np.random.default_rng(4)
    each = np.repeat(colours(12), 2, axis=0)
    group = np.repeat(np.arange(12), 2)
    assert unsteady_repeats(each + 0.1 * rng.normal(size=each.shape), group, 0.1, LIMITS) == []
    assert unsteady_repeats(each + 1.2 * rng.normal(size=each.shape), group, 0.1, LIMITS)[0].what == "repeats of one colour"


@pytest.mark.parametrize(("use", "found"), [(ProofUse.EDITION, 1), (ProofUse.CONTRACT_PROOF, 0), (ProofUse.EVERYDAY, 0)])
def test_greys_have_limits_by_what_prints_are_for(use, found):
    """A tint of 1.8 does for everything but an edition."""
    aim = np.column_stack([np.linspace(20, 95, 12), np.zeros(12), np.zeros(12)])
    aims = ProofAims(
        way=ProofWay.DEVICE, intent="relative", profile="a.icc", profile_sha256="0", groups=("greys",) * 12, names=("",) * 12,
        pcs_lab=aim, aim_lab=aim,
    )  # fmt: skip
    assert len(far_greys(aim + np.array([0, 1.8, 0]), aims, use, LIMITS)) == found


def test_colours_that_the_page_does_not_hold_are_named():
    greys = np.column_stack([np.linspace(20, 95, 12), np.zeros(12), np.zeros(12)])
    named = unproven_colours(greys, LIMITS)
    assert "reds" in named
    assert "greys" not in named


@pytest.mark.common_practice("no source: one colour far off, which the forecast knows well or hardly; invented")
def test_a_colour_that_the_forecast_hardly_knows_says_nothing_of_the_page():
    """The largest difference counts where it is far beyond what the colour is expected to be off by, else the next one."""
    forecast = np.random.default_rng(3).uniform([20, -40, -40], [90, 40, 40], (60, 3))
    lab = forecast + np.array([0.2, 0, 0])
    lab[7, 0] += 7.0
    spread = np.full(60, 0.3)

    def largest(known):
        found = far_from_forecast(lab, forecast, ["in gamut"] * 60, BUDGET, LIMITS, known)
        return [one.where for one in found if one.what == "largest"]

    assert largest(None) == [(7,)]
    assert largest(spread) == [(7,)]
    assert largest(np.where(np.arange(60) == 7, 5.0, spread)) == []
    lab[21, 0] += 6.5
    assert largest(np.where(np.arange(60) == 7, 5.0, spread)) == [(21,)]
