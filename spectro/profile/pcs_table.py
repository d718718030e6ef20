"""The colorimetric PCS-to-device table, fitted to round-trip error.

The node values are those with which interpolating the table gives the least error at points inside the gamut, faces and
edges included; nodes beyond the gamut may leave 0 to 1, and output curves clip. Nodes farther out take the nearest
printable colour. Reference: [Garcia-Gupta-2010].
"""

from typing import Any

import numpy as np
from scipy import ndimage, sparse

from spectro.colour.difference import delta_e_2000
from spectro.maths.conjugate_gradient import solve_conjugate_gradient
from spectro.maths.roughness import roughness_matrix
from spectro.profile.device_table import DeviceTable
from spectro.profile.inversion import Inverse, invert
from spectro.profile.spacing import LabSpacing
from spectro.records.arrays import AnyArray, BoolArray, FloatArray

LOWEST, HIGHEST = -1.0, 2.0  # range of node values; the output curves clip to 0 to 1
OUTPUT_ENTRIES = 1537  # so that 0 and 1 fall on entries
_POINTS = 160_000
_PASSES = 3
_MOST_EMPHASIS = 10.0  # a point's weight grows by this factor a pass at most
_NEUTRAL_POINTS, _NEUTRAL_WEIGHT = 2000, 300.0  # greys show the smallest tint
_NEUTRAL_LEFT = 0.02  # distance left by inversion up to which a neutral colour counts as printable
_STEP = 0.01  # of device values, for sensitivities
_ROUGHNESS = 1e-3
_OUTSIDE_WEIGHT = 0.02  # of a point beyond the surface, one inside counting 1 in the median
_SHADOW_POINTS, _SHADOW_WEIGHT = 6000, 1.0
_SHADOW_CHROMA, _SHADOW_ABOVE = 8.0, 6.0  # Lab units
_BEYOND_POINTS = 30_000
_BEYOND_REACH = 25.0  # Lab units from the surface
_BEYOND_LEFT = 0.3  # distance left by inversion from which a colour counts as outside
_PULL = 1e-4  # towards the nearest printable colour, at nodes that points touch and their neighbours
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


def output_curve() -> AnyArray:
    """Return the output table (1537,), uint16, that takes node values from -1 to 2 to device values and clips them."""
    values = np.linspace(LOWEST, HIGHEST, OUTPUT_ENTRIES)
    return np.round(np.clip(values, 0, 1) * 65535).astype(np.uint16)


def encode_nodes(nodes: FloatArray) -> AnyArray:
    """Return node values, -1 to 2, as uint16 lattice entries of the same shape."""
    return np.round((np.clip(nodes, LOWEST, HIGHEST) - LOWEST) / (HIGHEST - LOWEST) * 65535).astype(np.uint16)


def fit_pcs_table(inverse: Inverse, spacing: LabSpacing) -> FloatArray:
    """Return node values (grid, grid, grid, 3) of the colorimetric table that inverts a device table, prepared for it.

    Points inside the gamut count by how much ΔE00 an error of device values makes there; those that come back worst count
    more in each pass, so that the largest errors fall too. Points just outside count little, and only in channels that
    clipping does not bring to the nearest printable colour: they keep the hue of what lies beyond the surface.
    """
    table, grid = inverse.table, spacing.grid
    device = np.concatenate([sample_points(_POINTS, seed=1), _neutral_device(inverse)])
    lab = table.evaluate(device)
    inside, touched = _look_up(spacing, lab)
    beyond, wanted = _beyond(inverse, seed=2)
    shadows, wanted_shadows = _shadows(inverse, seed=3)
    firm = np.repeat([_OUTSIDE_WEIGHT, _SHADOW_WEIGHT], [len(beyond), len(shadows)])[:, None]
    beyond, wanted = np.concatenate([beyond, shadows]), np.concatenate([wanted, wanted_shadows])
    outside, _ = _look_up(spacing, beyond)
    near = ndimage.binary_dilation(touched.reshape((grid,) * 3), np.ones((3, 3, 3))).ravel()

    printable, _ = invert(inverse, spacing.node_lab())
    pull = np.where(near, _PULL, _HOLD)
    steady = _ROUGHNESS * roughness_matrix((grid,) * 3) + sparse.diags_array(pull)
    importance = _importance(table, device)
    importance[_POINTS:] *= _NEUTRAL_WEIGHT
    transposed = sparse.csr_array(inside.T)
    nodes = printable
    for remaining in reversed(range(_PASSES)):
        found = outside @ nodes
        clipped_right = ((wanted <= 0) & (found < 0)) | ((wanted >= 1) & (found > 1))
        weight = np.where(clipped_right, 0.0, firm)
        shared = sparse.csr_array(transposed @ (sparse.diags_array(importance) @ inside) + steady)
        right = transposed @ (importance[:, None] * device) + pull[:, None] * printable + outside.T @ (weight * wanted)
        nodes = solve_conjugate_gradient(_Normal(shared, outside, weight), right, nodes)
        if remaining:
            error = delta_e_2000(lab, table.evaluate(np.clip(inside @ nodes, 0, 1)))
            importance = importance * np.clip(error / np.percentile(error, 90), 1, _MOST_EMPHASIS)
    nodes = nodes.reshape(grid, grid, grid, 3)
    pin_white(nodes, spacing)
    return nodes


