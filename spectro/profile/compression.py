"""The perceptual and saturation tables: gamut mapping at the nodes, both ways."""

import numpy as np

from spectro.colour.hue_straight import CAM_SHARE
from spectro.profile.device_table import DeviceTable, device_table
from spectro.profile.gamut_mapping import GamutMapping
from spectro.profile.inversion import Inverse, invert_straight
from spectro.profile.pcs_table import pin_white
from spectro.profile.spacing import LabSpacing
from spectro.records.arrays import FloatArray

_GREYS = 4001
_HOLD = 0.5  # of a node to the grey inverted there, one of the 4001 greys counting 1; ours


def compression_table(inverse: Inverse, spacing: LabSpacing, mapping: GamutMapping) -> FloatArray:
    """Return node values (grid, grid, grid, 3), 0 to 1, of the table from source colours to device values."""
    inverse = inverse.in_space(CAM_SHARE)
    found, _ = invert_straight(inverse, mapping.mapped(spacing.node_lab()))
    nodes = found.reshape(*[spacing.grid] * 3, 3)
    if mapping.greys is not None:
        _fit_greys(nodes, inverse, spacing, mapping)
    pin_white(nodes, spacing)
    return nodes


def _fit_greys(nodes: FloatArray, inverse: Inverse, spacing: LabSpacing, mapping: GamutMapping) -> None:
    """Place the nodes of the neutral axis, in place, so that greys between them come out as aimed at too."""
    lab = np.zeros((_GREYS, 3))
    lab[:, 0] = np.linspace(0, 100, _GREYS)
    wanted, _ = invert_straight(inverse, mapping.mapped(lab))
    places = spacing.positions(lab)
    first, second = (int(place) for place in np.round(places[0, 1:]))
    distance = np.abs(places[:, :1] - np.arange(spacing.grid))
    design = np.maximum(1 - distance, 0)
    near = nodes[:, first, second]
    hold = _HOLD * np.eye(spacing.grid)
    nodes[:, first, second] = np.linalg.solve(design.T @ design + hold, design.T @ wanted + _HOLD * near)


def expansion_table(table: DeviceTable, mapping: GamutMapping, *, legacy: bool) -> DeviceTable:
    """Return the device table whose colours are those of the source that are printed so."""
    lab = mapping.source_lab(table.lab.reshape(-1, 3)).reshape(table.lab.shape)
    return device_table(lab, legacy=legacy)
