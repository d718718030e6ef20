"""The hull of a gamut in each hue against a plain search, and the straight axis against its inverse."""

from itertools import pairwise

import numpy as np
import pytest

from spectro.boundary.hue_hull import hue_hull
from spectro.boundary.radial import RadialBoundary, even_directions
from spectro.boundary.straight_axis import StraightAxis

HUES, ELEVATIONS = 72, 91
CENTRE = np.array([55.0, 0, 0])


def invented_boundary():
    """A hollow body, turning with the hue: a ball of 40, pulled in by up to 15 where it is darker than its middle."""
    ways = even_directions(HUES, ELEVATIONS)
    hue = np.arctan2(ways[..., 2], ways[..., 1])
    pulled = 15 * np.exp(-(((ways[..., 0] + 0.5) / 0.3) ** 2)) * (1 + 0.5 * np.cos(2 * hue))
    pulled[:, [0, -1]] = 0
    return RadialBoundary(centre=CENTRE, distances=40 - pulled)


@pytest.fixture(scope="module")
def outside():
    points = np.random.default_rng(4).uniform((0, -80, -80), (110, 80, 80), (3000, 3))
    return points[np.linalg.norm(points - CENTRE, axis=1) > 40.5]


def in_slice(points, hue):
    """Points turned into one hue."""
    chroma = np.hypot(points[:, 1], points[:, 2])
    return np.column_stack([points[:, 0], chroma * np.cos(hue), chroma * np.sin(hue)])


@pytest.mark.parametrize("row", [0, 7, 40])
def test_the_nearest_point_is_that_of_a_plain_search(outside, row):
    """Against 20 000 points of the hull's own outline, made by a plain walk round its corners."""
    boundary = invented_boundary()
    hull, hue = hue_hull(boundary), row / HUES * 2 * np.pi
    found = hull.nearest(in_slice(outside, hue))
    surface = boundary.surface()[row]
    profile = np.column_stack([np.hypot(surface[:, 1], surface[:, 2]), surface[:, 0]])
    corners = [profile[0]]
    for start in range(len(profile) - 1):  # gift wrapping: from each corner to the one that leaves all others to one side
        if np.array_equal(corners[-1], profile[start]):
            ways = profile[start + 1 :] - profile[start]
            corners.append(profile[start + 1 + int(np.argmin(np.round(np.arctan2(ways[:, 1], ways[:, 0]), 12)))])
    corners = np.array(corners)
    outline = np.concatenate([a + (b - a) * np.linspace(0, 1, 400)[:, None] for a, b in pairwise(corners)])
    place = np.column_stack([np.hypot(outside[:, 1], outside[:, 2]), outside[:, 0]])
    least = np.array([np.linalg.norm(outline - one, axis=1).min() for one in place])
    seen = np.column_stack([np.hypot(found[:, 1], found[:, 2]), found[:, 0]])
    np.testing.assert_allclose(np.linalg.norm(seen - place, axis=1), least, atol=0.02)


def test_no_distance_grows_and_the_hue_stays(outside):
    hull = hue_hull(invented_boundary())
    close = in_slice(outside, 0.3)
    beside = close + np.random.default_rng(5).normal(size=close.shape) * (0.3, 0.2, 0.062)
    first, second = hull.nearest(close), hull.nearest(beside)
    hue = np.arctan2(second[:, 2], second[:, 1]) - np.arctan2(beside[:, 2], beside[:, 1])
    assert np.abs(hue[np.hypot(second[:, 1], second[:, 2]) > 0.1]).max() < 1e-9
    stretched = np.linalg.norm(first - second, axis=1) / np.linalg.norm(close - beside, axis=1)
    assert stretched.max() < 1.6  # the slices of neighbouring hues differ; within one it is 1
    in_one = in_slice(beside, 0.3)
    stretched = np.linalg.norm(first - hull.nearest(in_one), axis=1) / np.linalg.norm(close - in_one, axis=1)
    assert stretched.max() < 1 + 1e-9


def test_points_of_the_hull_stay():
    boundary = invented_boundary()
    inside = CENTRE + (boundary.surface().reshape(-1, 3) - CENTRE) * 0.98
    np.testing.assert_allclose(hue_hull(boundary).nearest(inside), inside, atol=1e-9)


@pytest.mark.parametrize("tint", [(0.5, -1.5), (6.0, 8.0)])
def test_the_straight_axis_has_an_inverse_and_ends_in_the_darkest_colour(tint):
    axis = StraightAxis(darkest=12.0, top=17.0, tint=np.array(tint))
    points = np.random.default_rng(6).uniform((10, -15, -15), (25, 15, 15), (3000, 3))
    np.testing.assert_allclose(axis.bent(axis.straightened(points)), points, atol=1e-6)
    np.testing.assert_allclose(axis.bent(np.array([[12.0, 0, 0]])), [[12, *tint]], atol=1e-12)
    above = points[points[:, 0] > 17]
    np.testing.assert_array_equal(axis.bent(above), above)
