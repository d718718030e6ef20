"""Colours that a chart does not sample: a forecast does not take them for known, and they are named."""

from dataclasses import replace

import numpy as np
import pytest

from spectro.checks.fitted_printer import fit_printer, forecast_print
from spectro.colour.difference import delta_e_2000
from spectro.readings.load import load_readings
from spectro.words.profile import unsampled_words


@pytest.fixture(scope="module")
def printed(check_data):
    return load_readings([check_data / "photo-inkjet-matte" / "chart-b-2420-m0.txt"])


def some(readings, rows):
    return replace(
        readings,
        sample_ids=tuple(readings.sample_ids[row] for row in rows),
        sample_names=tuple(readings.sample_names[row] for row in rows),
        device=readings.device[rows],
        reflectance=readings.reflectance[rows],
        positions=readings.positions[rows] if len(readings.positions) else readings.positions,
    )


def without(readings, where, count):
    """At most so many patches where a region is not sampled, and the fitted printer's error on those that were left away."""
    kept = np.flatnonzero(~where(readings.device))
    kept = np.random.default_rng(4).permutation(kept)[:count]
    fitted = fit_printer(some(readings, kept))
    gone = np.flatnonzero(where(readings.device))
    lab = fit_printer(some(readings, gone)).recipe_lab if len(gone) else np.zeros((0, 3))
    away = delta_e_2000(fitted.model.predict(fit_printer(some(readings, gone)).repeats.device), lab)
    return forecast_print(fitted), float(away.mean())


@pytest.mark.source("Balci-2025", "matte print, chart B; what is left away is invented")
@pytest.mark.parametrize(
    ("where", "name"),
    [
        (lambda rgb: (rgb[:, 2] > rgb[:, 0] + 0.1) & (rgb[:, 2] > rgb[:, 1] + 0.1), "blue"),
        (lambda rgb: (rgb[:, 0] > rgb[:, 1] + 0.1) & (rgb[:, 0] > rgb[:, 2] + 0.1), "red"),
        (lambda rgb: rgb.max(axis=1) < 0.45, "deep"),
    ],
)
def test_a_region_without_patches_is_named_and_counts(where, name, printed):
    found, true = without(printed, where, 400)
    assert found.unsampled > 0.02
    assert any(name in colour for colour in found.unsampled_colours[:3])
    assert found.unsampled_mean > 2 * found.model  # it is no longer taken for as good as the rest
    assert found.unsampled_mean == pytest.approx(true, rel=0.8)  # the size is right, no more
    assert "nothing is known of those colours" in unsampled_words(found)


@pytest.mark.source("Balci-2025", "matte and glossy prints, whole charts")
def test_whole_charts_sample_all(printed, check_data):
    glossy = load_readings([check_data / "photo-inkjet-glossy" / "chart-680-m0.txt"])
    corners = (np.minimum(printed.device, 1 - printed.device) < 1e-6).all(axis=1)
    rows = np.concatenate([np.flatnonzero(corners), np.random.default_rng(1).permutation(len(printed))[:500]])
    for readings in (glossy, some(printed, rows)):
        found = forecast_print(fit_printer(readings))
        assert (found.unsampled, found.unsampled_mean, found.unsampled_colours) == (0.0, 0.0, ())
        assert unsampled_words(found) == ""


@pytest.mark.source("Balci-2025", "matte print")
def test_corners_that_were_not_read_are_named(printed):
    """Everything but the fullest colours: the forecast stays, a word is said."""
    near = np.abs(printed.device - np.rint(printed.device)).max(axis=1) < 0.12
    found = forecast_print(fit_printer(some(printed, np.flatnonzero(~near)[:600])))
    assert found.unsampled_colours
    assert "nothing is known of those colours" in unsampled_words(found)
