"""Screen colours of Lab values, for pictures and swatches in reports, and back. Never for judging how good a print is.

References: [IEC-61966-2-1] primaries, white and transfer function of sRGB; [ICC.1-2022] the linear Bradford transform.
"""

import functools

import numpy as np

from spectro.colour.adaptation import bradford_matrix
from spectro.colour.lab import D50_PCS, lab_to_xyz, xyz_to_lab
from spectro.records.arrays import ArrayLike, FloatArray, frozen_floats

PRIMARIES = frozen_floats([[0.640, 0.330], [0.300, 0.600], [0.150, 0.060]])  # x, y of red, green, blue
WHITE = frozen_floats([0.3127, 0.3290])  # x, y of D65


def _xyz_of(chromaticity: FloatArray) -> FloatArray:
    """XYZ (..., 3) with Y = 1 of x, y (..., 2)."""
    x, y = chromaticity[..., 0], chromaticity[..., 1]
    return np.stack([x / y, np.ones_like(x), (1 - x - y) / y], axis=-1)


@functools.cache
def linear_srgb_to_xyz() -> FloatArray:
    """Return the 3 by 3 matrix from linear sRGB (0 to 1) to XYZ under D65, Y = 1 for white.

    >>> linear_srgb_to_xyz()[1].round(6).tolist()
    [0.212639, 0.715169, 0.072192]
    """
    columns = _xyz_of(PRIMARIES).T
    return frozen_floats(columns * np.linalg.solve(columns, _xyz_of(WHITE)))


@functools.cache
def linear_srgb_to_pcs() -> FloatArray:
    """Return the 3 by 3 matrix from linear sRGB (0 to 1) to XYZ under the PCS's D50, Y = 1 for white."""
    return frozen_floats(bradford_matrix(_xyz_of(WHITE), D50_PCS / 100) @ linear_srgb_to_xyz())


def encode_srgb(linear: ArrayLike) -> FloatArray:
    """Return encoded sRGB (...), 0 to 1, of linear light (...), 0 to 1; the inverse of the standard's decoding.

    Values outside 0 to 1 are clipped: the colour is outside what the encoding can hold.
    """
    light = np.clip(np.asarray(linear, dtype=np.float64), 0.0, 1.0)
    return np.where(light <= 0.0031308, 12.92 * light, 1.055 * np.maximum(light, 0.0031308) ** (1 / 2.4) - 0.055)


def lab_to_srgb(lab: ArrayLike) -> FloatArray:
    """Return encoded sRGB (..., 3), 0 to 1, that shows Lab (..., 3) to an eye adapted to the screen's white.

    lab: D50, absolute or media-relative; Lab 100 0 0 becomes the screen's white. Any real Lab is legal: a colour
    outside the sRGB gamut is clipped channel by channel, so it shows less colourful than it is, or of another hue.

    >>> lab_to_srgb([[100, 0, 0], [0, 0, 0]]).round(6).tolist()
    [[1.0, 1.0, 1.0], [0.0, 0.0, 0.0]]
    """
    linear = (lab_to_xyz(lab) / 100) @ np.linalg.inv(linear_srgb_to_pcs()).T
    return encode_srgb(linear)


def srgb_to_lab(encoded: ArrayLike) -> FloatArray:
    """Return media-relative Lab (..., 3), D50, of encoded sRGB (..., 3), 0 to 1: what the numbers mean on a screen.

    >>> (srgb_to_lab([1, 1, 1]).round(3) + 0.0).tolist()
    [100.0, 0.0, 0.0]
    """
    values = np.asarray(encoded, dtype=np.float64)
    linear = np.where(values <= 0.04045, values / 12.92, ((np.maximum(values, 0.0) + 0.055) / 1.055) ** 2.4)
    return xyz_to_lab(100 * (linear @ linear_srgb_to_pcs().T))
