"""Ink charts: the promised patches are in, the ink limit holds everywhere, the same recipe gives the same chart."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from spectro.chart.generic_printer import predict_ink_lab
from spectro.chart.ink_patches import (
    ink_edge_points,
    ink_grey_points,
    ink_near_grey_points,
    ink_ramp_points,
    overprint_points,
    solid_points,
)
from spectro.chart.ink_spread import ink_fill_distance, limited_steps, spread_inks
from spectro.chart.patches import choose_patches
from spectro.chart.recipe import recipe_from_table
from spectro.colour.difference import delta_e_2000
from spectro.colour.lab import xyz_to_lab
from spectro.colour.tristimulus import tristimulus
from spectro.colour.weights import tristimulus_weights

CMYK = ("cyan", "magenta", "yellow", "black")
SIX = [*CMYK, "orange", "green"]
EIGHT = [*SIX, "violet", "light black"]


@pytest.mark.parametrize("channels", ["CMYK", SIX, EIGHT, ["black"], ["cyan", "black"], ["magenta"]])
@pytest.mark.parametrize("count", [24, 61, 400])
def test_any_count_is_met_below_the_limit(channels: Any, count: int, table: dict[str, Any]) -> None:
    """Printed patches are exactly as many as asked, none above the total area; paper and solids are in."""
    table |= {"channels": channels, "patches": count, "total_area": 240, "overprints": {"inks": 3, "steps": 2}}
    choice = choose_patches(recipe_from_table(table, "test.toml"))
    inks = choice.device.shape[1]
    assert choice.times.sum() == count
    assert len(np.unique(choice.device, axis=0)) == len(choice.device)
    assert choice.steps.sum(axis=1).max() <= 240 / 100 * 255
    held = {tuple(row) for row in choice.steps.tolist()}
    assert {tuple(row) for row in (solid_points(inks) * 255).astype(int).tolist()} <= held


def test_overprints_are_combinations_of_inks() -> None:
    """All pairs, triples and the four of CMYK at full and half tone; fewer inks first."""
    points = overprint_points(4, 2, 4)
    assert len(points) == 2 * (6 + 4 + 1)
    assert [int((row > 0).sum()) for row in points] == sorted(int((row > 0).sum()) for row in points)
    assert set(np.unique(points)) == {0, 0.5, 1}


def test_edges_stay_below_the_limit_and_move_one_ink() -> None:
    """Every point has exactly one ink between its ends and two others at most under 300 percent."""
    points = ink_edge_points(3, 4, 300)
    inner = (points > 0) & (points < 1)
    assert (inner.sum(axis=1) == 1).all()
    assert points.sum(axis=1).max() < 3
    assert len(np.unique(points, axis=0)) == len(points) == 3 * 4 * (3 + 3)


def test_ramps_move_one_ink_on_bare_paper() -> None:
    """One ink at a time, no ends."""
    points = ink_ramp_points(4, 3)
    assert ((points > 0).sum(axis=1) == 1).all()
    assert (points < 1).all()
    assert len(points) == 12


@pytest.mark.parametrize("channels", [CMYK, tuple(SIX), ("cyan", "magenta", "yellow")])
def test_greys_look_grey(channels: tuple[str, ...]) -> None:
    """On the generic printer balanced greys and black stay within a chroma of 16; near greys lie around them."""
    lab = predict_ink_lab(ink_grey_points(24, channels), channels)
    assert np.hypot(lab[:, 1], lab[:, 2]).max() < 16
    near = ink_near_grey_points(30, 0.1, channels)
    assert near.shape == (30, len(channels))
    others = [index for index, name in enumerate(channels) if name not in CMYK]
    assert (near[:, others] == 0).all()


@settings(max_examples=50, deadline=None)
@given(st.integers(1, 8), st.integers(100, 800), st.integers(0, 2**32))
def test_limited_steps_keep_the_limit_and_what_is_below_it(inks: int, limit: int, seed: int) -> None:
    """No row is above the limit; rows below it are only rounded; proportions stay to a step or two."""
    points = np.random.default_rng(seed).random((50, inks))
    steps = limited_steps(points, limit)
    assert steps.sum(axis=1).max() <= limit / 100 * 255
    below = points.sum(axis=1) < limit / 100 - inks / 255
    np.testing.assert_array_equal(steps[below], np.rint(points[below] * 255))
    total = points.sum(axis=1, keepdims=True)
    scaled = points * np.minimum(1, limit / 100 / total) * 255
    assert np.abs(steps - scaled).max() < 4


def test_spread_inks_fill_holes_and_repeat() -> None:
    """Distinct, deterministic, below the limit, and a smaller hole than as many random patches leave."""

    def predict(device: np.ndarray) -> np.ndarray:
        return predict_ink_lab(device, CMYK)

    paper = np.zeros((1, 4), dtype=np.int64)
    first = spread_inks(paper, 300, 5, 300, 0.0, predict)
    np.testing.assert_array_equal(first, spread_inks(paper, 300, 5, 300, 0.0, predict))
    assert len(np.unique(first, axis=0)) == 300
    random = limited_steps(np.random.default_rng(0).random((300, 4)), 300)
    assert ink_fill_distance(first / 255, 300) < 0.85 * ink_fill_distance(random / 255, 300)


def test_grey_charts_use_all_steps_and_then_repeat(table: dict[str, Any]) -> None:
    """A single channel has 256 values; a longer chart prints them again."""
    table |= {"channels": "grey", "patches": 600, "repeats": {}}
    choice = choose_patches(recipe_from_table(table, "test.toml"))
    assert len(choice.device) == 256
    assert choice.times.sum() == 600
    assert choice.times.min() >= 2


@pytest.mark.source("FOGRA51", "1617 patches, spectra")
def test_the_generic_inks_tell_real_colours_apart(check_data: Path) -> None:
    """On offset predicted differences of patches follow the measured ones: correlation of ΔE00 above 0.85."""
    lines = (check_data / "offset-coated-fogra51" / "fogra51-spectral.txt").read_text("utf-8").splitlines()
    names = lines[lines.index("BEGIN_DATA_FORMAT") + 1].split()
    rows = [line.split() for line in lines[lines.index("BEGIN_DATA") + 1 : lines.index("END_DATA")]]
    cells = {name: [row[column] for row in rows] for column, name in enumerate(names)}
    device = np.array([[float(cell) for cell in cells[f"CMYK_{ink}"]] for ink in "CMYK"]).T / 100
    bands = [name for name in names if name[-3:].isdigit() and 380 <= int(name[-3:]) <= 730]
    spectra = np.array([[float(cell) for cell in cells[name]] for name in bands]).T
    measured = xyz_to_lab(tristimulus(spectra, tristimulus_weights(np.array([float(name[-3:]) for name in bands]))))
    predicted = predict_ink_lab(device, CMYK)
    pairs = np.random.default_rng(0).integers(0, len(device), (4000, 2))
    seen = delta_e_2000(measured[pairs[:, 0]], measured[pairs[:, 1]])
    told = delta_e_2000(predicted[pairs[:, 0]], predicted[pairs[:, 1]])
    assert np.corrcoef(seen, told)[0, 1] > 0.85
