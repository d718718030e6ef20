"""Gamuts that pictures come from: the colours of an RGB colour space as the profile connection space sees them.

References: [IEC-61966-2-1] sRGB; [IEC-61966-2-5] opRGB; [SMPTE-EG-432-1] P3 primaries, with D65; [ISO-22028-2] ROMM;
[ICC.1-2022] the linear Bradford transform to D50.
"""

import numpy as np

from spectro.colour.adaptation import bradford_matrix
from spectro.colour.lab import D50_PCS, xyz_to_lab
from spectro.colour.rgb_spaces import primaries_matrix, xyz_of_chromaticity
from spectro.errors import InputError
from spectro.records.arrays import FloatArray
from spectro.standards.tables import load_table

SPACES = ("sRGB", "opRGB", "P3-D65", "ROMM")
_EVEN = 2.2  # power that spreads samples about evenly over the colours; not a transfer function


def to_pcs(name: str) -> FloatArray:
    """Return the 3 by 3 matrix from linear RGB, 0 to 1, of a space to XYZ under D50, Y = 100 for white.

    Raises InputError for another name.

    >>> to_pcs("sRGB")[1].round(3).tolist()
    [22.248, 71.691, 6.061]
    """
    if name not in SPACES:
        raise InputError(f"the source gamut {name!r}", "one of " + ", ".join(SPACES), "Correct `source_gamut`.")
    table = load_table("rgb_spaces.csv")
    chromaticities = table.values[:, table.names.index(name)].reshape(4, 2)
    white = 100 * xyz_of_chromaticity(chromaticities[3])
    adapted: FloatArray = 100 * bradford_matrix(white, D50_PCS) @ primaries_matrix(chromaticities)
    return adapted


def source_surface(name: str, values: FloatArray) -> FloatArray:
    """Return Lab (n, 3), D50, of even values (n, 3), 0 to 1, of a space. Raises InputError for another name."""
    return xyz_to_lab(np.asarray(values, dtype=np.float64) ** _EVEN @ to_pcs(name).T)
