"""RGB colour spaces that displays are set to: primaries, white, and the curve from signal to light.

References: [IEC-61966-2-1] sRGB; [ITU-R-BT.709], [ITU-R-BT.2020] primaries, shown with the curve of [ITU-R-BT.1886];
[SMPTE-EG-432-1] the P3 primaries, here with D65 and the curve of sRGB as displays use them; [IEC-61966-2-5] opRGB.
"""

import functools

import numpy as np

from spectro.colour.viewing import bt1886_luminance, decode_srgb
from spectro.errors import InputError
from spectro.records.arrays import ArrayLike, FloatArray, frozen_floats
from spectro.standards.tables import load_table

OPRGB_GAMMA = 563 / 256  # [IEC-61966-2-5], from memory
CURVES = {"sRGB": "sRGB", "BT.709": "BT.1886", "P3-D65": "sRGB", "BT.2020": "BT.1886", "opRGB": f"{OPRGB_GAMMA:.4f}"}
"""The curve of each space: "sRGB", "BT.1886", or the number of a power."""
LOWEST_GAMMA, HIGHEST_GAMMA = 1.0, 4.0
_ROUNDING = 0.01  # a deep red read by a meter may lie this far outside; common practice, no source


@functools.cache
def space_chromaticities(name: str) -> FloatArray:
    """Return x, y (4, 2) of red, green, blue and white of a space by its name, whatever its case.

    Raises InputError for an unknown name.

    >>> space_chromaticities("srgb")[0].tolist()
    [0.64, 0.33]
    """
    table = load_table("rgb_spaces.csv")
    return frozen_floats(table.values[:, table.names.index(space_name(name))].reshape(4, 2))


def space_name(text: str) -> str:
    """Return the name of a space as it is written. Raises InputError for an unknown one."""
    known = {name.lower(): name for name in CURVES}
    if text.strip().lower() not in known:
        raise InputError(f"the colour space {text!r}", "one of " + ", ".join(CURVES), "Correct `aim`.")
    return known[text.strip().lower()]


def xyz_of_chromaticity(xy: ArrayLike) -> FloatArray:
    """Return XYZ (..., 3) with Y = 1 of x, y (..., 2). Raises InputError where y is not above zero."""
    x, y = np.moveaxis(np.asarray(xy, dtype=np.float64), -1, 0)
    if np.any(y <= 0) or np.any(x < 0) or np.any(x + y > 1 + _ROUNDING):
        raise InputError(f"the chromaticity {np.asarray(xy).tolist()}", "x and y of a colour that exists", "Correct it.")
    return np.asarray(np.stack([x / y, np.ones_like(x), (1 - x - y) / y], axis=-1))


def primaries_matrix(chromaticities: ArrayLike) -> FloatArray:
    """Return the 3 by 3 matrix from linear RGB, 0 to 1, to XYZ with Y = 1 for white, of x, y (4, 2): red, green, blue, white.

    >>> primaries_matrix(space_chromaticities("sRGB"))[1].round(6).tolist()
    [0.212639, 0.715169, 0.072192]
    """
    xyz = xyz_of_chromaticity(chromaticities)
    columns = xyz[:3].T
    return np.asarray(columns * np.linalg.solve(columns, xyz[3]))


def curve_light(signal: ArrayLike, curve: str, black: float = 0.0) -> FloatArray:
    """Return light (...), 1 for white, of a signal (...), 0 to 1, on a display whose black is `black` of its white.

    curve: "sRGB", "BT.1886" or a power such as "2.2". BT.1886 lifts the signal by the black, as the recommendation says;
    the others run from the black to the white in a straight mixture (common practice, no source).

    >>> [round(float(curve_light(0.5, curve, 0.001)), 6) for curve in ("2.2", "BT.1886")]
    [0.21842, 0.216049]
    """
    if curve == "BT.1886":
        return bt1886_luminance(signal, 1.0, black)
    values = np.asarray(signal, dtype=np.float64)
    light = decode_srgb(values) if curve == "sRGB" else values ** curve_power(curve)
    return np.asarray(black + (1 - black) * light)


def curve_power(text: str) -> float:
    """Return the power of a curve named by a number. Raises InputError unless it is 1 to 4."""
    try:
        power = float(text)
    except ValueError:
        power = np.nan
    if not LOWEST_GAMMA <= power <= HIGHEST_GAMMA:
        raise InputError(f"the tone curve {text!r}", "sRGB, BT.1886 or a power of 1 to 4 such as 2.2", "Correct `aim_gamma`.")
    return power


def curve_name(text: str) -> str:
    """Return a curve's name as it is written here. Raises InputError for none.

    >>> curve_name("srgb"), curve_name("bt.1886"), curve_name("2.20")
    ('sRGB', 'BT.1886', '2.2')
    """
    known = {"srgb": "sRGB", "bt.1886": "BT.1886"}
    folded = text.strip().lower()
    return known[folded] if folded in known else f"{curve_power(folded):g}"
