"""Numbers of a page that somebody's program is going to convert: CIELAB and opRGB, as a picture file holds them.

References: [TIFF-6.0] CIE L*a*b* pictures: L* 0 to 100 over the unsigned range, a* and b* as signed whole numbers of 8 bits;
of 16 bits the same times 256. [IEC-61966-2-5] opRGB.
"""

import numpy as np

from spectro.colour.adaptation import bradford_matrix
from spectro.colour.lab import D50_PCS, lab_to_xyz, xyz_to_lab
from spectro.colour.rgb_spaces import OPRGB_GAMMA, primaries_matrix, space_chromaticities, xyz_of_chromaticity
from spectro.records.arrays import ArrayLike, BoolArray, FloatArray
from spectro.records.proof import ProofWay

_FULL = 255
_CLIPPED = 0.5 / _FULL  # a colour this far outside is still held to the nearest step


def oprgb_to_pcs() -> FloatArray:
    """Return the 3 by 3 matrix from linear opRGB, 0 to 1, to XYZ under the PCS's D50, Y = 1 for white."""
    places = space_chromaticities("opRGB")
    return bradford_matrix(xyz_of_chromaticity(places[3]), D50_PCS / 100) @ primaries_matrix(places)


def oprgb_to_lab(encoded: ArrayLike) -> FloatArray:
    """Return Lab (..., 3), D50, of encoded opRGB (..., 3), 0 to 1.

    >>> (oprgb_to_lab([1, 1, 1]).round(3) + 0.0).tolist()
    [100.0, 0.0, 0.0]
    """
    linear = np.clip(np.asarray(encoded, dtype=np.float64), 0, 1) ** OPRGB_GAMMA
    return xyz_to_lab(100 * (linear @ oprgb_to_pcs().T))


def lab_to_oprgb(lab: ArrayLike) -> FloatArray:
    """Return encoded opRGB (..., 3) of Lab (..., 3), D50; below 0 or above 1 where opRGB does not hold the colour."""
    linear = (lab_to_xyz(lab) / 100) @ np.linalg.inv(oprgb_to_pcs()).T
    return np.asarray(np.sign(linear) * np.abs(linear) ** (1 / OPRGB_GAMMA))


def held_on_page(lab: ArrayLike, way: ProofWay) -> tuple[FloatArray, BoolArray]:
    """Return the colours (n, 3) nearest to lab (n, 3) that 8 bits of the page hold exactly, and which are held at all (n,).

    Device pages hold any colour as it is.
    """
    values = np.asarray(lab, dtype=np.float64)
    if way is ProofWay.DEVICE:
        return values.copy(), np.ones(len(values), dtype=np.bool_)
    if way is ProofWay.LAB:
        held = np.asarray(((values >= [0, -128, -128]) & (values <= [100, 127, 127])).all(axis=1))
        steps = np.clip(np.rint(values[:, 0] / 100 * _FULL), 0, _FULL)
        return np.column_stack([steps * 100 / _FULL, np.clip(np.rint(values[:, 1:]), -128, 127)]), held
    encoded = lab_to_oprgb(values)
    held = np.asarray(((encoded >= -_CLIPPED) & (encoded <= 1 + _CLIPPED)).all(axis=1))
    return oprgb_to_lab(np.rint(np.clip(encoded, 0, 1) * _FULL) / _FULL), held


def page_numbers(lab: ArrayLike, way: ProofWay, bits: int) -> FloatArray:
    """Return lab (n, 3) as fractions (n, 3) of the largest whole number of 8 or 16 bits, as the file holds it.

    a* and b* below zero stand in the upper half, as signed numbers do.

    >>> page_numbers([[50, -1, 2]], ProofWay.LAB, 8).round(4).tolist()
    [[0.5, 1.0, 0.0078]]
    """
    values = np.asarray(lab, dtype=np.float64)
    if way is ProofWay.OPRGB:
        return np.asarray(np.clip(lab_to_oprgb(values), 0, 1))
    full = 2**bits
    signed = np.rint(values[:, 1:] * (1 if bits == 8 else 256)) % full
    return np.column_stack([values[:, 0] / 100, signed / (full - 1)])
