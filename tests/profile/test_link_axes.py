"""Axes of a device link's table: curves that follow what one ink alone does."""

import numpy as np
import pytest

from spectro.profile.link_axes import ENTRIES, AxisSettings, even_amounts, link_axes

GRID = 17
SHAPES = {  # best amounts of the target's ink for even amounts of the source's. Invented
    "gains": even_amounts() ** 0.6,
    "loses": even_amounts() ** 1.6,
    "full early": np.minimum(even_amounts() * 1.25, 1.0),
    "never full": 0.7 * even_amounts() ** 0.8,
    "with a bend": np.where(even_amounts() < 0.3, even_amounts() * 1.8, 0.54 + (even_amounts() - 0.3) * 0.46 / 0.7),
}


@pytest.fixture(params=SHAPES)
def best(request):
    return SHAPES[request.param]


@pytest.mark.source("ICC.1-2022", "tables of curves: 16 bits, from the first entry to the last")
def test_curves_rise_from_none_to_full_in_16_bits(best):
    curve = link_axes(best[None], GRID).curves[0]
    assert len(curve) == ENTRIES
    assert (curve[0], curve[-1]) == (0.0, 1.0)
    assert (np.diff(curve) > 0).all()
    assert np.abs(curve * 65535 - np.round(curve * 65535)).max() < 1e-6


def test_straight_lines_between_nodes_are_the_ink_alone(best):
    """Reckoned here: values at the nodes, joined along the axis, against the curve itself; an even axis is off by more."""
    axes = link_axes(best[None], GRID)
    nodes = np.interp(axes.nodes()[0], even_amounts(), best)
    off = np.abs(np.interp(axes.places(0, even_amounts()), np.arange(GRID), nodes) - best)
    assert off.max() < 0.006
    assert off.mean() < 0.001
    even = np.interp(np.linspace(0, 1, GRID), even_amounts(), best)
    plain = np.abs(np.interp(even_amounts(), np.linspace(0, 1, GRID), even) - best)
    assert off.max() <= max(plain.max(), 1e-3)


def test_a_node_lies_where_there_is_no_more_to_give():
    nodes = link_axes(SHAPES["full early"][None], GRID).nodes()[0]
    assert np.abs(nodes - 0.8).min() < 1e-3


def test_two_nodes_lie_close_to_none(best):
    settings = AxisSettings()
    nodes = link_axes(best[None], GRID, settings).nodes()[0]
    assert (nodes[1:3] <= np.array(settings.first) + 0.01).all()
    assert np.diff(nodes).max() < 0.15


def test_an_ink_that_the_target_never_prints_has_even_nodes_but_two():
    nodes = link_axes(np.zeros((1, ENTRIES)), GRID).nodes()[0]
    assert np.ptp(np.diff(nodes[2:])) < 1e-3
