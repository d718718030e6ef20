"""Gamuts that pictures come from: the colours of an RGB colour space as the profile connection space sees them.

References: [IEC-61966-2-1] sRGB; [IEC-61966-2-5] opRGB; [SMPTE-EG-432-1] P3 primaries, with D65; [ISO-22028-2] ROMM;
[ICC.1-2022] the linear Bradford transform to D50.
"""

import numpy as np

from spectro.colour.adaptation import bradford_matrix
from spectro.colour.lab import D50_PCS, xyz_to_lab
from spectro.errors import InputError
from spectro.records.arrays import FloatArray

_D65, _D50 = (0.3127, 0.3290), (0.3457, 0.3585)
SPACES = {
    "sRGB": ((0.640, 0.330), (0.300, 0.600), (0.150, 0.060), _D65),
    "opRGB": ((0.640, 0.330), (0.210, 0.710), (0.150, 0.060), _D65),
    "P3-D65": ((0.680, 0.320), (0.265, 0.690), (0.150, 0.060), _D65),
    "ROMM": ((0.7347, 0.2653), (0.1596, 0.8404), (0.0366, 0.0001), _D50),
}
"""x, y of red, green, blue and white."""
_EVEN = 2.2  # power that spreads samples about evenly over the colours; not a transfer function


def to_pcs(name: str) -> FloatArray:
    """Return the 3 by 3 matrix from linear RGB, 0 to 1, of a space to XYZ under D50, Y = 100 for white.

    Raises InputError for another name.

    >>> to_pcs("sRGB")[1].round(3).tolist()
    [22.248, 71.691, 6.061]
    """
    if name not in SPACES:
        raise InputError(f"the source gamut {name!r}", "one of " + ", ".join(SPACES), "Correct --source-gamut.")
    columns = np.array([[x / y, 1.0, (1 - x - y) / y] for x, y in SPACES[name]]).T
    matrix = columns[:, :3] * np.linalg.solve(columns[:, :3], columns[:, 3])
    adapted: FloatArray = bradford_matrix(100 * columns[:, 3], D50_PCS) @ matrix * 100
    return adapted


def source_surface(name: str, values: FloatArray) -> FloatArray:
    """Return Lab (n, 3), D50, of even values (n, 3), 0 to 1, of a space. Raises InputError for another name."""
    return xyz_to_lab(np.asarray(values, dtype=np.float64) ** _EVEN @ to_pcs(name).T)
