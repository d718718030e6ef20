"""The tables of a profile to and from the PCS brought together, so that a colour sent to print and looked up again comes back.

A PCS-to-device table of so many nodes cannot follow every kink of a print path that reads a table of its own. What it sends
is fixed first; then the nodes y of the device-to-PCS table are those that make

    sum over colours w |A y - c|²  +  h · sum over nodes |y - y0|²

least: c are colours (Lab) that fill the gamut, and greys, w their weights, A interpolates the table by tetrahedra at the device
values that the other table sends for them, and y0 are the nodes as the model has them. What is moved is far less than the
model itself is off by; the paper's node stays. Ours, benchmarks/accuracy.md.
"""

from dataclasses import dataclass

import numpy as np
from scipy import sparse

from spectro.maths.conjugate_gradient import solve_conjugate_gradient
from spectro.maths.lattice import n_linear
from spectro.maths.tetrahedra import tetrahedral_weights
from spectro.profile.device_table import DeviceTable
from spectro.profile.spacing import LabSpacing
from spectro.records.arrays import FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class AgreementSettings:
    """How far the device-to-PCS table goes towards the other. Ours, benchmarks/accuracy.md, "Both tables together"."""

    filling: float = 4.0  # colours a node
    hold: float = 2.0  # h, in colours: a node stays with its model as if as many had been found there
    greys: int = 1000  # neutral colours from the darkest that can be printed to the paper: greys show the smallest tint
    grey_weight: float = 30.0  # of each; the others count 1
    tolerance: float = 1e-4


EXPANSION = AgreementSettings(hold=0.5)
"""Of the way back from the perceptual table: near the surface, where it stretches steps of a print to several times as much."""


def agreeing_table(
    table: DeviceTable,
    spacing: LabSpacing,
    nodes: FloatArray,
    darkest_grey: float,
    *,
    legacy: bool,
    settings: AgreementSettings | None = None,
) -> DeviceTable:
    """Return the device table with its nodes moved towards what a PCS-to-device table sends. The objective stands above.

    spacing, nodes: (grid, grid, grid, 3), of the PCS-to-device table. darkest_grey: L* of the darkest neutral colour that can
    be printed. legacy: the encoding of the device table.
    """
    settings = settings or AgreementSettings()
    own = table.lab.reshape(-1, 3)
    filling = table.evaluate(np.random.default_rng(9).random((int(settings.filling * len(own)), 3)))
    greys = np.linspace(darkest_grey, 100, settings.greys)[:, None] * (1.0, 0.0, 0.0)
    colours = np.concatenate([filling, greys])
    counted = np.repeat([1.0, settings.grey_weight], [len(filling), len(greys)])
    sent = np.clip(n_linear(nodes, spacing.positions(colours)), 0, 1)
    indices, weights = tetrahedral_weights((table.grid,) * 3, sent * (table.grid - 1))
    starts = np.arange(0, indices.size + 1, indices.shape[1])
    points = sparse.csr_array((weights.ravel(), indices.ravel(), starts), shape=(len(sent), len(own)))
    weighted = sparse.diags_array(counted) @ points
    matrix = (points.T @ weighted + settings.hold * sparse.eye_array(len(own))).tocsr()
    right = weighted.T @ colours + settings.hold * own
    moved = solve_conjugate_gradient(matrix, right, own, tolerance=settings.tolerance).reshape(table.lab.shape)
    return DeviceTable.of_relative(moved, table.white_xyz, legacy=legacy)
