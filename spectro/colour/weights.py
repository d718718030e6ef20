"""Weights that turn reflectance spectra into tristimulus values.

References: [ASTM-E2022] calculation of weighting factors (cubic Lagrange inside, quadratic in the first and last
interval); [ASTM-E308] adding the weights of absent wavelengths to the outermost measured band.
"""

import functools

import numpy as np

from spectro.colour.lights import as_light
from spectro.errors import InputError
from spectro.records.arrays import FloatArray, frozen_floats
from spectro.records.light import FIRST_NM, LAST_NM, Light, light_wavelengths
from spectro.standards.tables import observer_table

LARGEST_STEP = 20.0  # nm, the widest interval of [ASTM-E308]
FIRST_BY, LAST_FROM = 420.0, 680.0  # nm a spectrum must reach: common practice, no source


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

    nodes: (n,) rising, n >= 4, even or not. targets: (m,); a target beyond the nodes takes the outermost node's value.
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
def _weights(wavelengths: bytes, power: bytes, observer: int) -> FloatArray:
    """Weights of wavelengths within 360 to 780 nm; both arguments are the bytes of float64 arrays, which can be hashed."""
    measured, light = np.frombuffer(wavelengths), np.frombuffer(power)
    functions = observer_table(observer)
    keep = (functions.wavelengths >= FIRST_NM) & (functions.wavelengths <= LAST_NM)
    products = functions.values[keep] * light[:, None]
    products *= 100 / products[:, 1].sum()
    steps = np.diff(measured)
    if np.ptp(steps) > 1e-6:  # uneven: the same polynomials on the wavelengths there are
        return frozen_floats(lagrange_matrix(measured, light_wavelengths()).T @ products)
    start, step, bands = float(measured[0]), float(steps[0]), len(measured)
    before = int(np.floor((start - FIRST_NM) / step + 1e-9))
    after = int(np.floor((LAST_NM - start) / step + 1e-9))
    nodes = start + step * np.arange(-before, after + 1, dtype=np.float64)
    full = lagrange_matrix(nodes, light_wavelengths()).T @ products
    weights = np.zeros((bands, 3))
    for wavelength, row in zip(nodes, full, strict=True):
        weights[int(np.clip(round((wavelength - start) / step), 0, bands - 1))] += row
    return frozen_floats(weights)


def light_power(illuminant: str | Light) -> FloatArray:
    """Return the relative power of a light from 360 to 780 nm in steps of 1 nm, shape (421,)."""
    return as_light(illuminant).power


def check_wavelengths(wavelengths: FloatArray) -> None:
    """Raise InputError unless wavelengths (bands,) rise, at most 20 nm apart, from 420 nm or less to 680 nm or more."""
    steps = np.diff(wavelengths)
    if len(wavelengths) < 4 or not np.all(np.isfinite(wavelengths)) or not np.all(steps > 0):
        raise InputError(
            f"wavelengths {np.array2string(np.asarray(wavelengths), threshold=6)}",
            "at least four, rising",
            "Export the spectra again.",
        )
    if steps.max() > LARGEST_STEP + 1e-6:
        raise InputError(f"a step of {steps.max():g} nm", "20 nm or finer", "Export the spectra with a finer step.")
    if wavelengths[0] > FIRST_BY or wavelengths[-1] < LAST_FROM:
        raise InputError(
            f"spectra from {wavelengths[0]:g} to {wavelengths[-1]:g} nm",
            "at least 420 to 680 nm",
            "Export the whole visible range.",
        )


def tristimulus_weights(wavelengths: FloatArray, illuminant: str | Light = "D50", observer: int = 2) -> FloatArray:
    """Return the weights (bands, 3) for spectra at wavelengths (nm); the Y column sums to 100.

    wavelengths: (bands,), rising in steps of 20 nm at most, even or not; what lies outside 360 to 780 nm gets no weight.
        Even steps: the weights of E2022. Uneven: the same interpolation to 1 nm on the wavelengths there are. What is
        absent at the ends takes the value of the outermost band either way.
    illuminant: a name, see `named_light`, or a light.
    Raises InputError for too coarse or falling wavelengths, an unknown illuminant or observer.

    >>> tristimulus_weights(np.arange(380.0, 731.0, 10.0)).sum(axis=0).round(2).tolist()
    [96.42, 100.0, 82.51]
    """
    wavelengths = np.asarray(wavelengths, dtype=np.float64)
    check_wavelengths(wavelengths)
    inside = (wavelengths >= FIRST_NM) & (wavelengths <= LAST_NM)
    weights = np.zeros((len(wavelengths), 3))
    weights[inside] = _weights(wavelengths[inside].tobytes(), light_power(illuminant).tobytes(), observer)
    return frozen_floats(weights)
