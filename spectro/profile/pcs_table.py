"""The colorimetric PCS-to-device table, fitted to round-trip error.

The node values are those with which interpolating the table gives the least error at points inside the gamut, faces and
edges included; nodes beyond the gamut may leave 0 to 1, and output curves clip. Nodes farther out take the nearest
printable colour. Reference: [Garcia-Gupta-2010].
"""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Any

import numpy as np

from spectro.colour.difference import delta_e_2000
from spectro.maths.conjugate_gradient import solve_conjugate_gradient
from spectro.maths.row_blocks import in_row_blocks
from spectro.maths.stencil import (
    InterpolationCells,
    diagonal_stencil,
    gram_stencil,
    interpolation_cells,
    roughness_stencil,
    stencil_pattern,
)
from spectro.profile.device_table import DeviceTable
from spectro.profile.grey_nodes import with_grey_nodes
from spectro.profile.inversion import Inverse, darkest_neutral, invert, invert_roughly
from spectro.profile.outside_colours import OutsideColours, look_up, outside_colours, touched_nodes, widened
from spectro.profile.spacing import LabSpacing, lab_spacing, moved_spacing
from spectro.records.arrays import AnyArray, BoolArray, FloatArray

LOWEST, HIGHEST = -1.0, 2.0  # range of node values; the output curves clip to 0 to 1
OUTPUT_ENTRIES = 1537  # so that 0 and 1 fall on entries
_POINTS = 220_000
_DARKENED = 80_000  # of them, with squared device values: dark colours fill few of the cube's points and many cells
_GREYED, _GREYED_SHARE = 30_000, 0.3  # of them, drawn to their mean: cells are small near grey too
_ROUGH_POINTS = 30_000
_PASSES = 4
_WORST = 93  # percentile of the errors inside from which points count more in the next pass
_MOST_EMPHASIS, _MOST_HUE_EMPHASIS = 10.0, 50.0  # a point's weight grows by these factors a pass at most
_HUE_WEIGHT = 14e-6  # of a squared degree outside, a squared device value inside counting 1 in the median
_TOLERANCE = 1e-5
_GREY_REACH, _GREYS_COUNT = 5.0, 6.0  # chroma; how much more greys count when nodes are placed
_NEUTRAL_POINTS, _NEUTRAL_WEIGHT = 2000, 1000.0  # greys show the smallest tint
_NEUTRAL_LEFT = 0.1  # distance left by inversion up to which a neutral colour counts as printable
_STEP = 0.01  # of device values, for sensitivities
_ROWS = 32768  # at a time
_ROUGHNESS = 1e-3
_SHADOW_POINTS = 6000
_SHADOW_CHROMA, _SHADOW_ABOVE = 8.0, 6.0  # Lab units
_PULL = 1e-2  # towards the nearest printable colour, at nodes that points touch and their neighbours
_HOLD_NEAR = 0.3  # the same, at the neighbours of nodes that points inside touch
_HOLD = 1.0  # the same, at all other nodes
_WHITE = 1.0005  # the paper's node: a little above 1, so that rounding cannot put ink on it


def sample_points(count: int, seed: int) -> FloatArray:
    """Return device values (count, 3): two thirds inside the cube, the rest on its faces, a quarter of those on edges."""
    random = np.random.default_rng(seed)
    device = random.random((count, 3))
    faces, edges = count // 3, count // 12
    for rows in (faces, edges):
        device[np.arange(rows), random.integers(0, 3, rows)] = random.integers(0, 2, rows)
    return device


def _filling_points() -> FloatArray:
    device = sample_points(_POINTS, seed=1)
    device[np.random.default_rng(5).permutation(_POINTS)[:_DARKENED]] **= 2
    rows = np.random.default_rng(6).permutation(_POINTS)[:_GREYED]
    grey = device[rows].mean(axis=1, keepdims=True)
    device[rows] = grey + (device[rows] - grey) * _GREYED_SHARE
    return device


def output_curve() -> AnyArray:
    """Return the output table (1537,), uint16, that takes node values from -1 to 2 to device values and clips them."""
    values = np.linspace(LOWEST, HIGHEST, OUTPUT_ENTRIES)
    return np.round(np.clip(values, 0, 1) * 65535).astype(np.uint16)


def encode_nodes(nodes: FloatArray) -> AnyArray:
    """Return node values, -1 to 2, as uint16 lattice entries of the same shape."""
    return np.round((np.clip(nodes, LOWEST, HIGHEST) - LOWEST) / (HIGHEST - LOWEST) * 65535).astype(np.uint16)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TableFit:
    """What is prepared of a fit: points inside (n) and outside (m) the gamut, how they count, and what steadies nodes."""

    inverse: Inverse
    spacing: LabSpacing
    device: FloatArray  # (n, 3)
    lab: FloatArray  # (n, 3)
    inside: Any  # sparse, (n, nodes): from node values to the points
    cells: InterpolationCells
    beyond: OutsideColours
    outside: Any  # sparse, (m, nodes)
    steady: FloatArray  # stencil
    pull: FloatArray  # (nodes,)
    printable: FloatArray  # (nodes, 3), what they are pulled to
    importance: FloatArray  # (n,)


