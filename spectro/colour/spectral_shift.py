"""Spectra with another colour: the smallest smooth change of a spectrum's shape that gives it.

Each spectrum is multiplied by an exponential of three smooth curves over the wavelengths, in the red, the green and the
blue, as a little more or less ink would; their weights are solved for. The curves are ours; no source.
"""

import numpy as np

from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import InputError, ShapeError
from spectro.records.arrays import FloatArray

_CENTRES, _WIDTH = (450.0, 540.0, 620.0), 45.0  # nm
_STEPS, _CLOSE, _TOLERANCE = 12, 1e-9, 0.01
_LEAST = 1e-4  # reflectance factor
_FARTHEST = 2.0  # the logarithm of reflectance changes by no more a step


def spectra_with_lab(reflectance: FloatArray, wavelengths: FloatArray, lab: FloatArray) -> FloatArray:
    """Return spectra (n, bands) of nearly the same shape whose Lab under D50, 2°, is lab (n, 3).

    reflectance: (n, bands), factors. Raises InputError where no such spectrum of a print is near, ShapeError for shapes.
    """
    start = np.maximum(np.asarray(reflectance, dtype=np.float64), _LEAST)
    wanted = np.asarray(lab, dtype=np.float64)
    if start.ndim != 2 or wanted.shape != (len(start), 3):
        raise ShapeError(f"reflectance {np.shape(reflectance)}, lab {wanted.shape}; expected (n, bands) and (n, 3)")
    curves = np.exp(-0.5 * ((wavelengths[None, :] - np.array(_CENTRES)[:, None]) / _WIDTH) ** 2)
    weights = np.zeros((len(start), 3))
    small = 1e-4
    for _ in range(_STEPS):
        now = start * np.exp(weights @ curves)
        seen = spectra_to_lab(now, wavelengths)
        missing = wanted - seen
        if np.abs(missing).max(initial=0.0) < _CLOSE:
            break
        slopes = np.stack(
            [(spectra_to_lab(now * np.exp(small * curve), wavelengths) - seen) / small for curve in curves], axis=2
        )
        weights += np.clip(np.linalg.solve(slopes, missing[:, :, None])[:, :, 0], -_FARTHEST, _FARTHEST)
    found = start * np.exp(weights @ curves)
    off = np.abs(spectra_to_lab(found, wavelengths) - wanted).max(axis=1)
    if (off > _TOLERANCE).any():
        row = int(np.argmax(off))
        raise InputError(
            f"a colour Lab {' '.join(f'{value:.1f}' for value in wanted[row])} that a print of row {row + 1} cannot have",
            "a change that less or more ink makes",
            "Make a new profile.",
        )
    return np.asarray(found)
