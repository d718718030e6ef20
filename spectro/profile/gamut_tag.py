"""The gamut tag: which PCS colours come back unchanged. [ICC.1-2022] gamutTag: 0 inside, anything else outside."""

import numpy as np

from spectro.colour.difference import delta_e_2000
from spectro.maths.lattice import n_linear
from spectro.profile.device_table import DeviceTable
from spectro.profile.spacing import LabSpacing
from spectro.records.arrays import AnyArray, FloatArray

LARGEST = 20.0  # ΔE00 that fills the range of the lattice
LIMIT = 2.5  # ΔE00 of the round trip from which a colour counts as outside
_ENTRIES = 4096


def gamut_lattice(table: DeviceTable, spacing: LabSpacing, nodes: FloatArray) -> AnyArray:
    """Return the lattice (grid, grid, grid, 1), uint16: the round-trip error of each node of the colorimetric table."""
    lab = spacing.node_lab()
    device = np.clip(n_linear(nodes, spacing.positions(lab)), 0, 1)
    error = delta_e_2000(lab, table.evaluate(device))
    entries = np.round(np.clip(error / LARGEST, 0, 1) * 65535).astype(np.uint16)
    return entries.reshape(*[spacing.grid] * 3, 1)


def gamut_curve() -> AnyArray:
    """Return the output table (4096,), uint16: 0 up to the limit, full above it."""
    return np.where(np.linspace(0, LARGEST, _ENTRIES) <= LIMIT, 0, 65535).astype(np.uint16)
