"""What each ink prints, told by all readings together: a law that needs no patch of a full ink alone.

Densities of X, Y, Z add up over inks, roughly: D = d0 + Σ ink · d. The d of each ink is found by least squares over all
patches, light ones counting for more, since inks on top of one another add up worse. How well it is known comes with it.
Rough as the rule is, on published and measured prints 40 patches give hues within 15° of those of the solids, 60 without any
solid within 25°. What an ink prints at full is not told by tints of it alone, however many: parts of charts have such.
"""

from dataclasses import dataclass

import numpy as np

from spectro.colour.lab import D50_PCS, lab_to_xyz, xyz_to_lab
from spectro.records.arrays import FloatArray
from spectro.records.gate import BrokenLaw, Law
from spectro.records.limits import Limits

_DARKEST = 1e-3  # of the paper's X, Y, Z: below it a density is none
_FADES = 0.5  # of the weight's exponent, for each full ink that lies on a patch


@dataclass(frozen=True, slots=True, kw_only=True)
class InkColours:
    """What inks print."""

    paper: FloatArray  # (3,), XYZ of the bare paper: as read, as all readings tell, or else white and as light as the lightest
    lab: FloatArray  # (inks, 3), relative to the paper
    unsure: FloatArray  # (inks,), standard error of the density, natural logarithm; infinite where too little tells of an ink


def ink_colours(ink: FloatArray, lab: FloatArray, limits: Limits) -> InkColours:
    """Return what each ink prints by itself, as all readings together tell. ink: (n, inks), 1 = full. lab: (n, 3), D50/2°."""
    total = ink.sum(axis=1)
    xyz = lab_to_xyz(lab)
    paper = np.maximum(np.median(xyz[total <= total.min() + 1e-6], axis=0), 1e-3)
    density = -np.log(np.maximum(xyz / paper, _DARKEST))
    weight = np.exp(-_FADES * total)[:, None]
    terms = np.concatenate([np.ones((len(ink), 1)), ink], axis=1) * weight
    told = np.flatnonzero(np.ptp(ink, axis=0) > 0)
    used = terms[:, [0, *(told + 1)]]
    found, _, rank, _ = np.linalg.lstsq(used, density * weight, rcond=1e-6)
    unsure = np.full(ink.shape[1], np.inf)
    alone = np.zeros((ink.shape[1], 3))
    alone[told] = found[1:]
    free = len(ink) - used.shape[1]
    if rank == used.shape[1] and free > 0:
        left = ((density * weight - used @ found) ** 2).sum(axis=0) / free
        spread = np.diag(np.linalg.inv(used.T @ used))[1:]
        wide = np.ptp(ink[:, told], axis=0) >= limits["ink_span"]
        unsure[told] = np.where(wide, np.sqrt(spread * left.max()), np.inf)
    if total.min() > limits["bare_ink"]:
        known = (unsure <= limits["ink_known"]).all()
        paper = paper * np.exp(-found[0]) if known else D50_PCS * float(xyz[:, 1].max()) / D50_PCS[1]
    return InkColours(paper=paper, lab=xyz_to_lab(np.exp(-alone) * D50_PCS), unsure=unsure)


def black_neutral(colours: InkColours, black: int | None, limits: Limits) -> tuple[Law | None, BrokenLaw | None]:
    """Return whether black prints next to no colour beside the other inks; (None, None) where that cannot be told."""
    if black is None or not (colours.unsure <= limits["ink_known"]).all():
        return None, None
    chroma = np.hypot(colours.lab[:, 1], colours.lab[:, 2])
    most = max(limits["hue_chroma"], limits["black_chroma"] * float(np.delete(chroma, black).max()))
    if chroma[black] <= most:
        return Law.BLACK_NEUTRAL, None
    return Law.BLACK_NEUTRAL, BrokenLaw(law=Law.BLACK_NEUTRAL, found=float(chroma[black]), limit=most, weight=0.5)
