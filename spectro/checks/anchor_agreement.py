"""Anchors read again: does the instrument still read what it read at first?

Two tests, since instruments move in two ways. A gain, an offset or a tilt of the spectrum moves all anchors alike: their
mean difference tells it, well below the noise of a single reading. A shift along the wavelengths moves colours in
different directions, and the mean hardly: the root of the mean square tells it, beside what noise alone gives.
Limits stand in `standards/limits/sitting.toml`: a shift of 0.5 ΔE00 is to be caught.

References: [ISO-CIE-11664-6].
"""

from dataclasses import dataclass

import numpy as np

from spectro.colour.difference import delta_e_2000
from spectro.errors import ShapeError
from spectro.records.arrays import FloatArray
from spectro.records.limits import Limits
from spectro.standards.limits import shipped_limits

WANTED_ANCHORS = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class AnchorAgreement:
    """Whether two readings of the anchors agree."""

    agree: bool
    shift: float  # ΔE00, the larger of the two below
    common: float  # of the mean difference
    scattered: float  # root mean square beyond what noise gives


def anchor_agreement(
    first: FloatArray, again: FloatArray, *, limit: float | None = None, limits: Limits | None = None
) -> AnchorAgreement:
    """Compare two readings of the same anchors, Lab (n, 3), as many as limits want at least.

    limit: ΔE00 throughout up to which they agree; None: those of limits, of the subject "sitting"; None: the shipped ones.
    Raises ShapeError for other shapes.
    """
    limits = limits or shipped_limits("sitting")
    first, again = np.asarray(first, dtype=np.float64), np.asarray(again, dtype=np.float64)
    least = least_anchors(limits)
    if first.shape != again.shape or first.ndim != 2 or first.shape[1] != 3 or len(first) < least:
        raise ShapeError(f"anchors of shapes {first.shape} and {again.shape}; expected two of (n, 3), n >= {least}")
    weighted = (again - first) * _sensitivity(first)
    mean = weighted.mean(axis=0)
    common = float(np.sqrt((mean**2).sum()))
    errors = np.sqrt(weighted.var(axis=0, ddof=1) / len(weighted))
    along = float(np.sqrt(((mean / max(common, 1e-12)) ** 2 * errors**2).sum()))
    scattered = float(np.sqrt(max(0.0, float((weighted**2).sum(axis=1).mean()) - limits["anchors_noise"] ** 2)))
    most_common = limits["anchors_common"] if limit is None else limit
    most_scattered = limits["anchors_scattered"] if limit is None else limit
    agree = (common <= most_common or common <= limits["anchors_certain"] * along) and scattered <= most_scattered
    return AnchorAgreement(agree=agree, shift=max(common, scattered), common=common, scattered=scattered)


def least_anchors(limits: Limits) -> int:
    """Return how many anchors are compared at least, those of a sitting's limits; a single one has no spread."""
    return max(2, int(limits["anchors_least"]))


def _sensitivity(lab: FloatArray) -> FloatArray:
    """Return (n, 3): ΔE00 a unit of L*, a* and b* at each colour."""
    unit = 1e-3
    return np.stack([delta_e_2000(lab, lab + axis) / unit for axis in np.eye(3) * unit], axis=1)
