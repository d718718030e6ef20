"""`spectro profile top-up`: the chosen patches help the model more than any even spread, and the recipe makes a chart."""

import dataclasses
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from spectro.chart.recipe import parse_recipe, read_recipe, recipe_names, recipe_text, said_table
from spectro.checks.fitted_printer import fit_printer
from spectro.checks.top_up import further_patches
from spectro.colour.difference import delta_e_2000
from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import InputError, OutputExistsError, OutputFileError
from spectro.model.gaussian_process import fit_gaussian_process
from spectro.model.telling_patches import most_telling
from spectro.records.conditions import MeasurementCondition
from spectro.records.measurement import MeasurementSet
from spectro.stand_in.bands import WAVELENGTHS
from spectro.workflow import chart_new, profile_top_up

DEMO = Path(__file__).resolve().parents[3] / "demo_measurements" / "demo-readings-m1.txt"


def invented_printer(device):
    """Smooth invented printer with one kink; Lab."""
    tone = device**1.6
    kink = np.maximum(device[:, :1] - 0.6, 0) * 30
    return np.column_stack([10 + 85 * tone.mean(axis=1), 60 * (tone[:, 0] - tone[:, 1]), 60 * (tone[:, 1] - tone[:, 2])]) + kink


def test_chosen_patches_lower_the_variance_more_than_others():
    random = np.random.default_rng(1)
    device = random.random((60, 3))
    model = fit_gaussian_process(device, invented_printer(device))
    candidates, weight = random.random((400, 3)), np.ones(400)
    found = most_telling(model, candidates, weight, 20)
    assert len({tuple(row) for row in found.device.tolist()}) == 20
    assert np.all(found.after <= found.before + 1e-12)
    np.testing.assert_allclose(found.before, model.uncertainty(candidates), rtol=1e-6)
    best = (found.after**2).sum()
    for seed in range(5):
        others = np.random.default_rng(seed).permutation(400)[:20]
        assert best < (most_telling(model, candidates[others], np.ones(20), 0).before ** 2).sum() * 400 / 20
    told = {tuple(row) for row in most_telling(model, candidates, (candidates[:, 0] > 0.5).astype(float), 20).device.tolist()}
    assert np.mean([row[0] > 0.4 for row in told]) > 0.8  # where the weight lies


@pytest.mark.common_practice("no source: three dyes by Lambert and Beer, invented; 0.4 % of noise a reading, none in the truth")
@pytest.mark.parametrize("seed", range(3))
def test_what_the_model_is_off_by_is_told_as_it_is(seed):
    """Evenly over the device values and without the noise of readings, within a quarter or so; no left-out patches' error."""
    rng, middles = np.random.default_rng([15, seed]), (640.0, 540.0, 440.0)

    def printed(device, noise=0.0):
        absorbed = sum(
            1.5 * ((1 - device[:, k]) ** 1.6)[:, None] * np.exp(-(((WAVELENGTHS - middle) / 55) ** 2))
            for k, middle in enumerate(middles)
        )
        made = 0.004 + 0.88 * 10.0**-absorbed
        return made * (1 + noise * rng.normal(size=(len(made), 1)))

    device = np.vstack([np.stack(np.meshgrid(*[[0.0, 1.0]] * 3, indexing="ij"), axis=-1).reshape(-1, 3), rng.random((100, 3))])
    fitted = fit_printer(
        MeasurementSet(
            sample_ids=tuple(map(str, range(len(device)))), sample_names=("",) * len(device), colour_space="RGB", device=device,
            wavelengths=WAVELENGTHS, reflectance=printed(device, 0.004), condition=MeasurementCondition("M0"), origin="dyes",
        )
    )  # fmt: skip
    points = np.random.default_rng(9).random((1500, 3))
    true = delta_e_2000(fitted.model.predict(points), spectra_to_lab(printed(points), WAVELENGTHS)).mean()
    assert further_patches(fitted, device, 20).before == pytest.approx(true, rel=0.3)


def test_recipe_and_list_make_a_chart_with_these_patches(tmp_path):
    found = profile_top_up([DEMO], tmp_path / "more", patches=40)
    assert found.chosen == 40
    assert 0.5 * found.before < found.after < found.before  # no more than printers of real spectra keep
    assert sum(found.regions.values()) == 40
    chart = chart_new(tmp_path / "more" / "top-up.toml", tmp_path / "chart")
    assert chart.patches == found.patches
    assert chart.stanza_counts["own"] >= 38  # a corner may be among the chosen
    with pytest.raises(OutputExistsError):
        profile_top_up([DEMO], tmp_path / "more", patches=40)
    again = profile_top_up([DEMO], patches=40)
    assert again.after == found.after
    assert again.recipe == ""


@pytest.mark.parametrize(("options", "words"), [({"patches": 5}, "12 to 400"), ({"recipe": "grey-medium-patch"}, "RGB")])
def test_what_cannot_be_topped_up(options, words):
    with pytest.raises(InputError, match=words):
        profile_top_up([DEMO], **options)


def test_a_folder_that_cannot_be_made(tmp_path):
    (tmp_path / "file").write_text("")
    with pytest.raises(OutputFileError):
        profile_top_up([DEMO], tmp_path / "file" / "more", patches=20)


@settings(max_examples=30, deadline=None)
@given(st.sampled_from(recipe_names()), st.text("aB ü§'#[]=\\.", min_size=1, max_size=20).filter(str.strip))
def test_a_recipe_as_text_is_the_same_recipe(name, title):
    recipe = dataclasses.replace(read_recipe(name), title=title)
    assert said_table(parse_recipe(recipe_text(recipe).encode("utf-8"), "text")) == said_table(recipe)
