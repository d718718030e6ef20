"""Device values of PCS colours: the inverse of a device table, for all colours at once.

A colour outside the gamut goes to the point of the gamut that is nearest in a space with straight hue lines, a difference
of hue counting more than one of lightness or chroma.
"""

from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from spectro.colour.hue_straight import lab_to_hue_straight
from spectro.profile.device_table import DeviceTable, lattice_points
from spectro.records.arrays import FloatArray

HUE_WEIGHT = 8.0  # one unit of hue difference counts as this many of lightness or chroma
NEUTRAL_WEIGHT = 2.0  # the same for any tint of a colour that is neutral
NEUTRAL_CHROMA = 3.0  # chroma over which the one fades into the other
_STEPS = 14
_STILL = 1e-5  # of device values, and of the distance left
_CANDIDATES = 8


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Inverse:
    """What is prepared once to invert a device table many times."""

    table: DeviceTable
    lattice: FloatArray  # the table's nodes in the hue-straight space
    tree: cKDTree  # of the same


def prepare_inverse(table: DeviceTable) -> Inverse:
    """Return what `invert` needs of a device table."""
    lattice = lab_to_hue_straight(table.lab)
    return Inverse(table=table, lattice=lattice, tree=cKDTree(lattice.reshape(-1, 3), balanced_tree=False))


def invert(inverse: Inverse, targets: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return device values (n, 3), 0 to 1, and the distance left (n,), for media-relative Lab targets (n, 3).

    The distance is in units of the hue-straight space, about those of CIELAB; 0 inside the gamut.
    Damped Gauss-Newton steps on the tetrahedral table, held inside the cube, from the nearest node; rows that no longer
    move are left alone.
    """
    return invert_straight(inverse, lab_to_hue_straight(targets))


def invert_straight(inverse: Inverse, wanted: FloatArray) -> tuple[FloatArray, FloatArray]:
    """As `invert`, for targets (n, 3) in the hue-straight space."""
    turned = _lightness_chroma_hue(wanted)
    device = _nearest_nodes(inverse, wanted, turned)
    value, slopes = inverse.table.evaluate_with_slopes(device, inverse.lattice)
    residual = np.einsum("nij,nj->ni", turned, value - wanted)
    error = (residual**2).sum(axis=1)
    damping = np.full(len(wanted), 1e-3)
    moving = np.arange(len(wanted))
    for _ in range(_STEPS):
        step = _step(turned[moving], slopes[moving], residual[moving], device[moving], damping[moving])
        trial = np.clip(device[moving] + step, 0, 1)
        trial_value, trial_slopes = inverse.table.evaluate_with_slopes(trial, inverse.lattice)
        trial_residual = np.einsum("nij,nj->ni", turned[moving], trial_value - wanted[moving])
        trial_error = (trial_residual**2).sum(axis=1)
        better = trial_error < error[moving]
        moved = np.abs(trial - device[moving]).max(axis=1)
        rows = moving[better]
        device[rows], slopes[rows] = trial[better], trial_slopes[better]
        residual[rows], error[rows] = trial_residual[better], trial_error[better]
        damping[moving] = np.clip(np.where(better, damping[moving] / 4, damping[moving] * 8), 1e-6, 1e6)
        moving = moving[(moved > _STILL) & (error[moving] > _STILL**2)]
        if not len(moving):
            break
    return device, np.sqrt(error)


def _lightness_chroma_hue(wanted: FloatArray) -> FloatArray:
    """Return (n, 3, 3): differences to colours (n, 3) turned to lightness, chroma and weighted hue.

    Towards neutral, where there is no hue, chroma comes to count as much as hue does: a tint is seen in grey first.
    """
    hue, chroma = np.arctan2(wanted[:, 2], wanted[:, 1]), np.hypot(wanted[:, 1], wanted[:, 2])
    neutral = np.exp(-((chroma / NEUTRAL_CHROMA) ** 2))
    weight = HUE_WEIGHT + (NEUTRAL_WEIGHT - HUE_WEIGHT) * neutral
    along = 1 + (NEUTRAL_WEIGHT - 1) * neutral
    turned = np.zeros((len(wanted), 3, 3))
    turned[:, 0, 0] = 1
    turned[:, 1, 1], turned[:, 1, 2] = along * np.cos(hue), along * np.sin(hue)
    turned[:, 2, 1], turned[:, 2, 2] = -weight * np.sin(hue), weight * np.cos(hue)
    return turned


def _step(turned: FloatArray, slopes: FloatArray, residual: FloatArray, device: FloatArray, damping: FloatArray) -> FloatArray:
    """Return one damped Gauss-Newton step (n, 3); a channel at its end that would leave the cube is held."""
    jacobian = turned @ slopes
    gradient = np.einsum("nij,ni->nj", jacobian, residual)
    held = ((device <= 0) & (gradient > 0)) | ((device >= 1) & (gradient < 0))
    normal: FloatArray = np.swapaxes(jacobian, 1, 2) @ jacobian
    diagonal: FloatArray = np.einsum("njj->nj", normal)
    rows = np.arange(3)
    loaded = np.where(held, 1.0, diagonal * (1 + damping[:, None]) + 1e-6)
    free = np.where(held[:, :, None] | held[:, None, :], 0.0, normal)
    free[:, rows, rows] = loaded
    step: FloatArray = np.linalg.solve(free, np.where(held, 0.0, -gradient)[..., None])[..., 0]
    return step


def _nearest_nodes(inverse: Inverse, wanted: FloatArray, turned: FloatArray) -> FloatArray:
    """Return the device values (n, 3) of the node that is nearest in the weighted sense among the nearest few."""
    nodes = inverse.lattice.reshape(-1, 3)
    _, near = inverse.tree.query(wanted, k=_CANDIDATES)
    apart = np.einsum("nij,nkj->nki", turned, nodes[near] - wanted[:, None, :])
    best = near[np.arange(len(wanted)), (apart**2).sum(axis=2).argmin(axis=1)]
    nearest: FloatArray = lattice_points(inverse.table.grid)[best]
    return nearest


def darkest_neutral(inverse: Inverse, left: float = 0.02) -> float:
    """Return the L* of the darkest neutral colour that can be printed, to 0.05. left: the distance that counts as none."""
    lab = np.zeros((int(100 / 0.05) + 1, 3))
    lab[:, 0] = np.linspace(0, 100, len(lab))
    lab = lab[lab[:, 0] >= inverse.table.lab[..., 0].min()][:1000]
    printable = lab[invert(inverse, lab)[1] < left, 0]
    return float(printable[0]) if len(printable) else 100.0