def prepare_table_fit(inverse: Inverse, spacing: LabSpacing) -> TableFit:
    """Return what `fit_pcs_table` needs of a device table, prepared to be inverted, and a spacing."""
    table, grid = inverse.table, spacing.grid
    device = np.concatenate([_filling_points(), _neutral_device(inverse)])
    lab = table.evaluate(device)
    with ThreadPoolExecutor(1) as pool:
        sensitive = pool.submit(sensitivity, table, device)
        places = spacing.positions(lab)
        inside = look_up(grid, places)
        cells = interpolation_cells((grid,) * 3, places)
        beyond = outside_colours(inverse, spacing, lab, _shadows(inverse, seed=3), seed=2)
        steady, pull, _ = steadied(grid, touched_nodes(inside))
        importance = sensitive.result()
    importance[_POINTS:] *= _NEUTRAL_WEIGHT
    return TableFit(
        inverse=inverse,
        spacing=spacing,
        device=device,
        lab=lab,
        inside=inside,
        cells=cells,
        beyond=beyond,
        outside=look_up(grid, spacing.positions(beyond.lab)),
        steady=steady,
        pull=pull,
        printable=invert(inverse, spacing.node_lab())[0],
        importance=importance,
    )


def fit_pcs_table(fit: TableFit) -> FloatArray:
    """Return node values (grid, grid, grid, 3) of the colorimetric table that inverts a device table.

    Points inside the gamut count by how much ΔE00 an error of device values makes there; those that come back worst count
    more in each pass, so that the largest errors fall too. Points outside count by how far the hue of what is printed
    turns beyond a turn that is let pass, and very little by device values: the first cells beyond the surface hold colours
    on both sides of it, and what one side gains there the other loses.
    """
    table, grid, beyond = fit.inverse.table, fit.spacing.grid, fit.beyond
    filled = gram_stencil(fit.cells, fit.importance)
    pattern = stencil_pattern((filled != 0) | (fit.steady != 0))
    nodes, importance, emphasis = fit.printable, fit.importance, np.ones(len(beyond.lab))
    for remaining in reversed(range(_PASSES)):
        found = fit.outside @ nodes
        free = ~beyond.clipped_right(found)
        firm, hue = free * beyond.firm[:, None], free * beyond.hue_slopes
        aim = (hue * beyond.device).sum(axis=1)
        if remaining < _PASSES - 1:
            aim += np.clip((hue * found).sum(axis=1) - aim, -beyond.let_pass, beyond.let_pass)
        weight = _HUE_WEIGHT * emphasis
        shared = pattern.matrix(filled + fit.steady)
        right = fit.inside.T @ (importance[:, None] * fit.device) + fit.pull[:, None] * fit.printable
        right += fit.outside.T @ (firm * beyond.device + hue * (weight * aim)[:, None])
        nodes = solve_conjugate_gradient(
            _Normal(shared, fit.outside, firm, hue, weight), right, nodes, tolerance=_TOLERANCE, coupled=True
        )
        if remaining:
            error = delta_e_2000(fit.lab, table.evaluate(np.clip(fit.inside @ nodes, 0, 1)))
            turn = beyond.turns(fit.inverse, fit.outside @ nodes)
            importance = importance * np.clip(error / np.percentile(error, _WORST), 1, _MOST_EMPHASIS)
            filled = gram_stencil(fit.cells, importance)
            emphasis = emphasis * np.clip((turn / beyond.turn_aimed) ** 2, 1, _MOST_HUE_EMPHASIS)
    nodes = nodes.reshape(grid, grid, grid, 3)
    pin_white(nodes, fit.spacing)
    return nodes


class _Normal:
    """The matrix of the fit: one part alike for all channels, one by channel, and one of hue that couples the channels."""

    def __init__(self, shared: Any, outside: Any, firm: FloatArray, hue: FloatArray, weight: FloatArray) -> None:
        self._shared, self._outside, self._back = shared, outside, outside.T
        self._firm, self._hue, self._weight = firm, hue, weight[:, None]

    def __matmul__(self, nodes: FloatArray) -> FloatArray:
        found = self._outside @ nodes
        turned = (self._hue * found).sum(axis=1, keepdims=True)
        product: FloatArray = self._shared @ nodes + self._back @ (self._firm * found + self._hue * (self._weight * turned))
        return product

    def diagonal(self) -> FloatArray:
        own = self._back.power(2) @ (self._firm + self._weight * self._hue**2)
        diagonal: FloatArray = self._shared.diagonal()[:, None] + own
        return diagonal


