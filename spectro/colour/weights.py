"""Weights that turn reflectance spectra into tristimulus values.

References: [ASTM-E2022] calculation of weighting factors (cubic Lagrange inside, quadratic in the first and last
interval); [ASTM-E308] adding the weights of absent wavelengths to the outermost measured band.
"""

import functools

import numpy as np

from spectro.errors import InputError
from spectro.records.arrays import FloatArray, frozen_floats
from spectro.standards.tables import illuminant_power, observer_table

FIRST_NM, LAST_NM = 360, 780  # the range of the E308 tables


def interval_nm(wavelengths: FloatArray) -> float:
    """Return the step of evenly spaced wavelengths (nm). Raises InputError where they are not even or too few."""
    steps = np.diff(wavelengths)
    if len(wavelengths) < 4 or not np.all(steps > 0) or np.ptp(steps) > 1e-6:
        raise InputError(
            f"wavelengths {np.array2string(np.asarray(wavelengths), threshold=6)}",
            "at least four, rising in even steps",
            "Export the spectra with one step.",
        )
    return float(steps[0])


def lagrange_matrix(nodes: FloatArray, targets: FloatArray) -> FloatArray:
    """Return (targets, nodes): interpolation by cubic Lagrange polynomials, quadratic in the first and last interval.

    nodes: (n,) rising, n >= 4. targets: (m,); a target beyond the nodes takes the outermost node's value.
    """
    matrix = np.zeros((len(targets), len(nodes)))
    for row, target in enumerate(np.clip(targets, nodes[0], nodes[-1])):
        interval = min(int(np.searchsorted(nodes, target, side="right")) - 1, len(nodes) - 2)
        if interval == 0:
            used = [0, 1, 2]
        elif interval == len(nodes) - 2:
            used = [len(nodes) - 3, len(nodes) - 2, len(nodes) - 1]
        else:
            used = [interval - 1, interval, interval + 1, interval + 2]
        for node in used:
            others = [other for other in used if other != node]
            matrix[row, node] = np.prod([(target - nodes[o]) / (nodes[node] - nodes[o]) for o in others])
    return matrix


@functools.lru_cache(maxsize=64)
def _weights(start: float, step: float, bands: int, light: tuple[float, ...], observer: int) -> FloatArray:
    grid = np.arange(FIRST_NM, LAST_NM + 1, dtype=np.float64)
    functions = observer_table(observer)
    keep = (functions.wavelengths >= FIRST_NM) & (functions.wavelengths <= LAST_NM)
    products = functions.values[keep] * np.array(light)[:, None]
    products *= 100 / products[:, 1].sum()
    before = int(np.floor((start - FIRST_NM) / step + 1e-9))
    after = int(np.floor((LAST_NM - start) / step + 1e-9))
    nodes = start + step * np.arange(-before, after + 1, dtype=np.float64)
    full = lagrange_matrix(nodes, grid).T @ products
    weights = np.zeros((bands, 3))
    for wavelength, row in zip(nodes, full, strict=True):
        weights[int(np.clip(round((wavelength - start) / step), 0, bands - 1))] += row
    return frozen_floats(weights)


def light_power(illuminant: str) -> FloatArray:
    """Return the relative power of a named illuminant from 360 to 780 nm in steps of 1 nm, shape (421,)."""
    return illuminant_power(illuminant, np.arange(FIRST_NM, LAST_NM + 1, dtype=np.float64))


def tristimulus_weights(wavelengths: FloatArray, illuminant: str = "D50", observer: int = 2) -> FloatArray:
    """Return the weights (bands, 3) for spectra at wavelengths (nm); the Y column sums to 100.

    wavelengths: (bands,), rising in even steps of 20 nm at most; what lies outside 360 to 780 nm gets no weight.
    Raises InputError for uneven or too coarse wavelengths, an unknown illuminant or observer.

    >>> tristimulus_weights(np.arange(380.0, 731.0, 10.0)).sum(axis=0).round(2).tolist()
    [96.42, 100.0, 82.51]
    """
    step = interval_nm(wavelengths)
    if step > 20:
        raise InputError(f"a step of {step:g} nm", "20 nm or finer", "Export the spectra with a finer step.")
    if wavelengths[0] > 420 or wavelengths[-1] < 680:
        raise InputError(
            f"spectra from {wavelengths[0]:g} to {wavelengths[-1]:g} nm",
            "at least 420 to 680 nm",
            "Export the whole visible range.",
        )
    inside = (wavelengths >= FIRST_NM) & (wavelengths <= LAST_NM)
    used = wavelengths[inside]
    weights = np.zeros((len(wavelengths), 3))
    weights[inside] = _weights(float(used[0]), step, len(used), tuple(light_power(illuminant).tolist()), observer)
    return frozen_floats(weights)
