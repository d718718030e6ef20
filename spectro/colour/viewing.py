"""Prints and displays in numbers of light: luminance of a print, surface reflection, display curves, chromaticity.

References: [ISO-3664-2009] illuminance of viewing conditions; [ITU-R-BT.1886] display curve; [IEC-61966-2-1] sRGB decoding.
"""

import numpy as np

from spectro.errors import InputError
from spectro.records.arrays import ArrayLike, FloatArray


def print_luminance(illuminance: ArrayLike, y: ArrayLike) -> FloatArray:
    """Return the luminance (...), cd/m², of a matt print of luminance factor y (...), 0 to 1, under illuminance (...), lx.

    >>> float(print_luminance(500, 0.88).round(2))
    140.06
    """
    return np.asarray(np.asarray(illuminance, dtype=np.float64) * np.asarray(y, dtype=np.float64) / np.pi)


def with_surface_reflection(xyz: ArrayLike, white: ArrayLike, reflected: ArrayLike) -> FloatArray:
    """Return XYZ (..., 3) of a print on a wall: the surroundings mirrored in its surface are added, neutral.

    reflected: (...), share of the light on a perfect diffuser that reaches the eye from the surface, 0 to 1. A 45°/0°
    reading keeps it out. white: (3,), XYZ of the perfect diffuser.

    >>> with_surface_reflection([0.5, 0.5, 0.5], [96.42, 100.0, 82.49], 0.01).round(4).tolist()
    [1.4642, 1.5, 1.3249]
    """
    share = np.asarray(reflected, dtype=np.float64)
    if np.any(share < 0) or np.any(share > 1):
        raise InputError("surface reflection outside 0 to 1", "a share of 0 to 1", "Half a per cent is 0.005.")
    return np.asarray(np.asarray(xyz, dtype=np.float64) + share[..., None] * np.asarray(white, dtype=np.float64))


def decode_srgb(encoded: ArrayLike) -> FloatArray:
    """Return linear light (...), 0 to 1, of encoded sRGB (...), 0 to 1.

    >>> float(decode_srgb(128 / 255).round(8))
    0.2158605
    """
    values = np.asarray(encoded, dtype=np.float64)
    if np.any(values < 0) or np.any(values > 1):
        raise InputError("an sRGB value outside 0 to 1", "values of 0 to 1", "Divide 8-bit values by 255.")
    return np.asarray(np.where(values <= 0.04045, values / 12.92, ((values + 0.055) / 1.055) ** 2.4))


def bt1886_luminance(signal: ArrayLike, white: float, black: float) -> FloatArray:
    """Return screen luminance (...), cd/m², of signal (...), 0 to 1, for luminances of white and black in cd/m².

    >>> bt1886_luminance([0.0, 0.5, 1.0], 100, 0.1).round(5).tolist()
    [0.1, 21.60491, 100.0]
    """
    if not white > black >= 0:
        raise InputError(f"a white of {white:g} and a black of {black:g} cd/m²", "white above black", "Exchange them.")
    root_white, root_black = white ** (1 / 2.4), black ** (1 / 2.4)
    gain = (root_white - root_black) ** 2.4
    lift = root_black / (root_white - root_black)
    return np.asarray(gain * np.maximum(np.asarray(signal, dtype=np.float64) + lift, 0.0) ** 2.4)


def chromaticity(xyz: ArrayLike) -> FloatArray:
    """Return x, y (..., 2) of XYZ (..., 3). Raises InputError where X + Y + Z is not above zero."""
    values = np.asarray(xyz, dtype=np.float64)
    total = values.sum(axis=-1, keepdims=True)
    if np.any(total <= 0):
        raise InputError("XYZ of zero", "a colour that is not black", "Leave it out.")
    return np.asarray(values[..., :2] / total)


def chromaticity_uv(xyz: ArrayLike) -> FloatArray:
    """Return u', v' (..., 2) of XYZ (..., 3), the diagram in which ISO 3664 states its tolerances."""
    values = np.asarray(xyz, dtype=np.float64)
    total = values @ np.array([1.0, 15.0, 3.0])
    if np.any(total <= 0):
        raise InputError("XYZ of zero", "a colour that is not black", "Leave it out.")
    return np.asarray(np.stack([4 * values[..., 0] / total, 9 * values[..., 1] / total], axis=-1))