def fitted_spacing(inverse: Inverse, grid: int) -> LabSpacing:
    """Return the spacing of the colorimetric table: nodes where a first, rough fit shows that they are wanted most."""
    table = inverse.table
    spacing = lab_spacing(table.lab.reshape(-1, 3), grid, darkest_neutral(inverse), outside=((1, 1), (2, 1)))
    device = sample_points(_ROUGH_POINTS, seed=4)
    lab = table.evaluate(device)
    places = spacing.positions(lab)
    inside, cells = look_up(grid, places), interpolation_cells((grid,) * 3, places)
    steady, pull, near = steadied(grid, touched_nodes(inside))
    nodes_lab = spacing.node_lab()
    printable = invert_roughly(inverse, nodes_lab)
    printable[near] = invert(inverse, nodes_lab[near])[0]  # the others are not looked at
    importance = sensitivity(table, device)
    stencil = gram_stencil(cells, importance) + steady
    shared = stencil_pattern(stencil != 0).matrix(stencil)
    right = inside.T @ (importance[:, None] * device) + pull[:, None] * printable
    nodes = solve_conjugate_gradient(shared, right, printable, tolerance=1e-3)
    error = delta_e_2000(lab, table.evaluate(np.clip(inside @ nodes, 0, 1)))
    grey = np.exp(-((np.hypot(lab[:, 1], lab[:, 2]) / _GREY_REACH) ** 2))
    return with_grey_nodes(inverse, moved_spacing(spacing, lab, error * (1 + _GREYS_COUNT * grey)))


def steadied(grid: int, touched: BoolArray) -> tuple[FloatArray, FloatArray, BoolArray]:
    """Return what keeps nodes steady that points do not settle: a stencil, its pull (nodes,), and nodes near points."""
    lattice = (grid,) * 3
    near = widened(touched.reshape(lattice)).ravel()
    pull = np.where(touched, _PULL, np.where(near, _HOLD_NEAR, _HOLD))
    steady = _ROUGHNESS * roughness_stencil(lattice) + diagonal_stencil(pull.reshape(lattice))
    return steady, pull, near


def _neutral_device(inverse: Inverse) -> FloatArray:
    """Return device values (n, 3) of neutral colours that can be printed, from the darkest to the paper, more of the dark."""
    lab = np.zeros((_NEUTRAL_POINTS, 3))
    darkest = inverse.table.lab[..., 0].min()
    lab[:, 0] = darkest + (100 - darkest) * np.linspace(0, 1, _NEUTRAL_POINTS) ** 2
    found, left = invert(inverse, lab)
    neutral: FloatArray = found[left < _NEUTRAL_LEFT]
    return neutral


def _shadows(inverse: Inverse, seed: int) -> tuple[FloatArray, FloatArray]:
    """Return Lab (n, 3) of greys and near greys too dark to be printed, and the device values of the nearest colours.

    Pictures are full of them: an unprintable black must come out as the black of the printer, without a tint.
    """
    random = np.random.default_rng(seed)
    lab = random.normal(size=(_SHADOW_POINTS, 3)) * _SHADOW_CHROMA
    lab[:, 0] = random.uniform(0, inverse.table.lab[..., 0].min() + _SHADOW_ABOVE, _SHADOW_POINTS)
    lab[::2, 1:] = 0
    found, left = invert(inverse, lab)
    return lab[left > _NEUTRAL_LEFT], found[left > _NEUTRAL_LEFT]


def sensitivity(table: DeviceTable, device: FloatArray) -> FloatArray:
    """Return the squared sensitivity (n,), ΔE00 per device value, over its median, within 1/20 and 20."""

    def block(rows: FloatArray) -> FloatArray:
        lab, slopes = table.evaluate_with_slopes(rows, table.lab)
        room = (np.minimum(rows + _STEP, 1) - np.maximum(rows - _STEP, 0)) / 2  # faces count less: half their errors clip
        steps = (room[:, axis, None] * slopes[:, :, axis] for axis in range(rows.shape[1]))
        return np.asarray(sum(delta_e_2000(lab + step, lab - step) ** 2 for step in steps))

    squared = np.concatenate(in_row_blocks(block, (np.clip(device, 1e-6, 1 - 1e-6),), _ROWS))
    share: FloatArray = np.clip(squared / np.median(squared), 0.05, 20)
    return share


def pin_white(nodes: FloatArray, spacing: LabSpacing) -> None:
    """Make sure, in place, that the paper's own node calls for no ink."""
    white = np.round(spacing.positions(np.array([[100.0, 0.0, 0.0]]))[0]).astype(np.int64)
    nodes[tuple(white)] = np.maximum(nodes[tuple(white)], _WHITE)
