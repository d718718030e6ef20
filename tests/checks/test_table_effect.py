"""What tables do to pictures: full colours of a source, roll-off, profiles that lack tables."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from spectro.checks.table_effect import full_colours, roll_off, table_effect
from spectro.colour.source_gamut import SPACES, source_surface
from spectro.errors import TagError
from spectro.icc.profile_file import read_profile
from spectro.records.profile_settings import ProfileSettings
from spectro.workflow import profile_assess, profile_build

DEMO = Path(__file__).resolve().parents[2] / "demo_measurements" / "demo-readings-m1.txt"


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    path = tmp_path_factory.mktemp("effect") / "demo.icc"
    profile_build([DEMO], path, settings=ProfileSettings(grid=17))
    return path


@pytest.fixture(scope="module")
def effect(built):
    return table_effect(read_profile(built))


@pytest.mark.parametrize("source", sorted(SPACES))
def test_full_colours_have_the_hue_asked_for_and_no_other_is_fuller(source):
    hues = np.arange(0, 360, 15.0)
    lab = full_colours(source, hues)
    away = np.degrees(np.arctan2(lab[:, 2], lab[:, 1])) - hues
    assert np.abs((away + 180) % 360 - 180).max() < 2
    inside = source_surface(source, np.random.default_rng(1).random((20000, 3)))
    hue = np.degrees(np.arctan2(inside[:, 2], inside[:, 1])) % 360
    chroma = np.hypot(inside[:, 1], inside[:, 2])
    for wanted, full in zip(hues, np.hypot(lab[:, 1], lab[:, 2]), strict=True):
        near = np.abs((hue - wanted + 180) % 360 - 180) < 0.5
        assert chroma[near].max(initial=0) < full + 1.5  # the faces are looked at in steps


def test_roll_off_of_flat_and_straight_curves():
    level = np.linspace(0, 100, 101)
    assert roll_off(level, np.full(101, 40.0)) == (None, None)
    assert roll_off(level, level) == (2.0, 99.0)


def test_colorimetric_greys_are_kept_down_to_black_and_perceptual_ones_are_lifted(effect):
    perceptual, colorimetric, saturation = effect.intents
    assert [one.intent for one in effect.intents] == ["perceptual", "colorimetric", "saturation"]
    assert [one.table for one in effect.intents] == ["B2A0", "B2A1", "B2A2"]
    inside = effect.lightness > effect.black_lightness + 3
    np.testing.assert_allclose(colorimetric.neutral_lab[inside, 0], effect.lightness[inside], atol=0.7)
    assert colorimetric.leaves_black == pytest.approx(effect.black_lightness + 1, abs=1.0)
    assert perceptual.leaves_black < colorimetric.leaves_black - 5
    assert perceptual.neutral_lab[:, 0].min() >= effect.black_lightness - 0.5
    for one in (perceptual, colorimetric, saturation):
        np.testing.assert_allclose(one.neutral_lab[-1], [100, 0, 0], atol=0.05)
        assert np.diff(one.neutral_lab[:, 0]).min() > -0.1
        assert one.reaches_paper == pytest.approx(99, abs=0.5)


def test_no_print_is_fuller_than_what_the_table_is_asked_for(effect):
    """The invented printer is smaller than opRGB nearly everywhere: chroma falls, never rises by more than the tables err."""
    wanted = np.hypot(effect.full_lab[:, 1], effect.full_lab[:, 2])
    for one in effect.intents:
        assert (np.hypot(one.full_lab[:, 1], one.full_lab[:, 2]) < wanted + 2).all()


def test_a_missing_table_is_named_and_a_missing_model_refused(built):
    profile = read_profile(built)
    fewer = {name: tag for name, tag in profile.tags.items() if name not in ("B2A0", "B2A2")}
    found = table_effect(replace(profile, tags=fewer))
    assert found.missing == ("perceptual", "saturation")
    assert [one.intent for one in found.intents] == ["colorimetric"]
    assert [one.table for one in found.smoothness] == ["A2B1", "B2A1"]
    del fewer["A2B1"]
    with pytest.raises(TagError, match="A2B1"):
        table_effect(replace(profile, tags=fewer))


def test_the_assessment_carries_it(built):
    assert profile_assess(built, [DEMO]).effect.intents[0].intent == "perceptual"
