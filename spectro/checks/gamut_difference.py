"""What one gamut holds that another lacks, by named region of colour."""

import functools

import numpy as np

from spectro.boundary.solid import CHROMATIC, HUES, LIGHTNESS, STEP_AB, STEP_L, GamutSolid
from spectro.checks.colour_regions import NAMES, region_of, sector_of
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.paper_comparison import GamutChange, RegionChange

_CELL = STEP_L * STEP_AB**2


def gamut_change(old: GamutSolid, new: GamutSolid) -> GamutChange:
    """Return what the new gamut gains and loses against the old one."""
    regions = _cell_regions()
    counts = [
        np.bincount(regions[mask], minlength=len(NAMES)) * _CELL
        for mask in (old.filled & ~new.filled, new.filled & ~old.filled, old.filled, new.filled)
    ]
    lost, gained, of_old, of_new = counts
    chroma = _largest_chroma(old.reach), _largest_chroma(new.reach)
    rows = tuple(
        RegionChange(
            name=NAMES[index],
            gained=float(gained[index]),
            lost=float(lost[index]),
            old_volume=float(of_old[index]),
            new_volume=float(of_new[index]),
            old_chroma=float(chroma[0][index]),
            new_chroma=float(chroma[1][index]),
        )
        for index in range(len(NAMES))
        if of_old[index] or of_new[index]
    )
    return GamutChange(
        old_volume=old.volume,
        new_volume=new.volume,
        shared=float((old.filled & new.filled).sum()) * _CELL,
        gained=float(gained.sum()),
        lost=float(lost.sum()),
        regions=tuple(sorted(rows, key=lambda row: -max(row.gained, row.lost))),
    )


@functools.cache
def _cell_regions() -> IntArray:
    lightness, a, b = np.meshgrid(LIGHTNESS, CHROMATIC, CHROMATIC, indexing="ij")
    return region_of(np.stack([lightness, a, b], axis=-1))


def _largest_chroma(reach: FloatArray) -> FloatArray:
    """Return the largest chroma (regions,) reached in each region; 0 for greys and where nothing is reached."""
    angle = np.radians(HUES)
    lab = np.stack(
        [
            np.broadcast_to(LIGHTNESS[:, None], reach.shape),
            reach * np.cos(angle),
            reach * np.sin(angle),
        ],
        axis=-1,
    )
    found = np.zeros(len(NAMES))
    reached = reach > 0
    at = 3 * sector_of(lab) + region_of(lab) % 3
    np.maximum.at(found, at[reached], reach[reached])
    return found
