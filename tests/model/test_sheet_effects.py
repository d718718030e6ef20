"""Several sheets: the two steps are one model solved at once; what differs is found, and nothing where nothing does."""

import numpy as np
import pytest

from spectro.model.exact import solve_exact
from spectro.model.kernel import Hyperparameters
from spectro.model.likelihood import mean_terms
from spectro.model.page_places import places_in_order, stated_places
from spectro.model.prior import Prior
from spectro.model.sheet_effects import SETTINGS, SheetReadings, sheet_effects
from spectro.readings.repeats import grouped_means, recipe_groups

PRIOR = Prior(
    hyperparameters=Hyperparameters(
        lengths=np.full(5, 2.0), warp_first=np.ones(5), warp_second=np.ones(5), noise_ratio=1e-4, degree=1
    )
)


def printer(device):
    ink = 1 - device
    return np.column_stack([95 - 70 * ink.mean(axis=1), 40 * (ink[:, 1] - ink[:, 0]), 50 * (ink[:, 2] - ink[:, 1])])


def two_sheets(count=150, apart=0.0, drift=0.0, noise=0.08, shared=20):
    """Readings of two sheets of 10 columns; the second lies apart in L*, and both get lighter down the page by drift."""
    random = np.random.default_rng(5)
    device = random.random((2 * count, 3))
    device[count : count + shared] = device[:shared]
    sheets = np.repeat([1, 2], count)
    at = np.tile(np.arange(count), 2)
    positions = np.column_stack([np.ones(2 * count, dtype=int), at // 10 + 1, at % 10 + 1])
    lab = printer(device) + noise * random.normal(size=(2 * count, 3))
    lab[:, 0] += apart * (sheets == 2) + drift * positions[:, 1] / (count / 10)
    group = recipe_groups(device)
    recipes = device[np.unique(group, return_index=True)[1]]
    model = solve_exact(recipes, grouped_means(lab, group), np.bincount(group).astype(float), PRIOR)
    return model, SheetReadings(group=group, lab=lab, sheets=sheets, device=recipes), positions, device


@pytest.mark.source("Rasmussen-Williams-2006")
def test_the_two_steps_predict_as_one_model_of_printer_and_sheets():
    """Readings without what belongs to their sheets, fitted as one sheet, give the prediction of the whole covariance."""
    model, readings, _, device = two_sheets(apart=0.5)
    found = sheet_effects(model, readings, None)
    assert found.gain > SETTINGS.least_gain
    recipes, group = readings.device, readings.group
    counts = np.bincount(group).astype(float)
    later = solve_exact(recipes, grouped_means(readings.lab - found.shift, group), counts, PRIOR)

    noise = PRIOR.hyperparameters.noise_ratio
    covariance = PRIOR.between(device, device) + noise * np.eye(len(device))
    covariance += SETTINGS.constant * noise * (readings.sheets[:, None] == readings.sheets)
    terms, at = mean_terms(device, 1), np.random.default_rng(1).random((50, 3))
    inverse = np.linalg.inv(covariance)
    mean = np.linalg.solve(terms.T @ inverse @ terms, terms.T @ inverse @ readings.lab)
    weights = inverse @ (readings.lab - terms @ mean)
    wanted = mean_terms(at, 1) @ mean + PRIOR.between(at, device) @ weights
    assert later.predict(at) == pytest.approx(wanted, abs=2e-6)


@pytest.mark.common_practice("no source: what was put in is found")
def test_sheets_apart_and_drifts_are_found_and_nothing_else():
    """L* 0.5 between sheets comes back; a drift is believed in where there is one; alike sheets are left as they are."""
    model, readings, positions, _ = two_sheets(apart=0.5, drift=0.4)
    found = sheet_effects(model, readings, stated_places(positions))
    assert found.constants[1, 0] - found.constants[0, 0] == pytest.approx(0.5, abs=0.06)
    assert np.abs(found.constants[1, 1:] - found.constants[0, 1:]).max() < 0.05
    assert found.drifts
    rows = positions[:, 1]
    risen = found.shift[rows >= 13, 0].mean() - found.shift[rows <= 3, 0].mean()
    assert 0.12 < risen < 0.36  # of 0.32: what is believed beforehand is small

    model, readings, positions, _ = two_sheets(apart=0.5)
    assert not sheet_effects(model, readings, stated_places(positions)).drifts

    model, readings, positions, _ = two_sheets(apart=0.06)  # log likelihood 9.6 above none: very strong evidence
    assert sheet_effects(model, readings, None).shift.any()

    model, readings, positions, _ = two_sheets(apart=0.04)  # 0.8 above none
    alike = sheet_effects(model, readings, stated_places(positions))
    assert alike.gain < SETTINGS.least_gain
    assert (alike.shift == 0).all()


@pytest.mark.common_practice("no source: rows of a page are found from what neighbours share")
def test_rows_are_told_from_the_order_of_readings_and_not_from_sorted_ones():
    """A drift across rows of 23 is found from residuals in order, gaps and all; patches sorted by colour tell no places."""
    random = np.random.default_rng(3)
    order = np.sort(random.permutation(900)[:700])
    device = random.random((700, 3))
    device[:, 0].sort()  # charts that are sorted by one channel still tell their rows
    rows = [random.normal(size=23)]
    for _ in range(40):  # neighbouring rows are alike, far ones are not
        rows.append(0.7 * rows[-1] + 0.7 * random.normal(size=23))
    residual = 0.1 * np.concatenate(rows)[order, None] + 0.1 * random.normal(size=(700, 3))
    one = np.ones(700, dtype=np.int64)
    places = places_in_order(order, one, device, residual)
    assert np.unique(np.round(places.across * 23, 6)).tolist() == list(range(23))
    ordered = device[np.lexsort(np.round(device.T, 1))]
    assert places_in_order(order, one, ordered, residual) is None
    assert places_in_order(order[:300], one[:300], device[:300], residual[:300]) is None
