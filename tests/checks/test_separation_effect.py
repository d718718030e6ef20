"""What settings of a separation do, on the spectra of a published print."""

import numpy as np
import pytest

from spectro.checks.fitted_printer import fit_printer
from spectro.checks.separation_effect import grain, made_picture
from spectro.readings.load import load_readings
from spectro.records.measurement import MeasurementSet
from spectro.records.profile_settings import ProfileSettings
from spectro.records.reading_options import ReadingOptions
from spectro.workflow.profile.ink_build import other_settings, separate_inks


@pytest.fixture(scope="module")
def effect(check_data):
    whole = load_readings([check_data / "offset-coated-fogra51" / "fogra51-spectral.txt"], ReadingOptions())
    rows = np.arange(0, len(whole), 3)
    ids = tuple(str(row) for row in rows)
    some = MeasurementSet(
        sample_ids=ids, sample_names=ids, colour_space="CMYK", device=whole.device[rows],
        wavelengths=whole.wavelengths, reflectance=whole.reflectance[rows], condition=whole.condition, origin="every third",
    )  # fmt: skip
    fitted = fit_printer(some)
    separated = separate_inks(some, fitted, ProfileSettings())
    return separated, other_settings(some, fitted, separated)


def _of(effect, key):
    return next(one for one in effect.settings if one.key == key)


@pytest.mark.common_practice("no source: black in place of colours needs less ink and holds greys; late black is finer")
def test_more_black_costs_grain_and_saves_the_rest(effect):
    order = [_of(effect[1], key) for key in ("none", "fine", "chosen", "steady", "most")]
    for name, way in (("ink", -1), ("grain", 1), ("lamps", -1), ("register", -1)):
        values = [getattr(one, name) for one in order]
        assert (way * np.diff(values) > 0).all(), (name, values)
    assert _of(effect[1], "lean").ink < order[-1].ink
    assert _of(effect[1], "lean").total < _of(effect[1], "chosen").total


@pytest.mark.common_practice("no source: what a limit leaves out is said")
def test_limits_are_kept_and_what_they_cost_is_told(effect):
    total, ceiling, own = (_of(effect[1], key) for key in ("total", "ceiling", "chosen"))
    assert total.planes.sum(axis=2).max() <= total.total / 100 + 1e-3
    assert ceiling.planes[:, :, 3].max() <= 0.6 + 1e-9
    assert own.missed == 0
    assert ceiling.darkest > own.darkest + 3  # less black is less deep
    assert ceiling.missed > 0.01


@pytest.mark.common_practice("no source: curves and picture are of the same print, paper is bare")
def test_curves_and_picture_go_from_paper_to_black(effect):
    separated, found = effect
    assert found.names == ("cyan", "magenta", "yellow", "black")
    assert [one.name for one in found.full] == ["cyan", "magenta", "yellow", "red", "green", "blue"]
    for one in (found.settings[0].greys, *found.full):
        assert one.inks[0].max() < 0.01
        assert one.inks.sum(axis=1).max() <= separated.chosen.total.factor + 1e-3
    assert found.full[0].inks[23, 0] > 0.97  # full cyan is cyan
    assert found.picture.shape == made_picture().shape == (*found.settings[0].planes.shape[:2], 3)


@pytest.mark.common_practice("no source: half black on paper alternates between the two")
def test_grain_of_one_ink_is_half_the_step_it_makes(effect):
    separation = effect[0].chosen.separation
    paper, black = separation.colours(np.array([[0.0, 0, 0, 0], [0, 0, 0, 1]]))[:, 0]
    found = grain(separation, np.array([[0.0, 0, 0, 0.5], [0, 0, 0, 0], [0, 0, 0, 1]]))
    assert found == pytest.approx([(paper - black) / 2, 0, 0], abs=1e-6)
