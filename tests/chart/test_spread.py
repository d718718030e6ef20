"""Where patches are spread: what a model gains from them, none twice, all deterministic."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from spectro.chart.generic_printer import predict_lab
from spectro.chart.least_error import least_error_rows
from spectro.chart.likely_curves import KINKED_DRIVER, LIKELY_CURVES, SMOOTH_DRIVER, LikelyCurves, correlation
from spectro.chart.patches import corner_steps, grey_steps
from spectro.chart.spread import (
    MOST_BY_ERROR,
    candidate_steps,
    colour_sensitivity,
    even_points,
    farthest_rows,
    spread_features,
    spread_patches,
)
from spectro.colour.difference import delta_e_2000
from spectro.errors import InputError
from spectro.model.gaussian_process import fit_gaussian_process
from spectro.records.arrays import FloatArray

_TESTS = np.random.default_rng(5).random((2000, 3))


def expected_variance(curves: LikelyCurves, readings: FloatArray, places: FloatArray) -> FloatArray:
    """Posterior variance at places, written out plainly: a quadratic with coefficients of variance 10 and the curves."""

    def covariance(first: FloatArray, second: FloatArray) -> FloatArray:
        def terms(device: FloatArray) -> FloatArray:
            pairs = [device[:, i] * device[:, j] for i in range(3) for j in range(i, 3)]
            return np.column_stack([np.ones(len(device)), device, *pairs])

        result: FloatArray = correlation(curves.place(first), curves.place(second)) + 10 * terms(first) @ terms(second).T
        return result

    inner = covariance(readings, readings) + curves.noise * np.eye(len(readings))
    cross = covariance(readings, places)
    result: FloatArray = np.diag(covariance(places, places)) - (cross * np.linalg.solve(inner, cross)).sum(axis=0)
    return result


@pytest.mark.afresh
@settings(max_examples=8, deadline=None)
@given(st.integers(1, 120), st.integers(0, 2**53), st.floats(0, 1))
def test_spread_patches_are_distinct_and_repeatable(count: int, seed: int, weight: float) -> None:
    """The spread holds no patch twice, none that was there before, and the same seed gives the same."""
    corners = corner_steps(3)
    first = spread_patches(corners, count, seed, weight)
    both = np.vstack([corners, first])
    assert len(np.unique(both, axis=0)) == count + 8
    assert both.min() >= 0
    assert both.max() <= 255
    np.testing.assert_array_equal(first, spread_patches(corners, count, seed, weight))


def test_many_patches_are_distinct_and_fill_holes() -> None:
    """Beyond those chosen by expected error, each patch is the candidate farthest from all before it."""
    corners, count = corner_steps(3), MOST_BY_ERROR + 100
    spread = spread_patches(corners, count, 3)
    both = np.vstack([corners, spread])
    assert len(np.unique(both, axis=0)) == count + 8
    features = spread_features(both, 0.5)
    apart = [np.linalg.norm(features[:row] - features[row], axis=1).min() for row in range(8 + MOST_BY_ERROR, len(both))]
    assert (np.diff(apart) <= 1e-6).all()


def test_one_chosen_patch_is_enough() -> None:
    """With nothing but paper white there, every eighth of the cube has a patch, and most lie off the faces."""
    spread = spread_patches(np.full((1, 3), 255), 30, 1)
    assert len(np.unique(spread, axis=0)) == 30
    assert len(np.unique(spread > 127, axis=0)) == 8
    assert ((spread == 0) | (spread == 255)).any(axis=1).sum() < 15


def test_each_choice_lowers_the_expected_error_most() -> None:
    """The choice equals the one of plain algebra: errors of every candidate computed anew, relative to what is left."""
    candidates, chosen = even_points(60, 3, 1), corner_steps(3) / 255
    places, weights = even_points(90, 3, 2), np.linspace(1.0, 2.0, 90)
    weights = weights / weights.sum()
    picked = least_error_rows(candidates, chosen, places, weights, 5, LIKELY_CURVES)
    have = chosen
    for row in picked:
        gains = np.zeros(len(candidates))
        for curves in LIKELY_CURVES:
            now = float(weights @ expected_variance(curves, have, places))
            after = [weights @ expected_variance(curves, np.vstack([have, one]), places) for one in candidates]
            gains += curves.share * (1 - np.array(after) / now)
        assert gains[row] == pytest.approx(gains.max(), rel=1e-3)
        have = np.vstack([have, candidates[row]])


@pytest.mark.parametrize("curves", [KINKED_DRIVER, SMOOTH_DRIVER])
def test_exchanges_lower_the_expected_error(curves: LikelyCurves) -> None:
    """Patches chosen again in view of the rest leave less error than the first choice, and are still all different."""
    candidates, chosen, places = even_points(400, 3, 1), corner_steps(3) / 255, even_points(200, 3, 2)
    errors = []
    for exchanges in (0, 40):
        rows = least_error_rows(candidates, chosen, places, np.ones(200), 40, [curves], exchanges)
        assert len(np.unique(rows)) == 40
        errors.append(expected_variance(curves, np.vstack([chosen, candidates[rows]]), places).mean())
    assert errors[1] < 0.99 * errors[0]


def test_carried_sums_do_not_drift() -> None:
    """A long run with exchanges ends where plain algebra says: the last choice is still the best one."""
    candidates, chosen, places = even_points(300, 3, 4), corner_steps(3) / 255, even_points(150, 3, 5)
    rows = least_error_rows(candidates, chosen, places, np.ones(150), 120, [KINKED_DRIVER], 0)
    have = np.vstack([chosen, candidates[rows[:-1]]])
    free = np.setdiff1d(np.arange(300), rows[:-1])
    after = {int(row): expected_variance(KINKED_DRIVER, np.vstack([have, candidates[row]]), places).mean() for row in free[::6]}
    mine = expected_variance(KINKED_DRIVER, np.vstack([have, candidates[rows[-1]]]), places).mean()
    assert mine <= min(after.values()) * (1 + 1e-4)


def test_farthest_rows_are_the_farthest_candidates() -> None:
    """The choice of holes equals plain farthest-point choice written out on the same candidates."""
    candidates = candidate_steps(4096, 3, 3)
    features, points = spread_features(candidates, 0.5), [*spread_features(corner_steps(3), 0.5)]
    for row in farthest_rows(features, np.array(points), 25):
        distances = np.linalg.norm(features[:, None] - np.array(points)[None], axis=2).min(axis=1)
        assert distances[row] == pytest.approx(distances.max(), rel=1e-5)
        points.append(features[row])


def test_too_many_patches_for_the_candidates_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where there are not enough different steps, the message says how many there are."""
    monkeypatch.setattr("spectro.chart.spread.candidate_steps", lambda count, channels, seed: candidate_steps(512, 3, seed))
    with pytest.raises(InputError, match="at most"):
        spread_patches(corner_steps(3), 600, 1)


