"""Tables become tags: lut16 for version 2, lutAToB and lutBToA for version 4."""

import numpy as np

from spectro.icc.tag_types import Lut
from spectro.icc.tag_types.curve import Curve
from spectro.icc.tag_types.lut16 import Lut16
from spectro.icc.tag_types.lut_a_b import LutAToB, LutBToA
from spectro.profile.device_table import DeviceTable
from spectro.profile.spacing import LabSpacing
from spectro.records.arrays import AnyArray

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
