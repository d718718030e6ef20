"""Recipes around the darkest neutral colour of an invented print whose dark colours carry a ripple, as raw readings do."""

import numpy as np
import pytest

from spectro.profile.fit_points import dark_rays
from spectro.profile.ink_gamut import HUE_WEIGHT, InkRule, darkest_neutral_ink, ink_gamut, ink_rule
from spectro.separation.black_aim import named_aim
from spectro.separation.ink_limits import InkLimits
from spectro.separation.ink_roles import InkRoles
from spectro.separation.separate import prepare_separation

GRID = 9


def rippled_print() -> np.ndarray:
    """Invented data: Lab of four inks whose heavy black hides the others, with a ripple of 0.3 in Lab."""
    axes = np.meshgrid(*[np.linspace(0, 1, GRID)] * 4, indexing="ij")
    device = np.stack(axes, axis=-1)
    left = np.array([[0.25, 0.6, 0.75], [0.6, 0.25, 0.4], [0.85, 0.75, 0.2], [0.04, 0.035, 0.033]])
    light = 0.92 * np.prod(1 - device[..., None] ** 0.8 * (1 - left), axis=-2) + 0.1
    x, y, z = np.cbrt(np.moveaxis(light / light[0, 0, 0, 0], -1, 0))
    lab = np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)
    return lab + 0.3 * np.random.default_rng(4).normal(size=lab.shape) * (device.max(axis=-1, keepdims=True) > 0)


@pytest.fixture(scope="module")
def rule() -> InkRule:
    """The rule of the invented print within 300 %."""
    lab = rippled_print()
    darkest = float(lab[..., 0].min())
    roles = InkRoles(primaries=(0, 1, 2), black=3)
    separation = prepare_separation(lab, InkLimits(total=3.0, ceilings=np.ones(4)), roles, named_aim("usual", darkest, 1.0))
    neutral = darkest_neutral_ink(separation)
    return ink_rule(separation, ink_gamut(separation, neutral), neutral)


def ring(rule: InkRule, chroma: float) -> np.ndarray:
    """Lab a little above black, all around it."""
    hue = np.linspace(0, 2 * np.pi, 73)
    return np.column_stack([np.full(73, rule.near_black.low[0] + 0.5), chroma * np.cos(hue), chroma * np.sin(hue)])


@pytest.mark.common_practice("no source: what lies between two recipes prints like both only where they are alike")
def test_neighbours_near_black_have_recipes_that_are_alike(rule):
    lab = ring(rule, 2.0)
    together = np.abs(np.diff(rule.near_black.inks(lab, HUE_WEIGHT), axis=0)).max(axis=1)
    alone = np.abs(np.diff(rule.separation.inks_of(lab, HUE_WEIGHT)[0], axis=0)).max(axis=1)
    assert together.max() < 0.75 * alone.max()


@pytest.mark.common_practice("no source: a recipe prints its colour")
def test_recipes_near_black_print_their_colours(rule):
    lab = ring(rule, 1.5)
    printed = rule.separation.colours(rule.near_black.inks(lab, HUE_WEIGHT))
    assert np.median(np.linalg.norm(printed - lab, axis=1)) < 0.2


@pytest.mark.common_practice("no source: inks that are held stay, others go to the colour")
def test_inks_are_drawn_to_those_they_start_at(rule):
    separation, lab = rule.separation, ring(rule, 1.0)
    start = np.full((len(lab), 4), 0.6)

    def left(held: float) -> float:
        return float(np.linalg.norm(separation.colours(separation.inks_held(lab, start, held)) - lab, axis=1).mean())

    assert np.abs(separation.inks_held(lab, start, 1e7) - start).max() < 0.01
    assert left(1e-3) < left(10.0) < left(1e7)


@pytest.mark.common_practice("no source: greys stay at black, and printable lightness stays as it is")
def test_lightness_rises_from_black_with_chroma_alone(rule):
    near, black = rule.near_black, rule.near_black.low[0]
    chroma = np.linspace(0, 6, 61)
    goals = np.column_stack([np.full(61, black), chroma, np.zeros(61)])
    lifted = near.lifted(goals, np.zeros(61))
    assert lifted[0] == 0
    assert (np.diff(lifted) > 0).all()
    assert lifted[-1] < near.settings.rise * black
    assert near.lifted(goals, np.full(61, black)).max() == 0
    assert near.lifted(goals + np.array([near.settings.fades, 0, 0]), np.zeros(61)).max() == 0


@pytest.mark.common_practice("no source: tables mix the inks of nodes")
def test_what_is_mixed_of_recipes_prints_between_them(rule):
    lab = np.concatenate([ring(rule, chroma)[:-1] for chroma in (0.5, 1.0, 1.5, 2.0)])

    def apart(device: np.ndarray) -> float:
        around = device.reshape(4, 72, 4)
        mixed = (around + np.roll(around, 9, axis=1)) / 2  # of two recipes 45 degrees apart
        colours = rule.separation.colours(np.concatenate([device, mixed.reshape(-1, 4)])).reshape(2, 4, 72, 3)
        between = (colours[0] + np.roll(colours[0], 9, axis=1)) / 2
        return float(np.abs(colours[1] - between)[..., 0].mean())

    assert apart(rule.near_black.inks(lab, HUE_WEIGHT)) < 0.8 * apart(rule.separation.inks_of(lab, HUE_WEIGHT)[0])


@pytest.mark.common_practice("no source: ways from black begin there and end at the lightness asked for")
def test_rays_from_black_are_dark():
    lab = dark_rays(np.random.default_rng(1), 3000, 12.0)
    assert len(lab) > 2500
    assert lab[:, 0].max() < 12
    assert lab[:, 0].min() < 0.1
    assert np.histogram(lab[:, 0], 4, (0, 12))[0].min() > 400


@pytest.mark.common_practice("no source: a recipe prints its colour, however late black begins; the print is invented")
@pytest.mark.parametrize("share", ["usual", "fine", "none"])
@pytest.mark.parametrize("total", [2.4, 3.0])
def test_recipes_reach_black_whenever_black_ink_begins(share, total):
    """Where the total limit and a full black meet, steps from lighter recipes come to rest short of black."""
    lab = rippled_print()
    roles = InkRoles(primaries=(0, 1, 2), black=3)
    aim = named_aim(share, float(lab[..., 0].min()), 1.0)
    separation = prepare_separation(lab, InkLimits(total=total, ceilings=np.ones(4)), roles, aim)
    neutral = darkest_neutral_ink(separation)
    rule = ink_rule(separation, ink_gamut(separation, neutral), neutral)
    greys = np.column_stack([neutral.lightness + np.linspace(0.05, 2.5, 30), np.zeros((30, 2))])
    printed = separation.colours(rule.near_black.inks(greys, HUE_WEIGHT))
    alone = separation.colours(separation.inks_of(greys, HUE_WEIGHT)[0])
    away, least = (np.linalg.norm(one - greys, axis=1) for one in (printed, alone))
    assert (away < least + 0.31).all()