def test_colour_sensitivity_is_that_of_small_steps() -> None:
    """Lab moved by a small random step gives, squared and averaged, the stated ΔE00."""
    lab = predict_lab(even_points(20, 3, 1))
    steps = np.random.default_rng(0).normal(size=(4000, 1, 3)) * 0.02
    measured = (delta_e_2000(lab, lab + steps) ** 2).mean(axis=0) / (3 * 0.02**2)
    np.testing.assert_allclose(colour_sensitivity(lab), measured, rtol=0.06)


def test_colour_weight_moves_patches_towards_sensitive_colours() -> None:
    """The more errors count by the difference they make, the more sensitive are the colours chosen."""
    chosen = corner_steps(3)
    means = [colour_sensitivity(predict_lab(spread_patches(chosen, 100, 1, weight) / 255)).mean() for weight in (0.0, 0.5, 1.0)]
    assert means[0] < means[1] < means[2]


def test_another_prediction_places_other_patches() -> None:
    """A model of the printer at hand steers the places."""

    def turned(device: FloatArray) -> FloatArray:
        return predict_lab(1 - device)

    chosen = corner_steps(3)
    plain, other = spread_patches(chosen, 60, 1), spread_patches(chosen, 60, 1, predict=turned)
    assert len({tuple(row) for row in plain.tolist()} & {tuple(row) for row in other.tolist()}) < 60


def _kinked(device: FloatArray) -> FloatArray:
    """Invented: the generic printer behind a driver whose light inks end at 40 % of the demand."""
    ink = 1 - device
    bent = np.where(ink < 0.4, 0.45 * ink / 0.4, 0.45 + 0.55 * (np.maximum(ink - 0.4, 0) / 0.6) ** 1.2)
    return predict_lab(1 - bent)


def test_a_model_learns_more_than_from_scattered_points() -> None:
    """Mean and p95 of ΔE00 are below those from Sobol points with the same corners and greys, on an invented printer."""
    from scipy.stats import qmc

    fixed = np.unique(np.vstack([corner_steps(3), grey_steps(24)]), axis=0)
    count = 118 - len(fixed)
    errors = np.zeros((2, 2))
    for seed in range(4):
        scattered = np.rint(qmc.Sobol(3, scramble=True, seed=seed).random(128)[:count] * 255).astype(np.int64)
        for way, points in enumerate((scattered, spread_patches(fixed, count, seed))):
            device = np.unique(np.vstack([fixed, points]), axis=0) / 255
            lab = _kinked(device)
            noise = np.random.default_rng(seed).normal(size=lab.shape) * 0.2
            error = delta_e_2000(fit_gaussian_process(device, lab + noise).predict(_TESTS), _kinked(_TESTS))
            errors[way] += [error.mean(), np.percentile(error, 95)]
    assert errors[1, 0] < errors[0, 0]
    assert errors[1, 1] < errors[0, 1]
