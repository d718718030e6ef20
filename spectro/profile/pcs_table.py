"""A PCS-to-device table, fitted to what it should send at points of several families.

The node values x, one a channel, are those that make

    sum over points of w |A x - s|²  +  r |D² x|²  +  sum over nodes of h |x - x0|²

least: A interpolates the table linearly at the points of all families (`fit_points.py`), w are their weights, and s what they
want there: a channel that is at an end may go beyond it, for the output curves clip, so that s is the nearest value that
clipping makes right. D² x are the second differences along each axis, and x0 the device values of the nodes' own colours, which
hold those nodes that no point settles. s and w follow from what the fit before has found: the weights of points that come
back badly grow. Reference: [Garcia-Gupta-2010].
"""

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy import sparse

from spectro.colour.difference import delta_e_2000
from spectro.maths.conjugate_gradient import solve_conjugate_gradient
from spectro.maths.lattice import corner_weights
from spectro.maths.stencil import diagonal_stencil, gram_stencil, interpolation_cells, roughness_stencil, stencil_pattern
from spectro.profile.device_table import DeviceTable
from spectro.profile.fit_points import (
    FitPoints,
    PointSettings,
    cells_held,
    corners_of,
    inside_points,
    neutral_points,
    outside_points,
    sample_points,
    sensitivity,
    shadow_points,
    widened,
)
from spectro.profile.grey_nodes import with_grey_nodes
from spectro.profile.inversion import Inverse, darkest_neutral, invert, invert_roughly
from spectro.profile.outside_rule import OutsideRule
from spectro.profile.spacing import LabSpacing, lab_spacing, moved_spacing
from spectro.records.arrays import AnyArray, BoolArray, FloatArray

LOWEST, HIGHEST = -1.0, 2.0  # range of node values; the output curves clip to 0 to 1
OUTPUT_ENTRIES = 1537  # so that 0 and 1 fall on entries
_WHITE = 1.0005  # the paper's node: a little above 1, so that rounding cannot put ink on it
_ROUGH_POINTS = 30_000
_ROUGH_TOLERANCE = 1e-3
_GREY_REACH, _GREYS_COUNT = 5.0, 6.0  # chroma; how much more greys count when nodes are placed


@dataclass(frozen=True, slots=True, kw_only=True)
class FitSettings:
    """What steadies a fit and how long it goes on. Ours, benchmarks/accuracy.md."""

    passes: int = 3
    roughness: float = 3e-3
    pull: float = 1e-2  # towards the nodes' own device values, at nodes that points touch
    hold_near: float = 0.3  # the same, at their neighbours
    hold: float = 1.0  # the same, at all others
    tolerance: float = 1e-5


def fit_table(
    table: DeviceTable, spacing: LabSpacing, families: Sequence[FitPoints], own: FloatArray, settings: FitSettings
) -> FloatArray:
    """Return node values (grid, grid, grid, 3) of a table from the PCS to the device values of a device table.

    own: (nodes, 3), device values of the nodes' own colours. The objective stands at the head of this file.
    """
    lab, device, weight = (np.concatenate([getattr(one, name) for one in families]) for name in ("lab", "device", "weight"))
    ends = np.cumsum([len(one.lab) for one in families])[:-1]
    places = spacing.positions(lab)
    points, cells = look_up(spacing.grid, places), interpolation_cells((spacing.grid,) * 3, places)
    steady, pull = _steadied(spacing.grid, _touched(points), settings)
    wanted, nodes, pattern = table.evaluate(device), own, None
    found = points @ nodes
    for remaining in reversed(range(settings.passes)):
        aims = np.concatenate([one.aims(part) for one, part in zip(families, np.split(found, ends), strict=True)])
        stencil = gram_stencil(cells, weight) + steady
        pattern = pattern or stencil_pattern(stencil != 0)
        right = points.T @ (weight[:, None] * aims) + pull[:, None] * own
        nodes = solve_conjugate_gradient(pattern.matrix(stencil), right, nodes, tolerance=settings.tolerance)
        if remaining:
            found = points @ nodes
            error = np.split(delta_e_2000(wanted, table.evaluate(np.clip(found, 0, 1))), ends)
            weight = weight * np.concatenate([one.emphasis(part) for one, part in zip(families, error, strict=True)])
    nodes = nodes.reshape(*[spacing.grid] * 3, 3)
    pin_white(nodes, spacing)
    return nodes


