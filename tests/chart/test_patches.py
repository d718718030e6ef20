"""Which patches are chosen: the promised ones are in, none twice, all deterministic."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from spectro.chart.generic_printer import predict_lab
from spectro.chart.patches import (
    choose_patches,
    corner_steps,
    edge_steps,
    grey_steps,
    near_grey_steps,
    quotas,
    ramp_steps,
)
from spectro.chart.recipe import read_recipe
from spectro.chart.spread import even_points, fill_distance
from spectro.colour.difference import delta_e_2000
from spectro.colour.lab import xyz_to_lab
from spectro.colour.tristimulus import tristimulus
from spectro.colour.weights import tristimulus_weights
from spectro.records.chart import ChartRecipe


@pytest.mark.parametrize("count", [24, 25, 37, 60, 118, 300, 918, 2500])
def test_any_count_is_met_and_corners_and_greys_are_in(count: int, changed: Callable[..., ChartRecipe]) -> None:
    """Printed patches are exactly as many as asked; no patch is there twice but by repeats."""
    choice = choose_patches(changed(patches=count))
    rows = {tuple(row) for row in choice.steps.tolist()}
    assert choice.times.sum() == count
    assert len(rows) == len(choice.steps)
    assert {tuple(row) for row in corner_steps(3).tolist()} <= rows
    assert sum(red == green == blue for red, green, blue in rows) >= min(5, quotas(changed(patches=count)).neutral)
    assert choice.stanzas.count("spread") >= count // 3


def test_stanzas_give_what_the_recipe_asks() -> None:
    """A chart with room enough has every stanza in full."""
    for name in ("rgb-a4-strip", "rgb-a4-patch", "rgb-letter-strip"):
        assert not quotas(replace(read_recipe(name), patches=918, pages=None)).scaled
    recipe = replace(read_recipe("rgb-a4-strip"), patches=918, pages=None)
    choice = choose_patches(recipe)
    rows = {tuple(row) for row in choice.steps.tolist()}
    for steps in (grey_steps(32), near_grey_steps(48, 0.08), ramp_steps(9), edge_steps(4)):
        assert {tuple(row) for row in steps.tolist()} <= rows
    assert (choice.times == 2).sum() == 12
    white = int(np.flatnonzero((choice.steps == 255).all(axis=1))[0])
    assert choice.times[white] == 2


def test_greys_ramps_and_edges_lie_where_their_names_say() -> None:
    """Neutral patches are equal in all channels; ramps move one channel; edges move one channel between ends."""
    greys = grey_steps(9)
    assert greys[0].tolist() == [0, 0, 0]
    assert greys[-1].tolist() == [255, 255, 255]
    assert (np.ptp(greys, axis=1) == 0).all()
    assert ((ramp_steps(5) != 255).sum(axis=1) == 1).all()
    inner = (edge_steps(3) % 255 != 0).sum(axis=1)
    assert (inner == 1).all()
    assert len(np.unique(edge_steps(3), axis=0)) == 36


def test_near_greys_keep_their_distance_from_the_ramp() -> None:
    """Distances from the neutral ramp are the offset and half of it, to a rounding step."""
    device = near_grey_steps(40, 0.1) / 255
    distance = np.linalg.norm(device - device.mean(axis=1, keepdims=True), axis=1)
    assert np.allclose(distance[::2], 0.1, atol=1 / 255)
    assert np.allclose(distance[1::2], 0.05, atol=1 / 255)


def test_even_points_fill_the_cube() -> None:
    """Every one of 512 cells of the cube holds between half and twice its share of points."""
    points = even_points(16384, 3, 11)
    cells, _ = np.histogramdd(points, bins=8, range=[(0, 1)] * 3)
    assert cells.min() > 16
    assert cells.max() < 64


def test_fill_distance_is_that_of_brute_force() -> None:
    """Corners alone leave the middle of the cube farthest away: half the diagonal."""
    assert fill_distance(corner_steps(3)) == pytest.approx(np.sqrt(3) / 2, abs=0.03)
    assert fill_distance(np.zeros((1, 3), dtype=np.int64)) == pytest.approx(np.sqrt(3))


def test_more_patches_leave_smaller_holes(changed: Callable[..., ChartRecipe]) -> None:
    """Fill distance falls with the count, and beats as many random patches."""
    distances = [fill_distance(choose_patches(changed(patches=count)).steps) for count in (60, 300, 1500)]
    assert distances == sorted(distances, reverse=True)
    random = np.random.default_rng(0).integers(0, 256, (1500, 3))
    assert distances[-1] < 0.8 * fill_distance(random)


def test_the_generic_printer_darkens_with_ink() -> None:
    """Less of any channel is never lighter, and equal values stay near neutral."""
    grid = np.linspace(0, 1, 9)
    device = np.stack(np.meshgrid(grid, grid, grid, indexing="ij"), axis=-1)
    lightness = predict_lab(device)[..., 0]
    for axis in range(3):
        assert (np.diff(lightness, axis=axis) > 0).all()
    neutral = predict_lab(np.repeat(grid[:, None], 3, axis=1))
    assert np.abs(neutral[:, 1:]).max() < 12


@pytest.mark.source("Balci-2025", "photo inkjet, matte paper, chart A, M0")
def test_the_generic_printer_tells_real_colours_apart(check_data: Path) -> None:
    """On a real inkjet predicted differences of patches follow the measured ones: correlation of ΔE00 above 0.9."""
    lines = (check_data / "photo-inkjet-matte" / "chart-a-2033-m0.txt").read_text("utf-8").splitlines()
    rows = lines[lines.index("BEGIN_DATA") + 1 : lines.index("END_DATA")]
    numbers = np.array([[float(cell) for cell in row.split()] for row in rows])
    predicted = predict_lab(numbers[:, 1:4] / 255)
    measured = xyz_to_lab(tristimulus(numbers[:, 4:], tristimulus_weights(np.arange(380.0, 731.0, 10.0))))
    pairs = np.random.default_rng(0).integers(0, len(numbers), (4000, 2))
    seen = delta_e_2000(measured[pairs[:, 0]], measured[pairs[:, 1]])
    told = delta_e_2000(predicted[pairs[:, 0]], predicted[pairs[:, 1]])
    assert np.corrcoef(seen, told)[0, 1] > 0.9