class _Normal:
    """The matrix of the fit: one part for all channels, one with weights (n, channels) of its own."""

    def __init__(self, shared: Any, outside: Any, weight: FloatArray) -> None:
        self._shared, self._outside, self._weight = shared, outside, weight
        self._back = sparse.csr_array(outside.T)

    def __matmul__(self, nodes: FloatArray) -> FloatArray:
        product: FloatArray = self._shared @ nodes + self._back @ (self._weight * (self._outside @ nodes))
        return product

    def diagonal(self) -> FloatArray:
        diagonal: FloatArray = self._shared.diagonal()[:, None] + self._back.power(2) @ self._weight
        return diagonal


def _neutral_device(inverse: Inverse) -> FloatArray:
    """Return device values (n, 3) of neutral colours that can be printed, from the darkest to the paper."""
    lab = np.zeros((_NEUTRAL_POINTS, 3))
    lab[:, 0] = np.linspace(inverse.table.lab[..., 0].min(), 100, _NEUTRAL_POINTS)
    found, left = invert(inverse, lab)
    neutral: FloatArray = found[left < _NEUTRAL_LEFT]
    return neutral


def _look_up(spacing: LabSpacing, lab: FloatArray) -> tuple[Any, BoolArray]:
    """Return the sparse matrix (n, nodes) that interpolates node values at Lab (n, 3), and which nodes it touches."""
    indices, weights = spacing.weights(lab)
    rows = np.arange(0, indices.size + 1, indices.shape[1])
    matrix = sparse.csr_array((weights.ravel(), indices.ravel(), rows), shape=(len(lab), spacing.grid**3))
    return matrix, np.bincount(indices.ravel(), weights.ravel(), minlength=spacing.grid**3) > 1e-3


def _beyond(inverse: Inverse, seed: int) -> tuple[FloatArray, FloatArray]:
    """Return Lab (n, 3) just outside the gamut and the device values (n, 3) of the nearest printable colours."""
    random = np.random.default_rng(seed)
    device = random.random((_BEYOND_POINTS, 3))
    device[np.arange(_BEYOND_POINTS), random.integers(0, 3, _BEYOND_POINTS)] = random.integers(0, 2, _BEYOND_POINTS)
    surface = inverse.table.evaluate(device)
    outwards = surface - np.array([50.0, 0.0, 0.0])
    outwards /= np.linalg.norm(outwards, axis=1, keepdims=True) + 1e-9
    reach = _BEYOND_REACH * random.random((_BEYOND_POINTS, 1))
    lab = surface + reach * (outwards + 0.2 * random.normal(size=surface.shape))
    lab[:, 0] = np.clip(lab[:, 0], 0, 100)
    found, left = invert(inverse, lab)
    return lab[left > _BEYOND_LEFT], found[left > _BEYOND_LEFT]


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


def _importance(table: DeviceTable, device: FloatArray) -> FloatArray:
    """Return the squared sensitivity (n,), ΔE00 per device value, over its median, within 1/20 and 20."""
    squared = np.zeros(len(device))
    for axis in range(device.shape[1]):
        step = np.zeros(device.shape[1])
        step[axis] = _STEP
        ahead, behind = (table.evaluate(np.clip(device + sign * step, 0, 1)) for sign in (1, -1))
        squared += delta_e_2000(ahead, behind) ** 2
    return np.clip(squared / np.median(squared), 0.05, 20)


def pin_white(nodes: FloatArray, spacing: LabSpacing) -> None:
    """Make sure, in place, that the paper's own node calls for no ink."""
    white = np.round(spacing.positions(np.array([[100.0, 0.0, 0.0]]))[0]).astype(np.int64)
    nodes[tuple(white)] = np.maximum(nodes[tuple(white)], _WHITE)
