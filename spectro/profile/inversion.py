"""Device values of PCS colours: the inverse of a device table, for all colours at once.

A colour outside the gamut goes to the point of the gamut that is nearest in a space with straight hue lines, a difference
of hue counting more than one of lightness or chroma.
"""

import numpy as np
from scipy.spatial import cKDTree

from spectro.colour.hue_straight import lab_to_hue_straight
from spectro.profile.device_table import DeviceTable, lattice_points
from spectro.records.arrays import FloatArray

HUE_WEIGHT = 8.0  # one unit of hue difference counts as this many of lightness or chroma
_STEPS = 14


def invert(table: DeviceTable, targets: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return device values (n, 3), 0 to 1, and the distance left (n,), for media-relative Lab targets (n, 3).

    The distance is in units of the hue-straight space, about those of CIELAB; 0 inside the gamut.
    Damped Gauss-Newton steps on the tetrahedral table, held inside the cube, from the nearest node.
    """
    lattice = lab_to_hue_straight(table.lab)
    wanted = lab_to_hue_straight(targets)
    hue = np.arctan2(wanted[:, 2], wanted[:, 1])
    turned = np.zeros((len(wanted), 3, 3))  # rows: lightness, chroma, weighted hue
    turned[:, 0, 0] = 1
    turned[:, 1, 1], turned[:, 1, 2] = np.cos(hue), np.sin(hue)
    turned[:, 2, 1], turned[:, 2, 2] = -HUE_WEIGHT * np.sin(hue), HUE_WEIGHT * np.cos(hue)

    device = _nearest_nodes(lattice, wanted, turned)
    value, slopes = table.evaluate_with_slopes(device, lattice)
    residual = np.einsum("nij,nj->ni", turned, value - wanted)
    error = (residual**2).sum(axis=1)
    damping = np.full(len(wanted), 1e-3)
    for _ in range(_STEPS):
        jacobian = turned @ slopes
        gradient = np.einsum("nij,ni->nj", jacobian, residual)
        held = ((device <= 0) & (gradient > 0)) | ((device >= 1) & (gradient < 0))
        normal = np.einsum("nij,nik->njk", jacobian, jacobian)
        diagonal = np.einsum("njj->nj", normal)
        normal = np.where(held[:, :, None] | held[:, None, :], 0.0, normal)
        extra = damping[:, None] * diagonal + 1e-6
        rows = np.arange(3)
        normal[:, rows, rows] = np.where(held, 1.0, diagonal + extra)
        step = np.linalg.solve(normal, np.where(held, 0.0, -gradient)[..., None])[..., 0]
        trial = np.clip(device + step, 0, 1)
        trial_value, trial_slopes = table.evaluate_with_slopes(trial, lattice)
        trial_residual = np.einsum("nij,nj->ni", turned, trial_value - wanted)
        trial_error = (trial_residual**2).sum(axis=1)
        better = trial_error < error
        device[better], slopes[better] = trial[better], trial_slopes[better]
        residual[better], error[better] = trial_residual[better], trial_error[better]
        damping = np.clip(np.where(better, damping / 4, damping * 8), 1e-6, 1e6)
    return device, np.sqrt(error)


def _nearest_nodes(lattice: FloatArray, wanted: FloatArray, turned: FloatArray) -> FloatArray:
    """Return the device values (n, 3) of the node that is nearest in the weighted sense among the nearest few."""
    grid = lattice.shape[0]
    nodes = lattice.reshape(-1, 3)
    _, near = cKDTree(nodes).query(wanted, k=12)
    apart = np.einsum("nij,nkj->nki", turned, nodes[near] - wanted[:, None, :])
    best = near[np.arange(len(wanted)), (apart**2).sum(axis=2).argmin(axis=1)]
    nearest: FloatArray = lattice_points(grid)[best]
    return nearest
