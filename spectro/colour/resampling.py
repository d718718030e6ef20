"""Spectra at other wavelengths than they were measured at, and without the width of the instrument's band.

References: [CIE-167-2005] Sprague's fifth-degree interpolation for evenly spaced data and the values it needs beyond the
ends; [ASTM-E2022] cubic Lagrange interpolation, which also serves uneven data; [Stearns-Stearns-1988] for a triangular band
as wide at half height as the spacing of the wavelengths.
"""

import numpy as np

from spectro.colour.weights import interval_nm, lagrange_matrix
from spectro.errors import InputError, ShapeError
from spectro.records.arrays import ArrayLike, FloatArray, frozen_floats

METHODS = ("sprague", "lagrange", "linear")
_EDGE = frozen_floats([[884, -1960, 3033, -2648, 1080, -180], [508, -540, 488, -367, 144, -24]]) / 209
_FIFTH = frozen_floats(  # powers of the place within the interval, constant first; columns: the six values around it
    [
        [0, 0, 24, 0, 0, 0],
        [2, -16, 0, 16, -2, 0],
        [-1, 16, -30, 16, -1, 0],
        [-9, 39, -70, 66, -33, 7],
        [13, -64, 126, -124, 61, -12],
        [-5, 25, -50, 50, -25, 5],
    ]
) / 24  # fmt: skip


def sprague_matrix(nodes: FloatArray, targets: FloatArray) -> FloatArray:
    """Return (targets, nodes): Sprague interpolation of evenly spaced nodes (n,), n >= 6; end values held beyond them."""
    step = interval_nm(nodes)
    count = len(nodes)
    if count < 6:
        raise InputError(f"{count} wavelengths", "six at least for Sprague interpolation", "Choose the method lagrange.")
    extended = np.zeros((count + 4, count))
    extended[2:-2] = np.eye(count)
    extended[:2, :6] = _EDGE
    extended[-2:, -6:] = _EDGE[::-1, ::-1]
    place = (np.clip(targets, nodes[0], nodes[-1]) - nodes[0]) / step
    interval = np.minimum(np.floor(place + 1e-12).astype(int), count - 2)
    powers = (place - interval)[:, None] ** np.arange(6)
    around = extended[interval[:, None] + np.arange(6)]  # (targets, 6, nodes)
    matrix: FloatArray = np.einsum("tp,pk,tkn->tn", powers, _FIFTH, around)
    return matrix


def resampled(values: ArrayLike, wavelengths: ArrayLike, targets: ArrayLike, method: str = "lagrange") -> FloatArray:
    """Return spectra (..., m) at targets (m,), nm, of spectra values (..., n) at wavelengths (n,), nm, rising.

    method: "lagrange" (cubic, quadratic in the first and last interval; even or uneven data, n >= 4), "sprague" (even
    data, n >= 6) or "linear". Beyond the ends the outermost value is held, whatever the method.
    Raises ShapeError or InputError for data the method cannot take.

    >>> resampled([0.0, 1.0, 16.0, 81.0, 256.0, 625.0, 1296.0], range(7), [2.5, 3.25], "sprague").round(6).tolist()
    [39.0625, 111.566406]
    """
    values = np.asarray(values, dtype=np.float64)
    nodes = np.asarray(wavelengths, dtype=np.float64)
    wanted = np.asarray(targets, dtype=np.float64)
    if nodes.ndim != 1 or values.shape[-1:] != nodes.shape:
        raise ShapeError(f"values have shape {values.shape}; expected (..., {nodes.size}), one a wavelength")
    if len(nodes) < 2 or not np.all(np.diff(nodes) > 0):
        raise InputError("wavelengths that do not rise", "rising wavelengths", "Sort the spectrum; leave doubles out.")
    if method == "lagrange" and len(nodes) >= 4:
        return np.asarray(values @ lagrange_matrix(nodes, wanted).T)
    if method == "sprague":
        return np.asarray(values @ sprague_matrix(nodes, wanted).T)
    if method == "linear":
        place = np.clip(np.searchsorted(nodes, wanted, side="right") - 1, 0, len(nodes) - 2)
        part = np.clip((wanted - nodes[place]) / (nodes[place + 1] - nodes[place]), 0.0, 1.0)
        return np.asarray(values[..., place] * (1 - part) + values[..., place + 1] * part)
    if method == "lagrange":
        raise InputError(f"{len(nodes)} wavelengths", "four at least", "Choose the method linear.")
    raise InputError(f"the method {method!r}", "one of " + ", ".join(METHODS), "Choose one of these.")


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
