"""Taking out the width of the instrument's band.

Reference: [Stearns-Stearns-1988], for a triangular band as wide at half height as the spacing of the wavelengths.
"""

import numpy as np

from spectro.errors import ShapeError
from spectro.records.arrays import ArrayLike, FloatArray

ALPHA = 0.083


def bandpass_corrected(reflectance: ArrayLike) -> FloatArray:
    """Return reflectance spectra (..., bands), bands >= 2, as a band of no width would have read them.

    Each value is corrected with its neighbours as measured (never with corrected ones). Most instruments correct their
    readings before they write them: doing it twice sharpens noise. A constant spectrum stays as it is.

    >>> bandpass_corrected([0.0651, 0.0705, 0.0772, 0.0870, 0.1128, 0.1360]).round(7).tolist()
    [0.0646518, 0.0703921, 0.0769427, 0.085672, 0.1130158, 0.1379256]
    """
    values = np.asarray(reflectance, dtype=np.float64)
    if values.ndim == 0 or values.shape[-1] < 2:
        raise ShapeError(f"reflectance has shape {values.shape}; expected (..., bands) with two bands at least")
    steps = np.diff(values, axis=-1)
    corrected = values.copy()
    corrected[..., :-1] -= ALPHA * steps
    corrected[..., 1:] += ALPHA * steps
    return corrected