def fit_colorimetric(rule: OutsideRule, spacing: LabSpacing, points: PointSettings | None = None) -> FloatArray:
    """Return node values (grid, grid, grid, 3) of the colorimetric table: the inverse inside, the rule outside."""
    points, inverse = points or PointSettings(), rule.inverse
    with ThreadPoolExecutor(1) as pool:
        nodes = pool.submit(rule.device, spacing.node_lab())
        inside = inside_points(inverse.table, points)
        held = cells_held(spacing, inside.lab)
        families = (
            inside,
            neutral_points(inverse, points),
            shadow_points(rule, points),
            outside_points(rule, spacing, held, points),
        )
        own, _ = nodes.result()
    return fit_table(inverse.table, spacing, families, own, FitSettings())


def look_up(grid: int, positions: FloatArray) -> Any:
    """Return the sparse matrix (n, nodes) that interpolates the values of grid ** 3 nodes at positions (n, 3), node units."""
    indices, weights = corner_weights((grid,) * 3, positions)
    rows = np.arange(0, indices.size + 1, indices.shape[1], dtype=np.int32)
    return sparse.csr_array((weights.ravel(), indices.ravel().astype(np.int32), rows), shape=(len(positions), grid**3))


def _touched(points: Any) -> BoolArray:
    """Return which nodes (nodes,) count at all in a matrix of `look_up`."""
    touched: BoolArray = points.T @ np.ones(points.shape[0]) > 1e-3
    return touched


def _steadied(grid: int, touched: BoolArray, settings: FitSettings) -> tuple[FloatArray, FloatArray]:
    """Return what keeps nodes steady that points do not settle: a stencil, and its pull (nodes,)."""
    near = widened(touched.reshape((grid,) * 3)).ravel()
    pull = np.where(touched, settings.pull, np.where(near, settings.hold_near, settings.hold))
    return settings.roughness * roughness_stencil((grid,) * 3) + diagonal_stencil(pull.reshape((grid,) * 3)), pull


def fitted_spacing(inverse: Inverse, grid: int) -> LabSpacing:
    """Return the spacing of the colorimetric table: nodes where a first, rough fit shows that they are wanted most."""
    table = inverse.table
    spacing = lab_spacing(table.lab.reshape(-1, 3), grid, darkest_neutral(inverse), outside=((1, 1), (2, 1)))
    device = sample_points(_ROUGH_POINTS, seed=4)
    lab = table.evaluate(device)
    near = widened(corners_of(cells_held(spacing, lab))).ravel()
    nodes_lab = spacing.node_lab()
    own = invert_roughly(inverse, nodes_lab)
    own[near] = invert(inverse, nodes_lab[near])[0]  # the others are not looked at
    family = FitPoints(
        lab=lab, device=device, weight=sensitivity(table, device), room=0.0, tolerated=None, worst=100.0, most=1.0
    )
    nodes = fit_table(table, spacing, (family,), own, FitSettings(passes=1, roughness=1e-3, tolerance=_ROUGH_TOLERANCE))
    error = delta_e_2000(lab, table.evaluate(np.clip(look_up(grid, spacing.positions(lab)) @ nodes.reshape(-1, 3), 0, 1)))
    grey = np.exp(-((np.hypot(lab[:, 1], lab[:, 2]) / _GREY_REACH) ** 2))
    return with_grey_nodes(inverse, moved_spacing(spacing, lab, error * (1 + _GREYS_COUNT * grey)))


def output_curve() -> AnyArray:
    """Return the output table (1537,), uint16, that takes node values from -1 to 2 to device values and clips them."""
    values = np.linspace(LOWEST, HIGHEST, OUTPUT_ENTRIES)
    return np.round(np.clip(values, 0, 1) * 65535).astype(np.uint16)


def encode_nodes(nodes: FloatArray) -> AnyArray:
    """Return node values, -1 to 2, as uint16 lattice entries of the same shape."""
    return np.round((np.clip(nodes, LOWEST, HIGHEST) - LOWEST) / (HIGHEST - LOWEST) * 65535).astype(np.uint16)


def pin_white(nodes: FloatArray, spacing: LabSpacing) -> None:
    """Make sure, in place, that the paper's own node calls for no ink."""
    white = np.round(spacing.positions(np.array([[100.0, 0.0, 0.0]]))[0]).astype(np.int64)
    nodes[tuple(white)] = np.maximum(nodes[tuple(white)], _WHITE)
