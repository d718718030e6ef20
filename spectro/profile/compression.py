"""The perceptual and saturation tables: gamut mapping at the nodes, both ways."""

from spectro.profile.device_table import DeviceTable, device_table
from spectro.profile.gamut_mapping import GamutMapping
from spectro.profile.inversion import Inverse, invert_straight
from spectro.profile.pcs_table import pin_white
from spectro.profile.spacing import LabSpacing
from spectro.records.arrays import FloatArray


def compression_table(inverse: Inverse, spacing: LabSpacing, mapping: GamutMapping) -> FloatArray:
    """Return node values (grid, grid, grid, 3), 0 to 1, of the table from source colours to device values."""
    found, _ = invert_straight(inverse, mapping.mapped(spacing.node_lab()))
    nodes = found.reshape(*[spacing.grid] * 3, 3)
    pin_white(nodes, spacing)
    return nodes


def expansion_table(table: DeviceTable, mapping: GamutMapping, *, legacy: bool) -> DeviceTable:
    """Return the device table whose colours are those of the source that are printed so."""
    lab = mapping.source_lab(table.lab.reshape(-1, 3)).reshape(table.lab.shape)
    return device_table(lab, legacy=legacy)
