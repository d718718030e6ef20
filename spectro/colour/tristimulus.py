"""Tristimulus values from reflectance spectra.

References: [CIE-15-2018] calculation of tristimulus values; [ISO-13655-2017] computation from reflectance factors.
"""

import numpy as np

from spectro.colour.lab import xyz_to_lab
from spectro.colour.weights import tristimulus_weights
from spectro.errors import ShapeError
from spectro.records.arrays import FloatArray
from spectro.records.light import Light


def tristimulus(reflectance: FloatArray, weights: FloatArray) -> FloatArray:
    """Weight reflectance spectra into CIE XYZ.

    reflectance: (..., bands), reflectance factor, 1 = perfect reflecting diffuser.
        Usual domain 0 to 1; above 1 is legal (fluorescent paper under M1).
    weights: (bands, 3), for one illuminant, observer and set of wavelengths; the Y column sums to 100.
    Returns xyz: (..., 3), Y = 100 for the perfect reflecting diffuser.
    Raises ShapeError if reflectance and weights have different numbers of bands.

    >>> tristimulus(np.ones(36), np.full((36, 3), 100 / 36)).round(6).tolist()
    [100.0, 100.0, 100.0]
    """
    reflectance = np.asarray(reflectance, dtype=np.float64)
    if reflectance.shape[-1:] != weights.shape[:1]:
        raise ShapeError(f"reflectance has shape {reflectance.shape}; expected (..., {len(weights)}), the bands of the weights")
    xyz: FloatArray = reflectance @ weights
    return xyz


def spectra_to_lab(
    reflectance: FloatArray, wavelengths: FloatArray, illuminant: str | Light = "D50", observer: int = 2
) -> FloatArray:
    """Return CIELAB (..., 3) of reflectance spectra (..., bands) under a light, relative to that light's white.

    illuminant: a name such as "D50", "F11" or "5500K", or a light record.
    wavelengths: (bands,), nm. The white is the sum of the weights used, so a perfect diffuser is exactly 100 0 0.
    Raises ShapeError or InputError as `tristimulus` and `tristimulus_weights` do.
    """
    weights = tristimulus_weights(wavelengths, illuminant, observer)
    return xyz_to_lab(tristimulus(reflectance, weights), weights.sum(axis=0))
