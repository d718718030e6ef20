"""Device values of PCS colours: the inverse of a device table, for all colours at once.

A colour outside the gamut goes to the point of the gamut that is nearest in the edge space, whose hue lines are straight, a
difference of hue counting more than one of lightness or chroma.
"""

from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from spectro.colour.hue_straight import lab_to_edge_space
from spectro.maths.lattice import n_linear
from spectro.maths.row_blocks import in_row_blocks
from spectro.profile.device_table import DeviceTable
from spectro.profile.newton_steps import STEPS, Metric, nearest_printable
from spectro.records.arrays import FloatArray

HUE_WEIGHT = 8.0  # one unit of hue difference counts as this many of lightness or chroma
NEUTRAL_WEIGHT = 2.0  # the same for any tint of a colour that is neutral
NEUTRAL_CHROMA = 3.0  # chroma over which the one fades into the other
_CANDIDATES = 8
_LOOKED_AT = 17  # grid points per axis among which the nearest is looked for
_STARTS, _START_MARGIN = 17, 10.0  # colours an axis, inverted first, and how far they reach beyond the gamut
_REACHED = 0.02  # distance that counts as none
_ROWS = 16384  # at a time
FEW_STEPS = 8
"""Steps that are enough for points of a fit: nearly all have come to rest, and the table cannot tell. Ours, accuracy.md."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Inverse:
    """What is prepared once to invert a device table many times."""

    table: DeviceTable
    lattice: FloatArray  # the table's nodes in the edge space
    starts: FloatArray  # (k, k, k, 3), device values of even colours of that space
    low: FloatArray  # (3,), the first of those colours
    high: FloatArray  # (3,), the last


def prepare_inverse(table: DeviceTable) -> Inverse:
    """Return what `invert` needs of a device table."""
    lattice = lab_to_edge_space(table.lab)
    nodes = lattice.reshape(-1, 3)
    low, high = nodes.min(axis=0) - _START_MARGIN, nodes.max(axis=0) + _START_MARGIN
    axes = [np.linspace(low[axis], high[axis], _STARTS) for axis in range(3)]
    colours = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 3)
    starts, _ = _near(lattice, colours, _nearest_nodes(lattice, colours))
    return Inverse(table=table, lattice=lattice, starts=starts.reshape(*[_STARTS] * 3, 3), low=low, high=high)


def invert(inverse: Inverse, targets: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return device values (n, 3), 0 to 1, and the distance left (n,), for media-relative Lab targets (n, 3).

    The distance is in units of the edge space: those of L*, and about a third of CIELAB's chroma; 0 inside the gamut.
    Damped Gauss-Newton steps on the tetrahedral table, held inside the cube, from what the colours around were inverted
    to; rows that no longer move are left alone.
    """
    return invert_straight(inverse, lab_to_edge_space(targets))


def invert_straight(inverse: Inverse, wanted: FloatArray, steps: int = STEPS) -> tuple[FloatArray, FloatArray]:
    """As `invert`, for targets (n, 3) in the space of `lab_to_edge_space`. steps: after which it stops at the latest."""

    def block(rows: FloatArray) -> tuple[FloatArray, FloatArray]:
        return _near(inverse.lattice, rows, _started(inverse, rows), steps)

    found = in_row_blocks(block, (wanted,), _ROWS)
    return np.concatenate([device for device, _ in found]), np.concatenate([left for _, left in found])


def invert_roughly(inverse: Inverse, targets: FloatArray) -> FloatArray:
    """Return device values (n, 3) as `invert` does, but only from those of the colours around: a few ΔE00 off, and quick."""
    return _started(inverse, lab_to_edge_space(targets))


def invert_straight_roughly(inverse: Inverse, wanted: FloatArray) -> FloatArray:
    """As `invert_roughly`, for targets (n, 3) in the space of `lab_to_edge_space`, held to 0 to 1."""
    return np.clip(_started(inverse, wanted), 0, 1)


def _started(inverse: Inverse, wanted: FloatArray) -> FloatArray:
    return n_linear(inverse.starts, (wanted - inverse.low) / (inverse.high - inverse.low) * (_STARTS - 1))


def _near(lattice: FloatArray, wanted: FloatArray, start: FloatArray, steps: int = STEPS) -> tuple[FloatArray, FloatArray]:
    """Return device values (n, 3) and the distance left (n,) for targets (n, 3), from device values (n, 3) to start at."""
    columns = np.ascontiguousarray(wanted.T)
    start = np.ascontiguousarray(np.clip(start.T, 0, 1))
    device, left = nearest_printable(lattice, _metric(columns), columns, start, steps)
    return np.ascontiguousarray(device.T), left


def _metric(wanted: FloatArray) -> Metric:
    """Return what differences to colours (3, n) count: turned to lightness, chroma and weighted hue, and squared.

    Towards neutral, where there is no hue, chroma comes to count as much as hue does: a tint is seen in grey first.
    """
    chroma = np.hypot(wanted[1], wanted[2])
    neutral = np.exp(-((chroma / NEUTRAL_CHROMA) ** 2))
    across = (HUE_WEIGHT + (NEUTRAL_WEIGHT - HUE_WEIGHT) * neutral) ** 2
    along = (1 + (NEUTRAL_WEIGHT - 1) * neutral) ** 2
    cosine = np.where(chroma > 0, wanted[1] / np.maximum(chroma, 1e-300), 1.0)
    sine = wanted[2] / np.maximum(chroma, 1e-300)
    return Metric(
        first=along * cosine**2 + across * sine**2,
        mixed=(along - across) * cosine * sine,
        second=along * sine**2 + across * cosine**2,
    )


def _nearest_nodes(lattice: FloatArray, wanted: FloatArray) -> FloatArray:
    """Return the device values (n, 3) of the node that is nearest in the weighted sense among the nearest few."""
    some = np.unique(np.round(np.linspace(0, len(lattice) - 1, _LOOKED_AT)).astype(np.int64))  # starts need no more
    nodes = lattice[np.ix_(some, some, some)].reshape(-1, 3)
    _, near = cKDTree(nodes, balanced_tree=False).query(wanted, k=_CANDIDATES)
    apart = np.moveaxis(nodes[near] - wanted[:, None, :], -1, 0)
    metric = _metric(wanted.T)
    counted = apart[0] ** 2 + metric.first[:, None] * apart[1] ** 2 + metric.second[:, None] * apart[2] ** 2
    counted += 2 * metric.mixed[:, None] * apart[1] * apart[2]
    best = near[np.arange(len(wanted)), counted.argmin(axis=1)]
    nearest: FloatArray = some[np.stack(np.unravel_index(best, (len(some),) * 3), axis=-1)] / (len(lattice) - 1)
    return nearest


def darkest_neutral(inverse: Inverse) -> float:
    """Return the L* of the darkest neutral colour that can be printed, to 0.05."""
    lab = np.zeros((int(100 / 0.05) + 1, 3))
    lab[:, 0] = np.linspace(0, 100, len(lab))
    lab = lab[lab[:, 0] >= inverse.table.lab[..., 0].min()][:1000]
    printable = lab[invert(inverse, lab)[1] < _REACHED, 0]
    return float(printable[0]) if len(printable) else 100.0
