"""What a print path may do to device values before the driver sees them: nothing, or a smooth conversion.

A path test has to tell these apart. Constants without a source named beside them are invented.

References: [IEC-61966-2-1] the sRGB transfer function.
"""

from enum import StrEnum

import numpy as np

from spectro.errors import InputError, ShapeError
from spectro.records.arrays import ArrayLike, FloatArray


class PrintPath(StrEnum):
    """What happens to the numbers on their way to the driver."""

    RAW = "raw"  # nothing: what a chart needs
    GAMMA = "gamma"  # each channel through a power curve
    SRGB_CONVERTED = "srgb-converted"  # taken for sRGB and converted to a wider printer space
    VIVID = "vivid"  # contrast and saturation raised, as an enhancement does


GAMMA_EXPONENT = 2.2 / 1.8  # invented: the ratio of two usual display gammas
# Invented: sRGB primaries inside a wider space. Rows sum to 1, so greys stay grey.
TO_PRINTER_SPACE = np.array([[0.74, 0.22, 0.04], [0.08, 0.88, 0.04], [0.04, 0.10, 0.86]])
PRINTER_SPACE_GAMMA = 2.0  # invented
VIVID_SATURATION = 1.25  # invented: distance from the channels' mean is stretched by this
VIVID_CONTRAST = 0.12  # invented: the S curve's slope is 1 + 2 × this at mid-scale


def checked_device(device: ArrayLike) -> FloatArray:
    """Return device values as float64, (..., 3), each 0 to 1.

    Raises ShapeError where the last axis isn't 3, InputError where a value is outside 0 to 1 or not a number.
    """
    values = np.asarray(device, dtype=np.float64)
    if values.ndim == 0 or values.shape[-1] != 3:
        raise ShapeError(f"device has shape {values.shape}; expected (..., 3), red, green and blue")
    wrong = ~((values >= 0.0) & (values <= 1.0))
    if wrong.any():
        raise InputError(f"device value {values[wrong][0]:g}", "values from 0 to 1", "Divide values of 0 to 255 by 255 first.")
    return values


def along_path(device: ArrayLike, path: PrintPath) -> FloatArray:
    """Send device values along a print path.

    device: (..., 3), red, green and blue, 0 to 1. Returns the same shape, 0 to 1. White stays white on every path.
    Raises ShapeError or InputError as checked_device.

    >>> along_path([0.2, 0.5, 0.8], PrintPath.RAW).tolist()
    [0.2, 0.5, 0.8]
    """
    values = checked_device(device)
    match path:
        case PrintPath.RAW:
            return values
        case PrintPath.GAMMA:
            return np.asarray(values**GAMMA_EXPONENT, dtype=np.float64)
        case PrintPath.SRGB_CONVERTED:
            return _srgb_converted(values)
        case PrintPath.VIVID:
            return _vivid(values)


def _srgb_converted(values: FloatArray) -> FloatArray:
    linear = np.where(values <= 0.04045, values / 12.92, ((values + 0.055) / 1.055) ** 2.4)  # [IEC-61966-2-1]
    return np.asarray(np.clip(linear @ TO_PRINTER_SPACE.T, 0.0, 1.0) ** (1.0 / PRINTER_SPACE_GAMMA), dtype=np.float64)


def _vivid(values: FloatArray) -> FloatArray:
    mean = values.mean(axis=-1, keepdims=True)
    stretched = np.clip(mean + VIVID_SATURATION * (values - mean), 0.0, 1.0)
    curved = stretched - VIVID_CONTRAST * np.sin(2.0 * np.pi * stretched) / np.pi
    return np.asarray(np.clip(curved, 0.0, 1.0), dtype=np.float64)
