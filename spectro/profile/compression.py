"""The perceptual and saturation table, first cut: a smooth compression that keeps the hue.

Black is scaled to the printer's black, linear in tristimulus values; then every colour moves along the straight line to a
mid grey in a hue-straight space, so that the colours near and beyond the surface share what room there is. Inside most of
the gamut nothing moves.
"""

import numpy as np

from spectro.boundary.radial import radial_boundary
from spectro.colour.black_point import scale_black
from spectro.colour.hue_straight import lab_to_hue_straight
from spectro.colour.lab import lab_to_xyz
from spectro.profile.inversion import Inverse, invert_straight
from spectro.profile.pcs_table import pin_white
from spectro.profile.spacing import LabSpacing
from spectro.records.arrays import FloatArray

_KNEE = 0.75  # share of the way to the surface that stays as it is, for chromatic colours; 1 along the neutral axis
_SURFACE_STEPS = 65


def surface_points(steps: int) -> FloatArray:
    """Return device values (6 * steps ** 2, 3) on the faces of the device cube."""
    first, second = (axis.ravel() for axis in np.meshgrid(*[np.linspace(0, 1, steps)] * 2, indexing="ij"))
    faces = []
    for axis in range(3):
        for level in (0.0, 1.0):
            faces.append(np.insert(np.column_stack([first, second]), axis, level, axis=1))
    return np.concatenate(faces)


def compress(share: FloatArray, knee: FloatArray) -> FloatArray:
    """Return the compressed share (n,) of the way to the surface: itself up to knee (n,), then towards 1, smoothly.

    >>> compress(np.array([0.5, 2.0, 50.0]), np.full(3, 0.75)).round(3).tolist()
    [0.5, 0.998, 1.0]
    """
    room = np.maximum(1 - knee, 1e-6)
    return np.where(share <= knee, share, 1 - room * np.exp(-np.maximum(share - knee, 0) / room))


def compression_table(inverse: Inverse, spacing: LabSpacing) -> FloatArray:
    """Return node values (grid, grid, grid, 3), 0 to 1, of the compressing table."""
    table = inverse.table
    surface = lab_to_hue_straight(table.evaluate(surface_points(_SURFACE_STEPS)))
    darkest = table.lab.reshape(-1, 3)[:, 0].min()
    black_y = float(lab_to_xyz(np.array([darkest, 0.0, 0.0]))[1]) / 100
    centre = np.array([(surface[:, 0].min() + surface[:, 0].max()) / 2, 0.0, 0.0])
    boundary = radial_boundary(surface, centre)

    points = lab_to_hue_straight(scale_black(spacing.node_lab(), 0.0, black_y))
    hue, elevation, distance = boundary.directions(points)
    reach = boundary.distance(hue, elevation)
    knee = 1 - (1 - _KNEE) * np.cos(elevation)
    scale = compress(distance / reach, knee) * reach / np.maximum(distance, 1e-9)
    nodes, _ = invert_straight(inverse, centre + (points - centre) * scale[:, None])
    nodes = nodes.reshape(*[spacing.grid] * 3, 3)
    pin_white(nodes, spacing)
    return nodes
