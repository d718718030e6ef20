"""Tables become tags: lut16 for version 2, lutAToB and lutBToA for version 4; the gamut tag.

[ICC.1-2022] gamutTag: which PCS colours come back unchanged, 0 inside, anything else outside.
"""

import numpy as np

from spectro.colour.difference import delta_e_2000
from spectro.icc.tag_types import Lut
from spectro.icc.tag_types.curve import Curve
from spectro.icc.tag_types.lut16 import Lut16
from spectro.icc.tag_types.lut_a_b import LutAToB, LutBToA
from spectro.maths.lattice import n_linear
from spectro.profile.device_table import DeviceTable
from spectro.profile.spacing import LabSpacing
from spectro.records.arrays import AnyArray, FloatArray

LARGEST = 20.0  # ΔE00 that fills the range of the lattice
LIMIT = 2.5  # ΔE00 of the round trip from which a colour counts as outside
_ENTRIES = 4096
_IDENTITY_TABLE = np.array([0, 65535], dtype=np.uint16)
_IDENTITY = Curve(())


def device_to_pcs_tag(table: DeviceTable, version: int) -> Lut:
    """Return the tag of a device-to-PCS table."""
    channels = table.entries.ndim - 1
    if version == 2:
        return Lut16(
            input_tables=np.tile(_IDENTITY_TABLE, (channels, 1)),
            lattice=table.entries,
            output_tables=np.tile(_IDENTITY_TABLE, (3, 1)),
        )
    return LutAToB(
        inputs=channels,
        outputs=3,
        a_curves=(_IDENTITY,) * channels,
        lattice=table.entries,
        b_curves=(_IDENTITY,) * 3,
    )


def pcs_to_device_tag(spacing: LabSpacing, lattice: AnyArray, output: AnyArray, version: int) -> Lut:
    """Return the tag of a PCS-to-device (or gamut) table: lattice (grid, grid, grid, outputs), one output curve for all."""
    outputs = lattice.shape[-1]
    curves = spacing.curves(legacy=version == 2)
    if version == 2:
        return Lut16(input_tables=curves, lattice=lattice, output_tables=np.tile(output, (outputs, 1)))
    return LutBToA(
        inputs=3,
        outputs=outputs,
        b_curves=tuple(Curve(tuple(curve.tolist())) for curve in curves),
        lattice=lattice,
        a_curves=(Curve(tuple(output.tolist())),) * outputs,
    )


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
