"""Signs by which a print path gives itself away, measured on the page of a path test.

A path is a map from device values to device values. Whatever it is, the print cannot show a colour that the printer itself
does not reach: a path that reaches less than another one is not the raw one. Limits are ours (no source).
"""

from dataclasses import dataclass

import numpy as np

from spectro.colour.difference import delta_e_2000
from spectro.colour.lab import D50_PCS, lab_to_xyz, xyz_to_lab
from spectro.colour.srgb import srgb_to_lab
from spectro.errors import InputError
from spectro.records.arrays import BoolArray, FloatArray, IntArray
from spectro.records.limits import Limits
from spectro.records.path_test import PathDifference, PathPrint, PathSigns
from spectro.standards.limits import shipped_limits

_SAME = 1e-6
_NEAR = (0.03, 0.1)  # how far inside the corners near corners are, device values
_MIDDLE = (0.15, 0.85)  # mid-tones lie within, with a spread of 0.2 at least
_LEAST_MIDS, _LEAST_NEAR = 4, 4
_HALF = 0.5


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PagePatches:
    """Which rows of a page are what."""

    white: int
    black: int
    corners: IntArray  # the six chromatic ones
    near: IntArray  # (k, 2) rows of a corner and of the patch just inside it
    greys: IntArray  # black to white
    mids: IntArray


def page_patches(device: FloatArray, limits: Limits | None = None) -> PagePatches:
    """Tell from device values (n, 3), 0 to 1, which patches a page holds. limits: of path tests; None: as shipped.

    Raises InputError where what a path test needs is not there: any page or chart with corners, greys and mid-tones will do.
    """
    limits = limits or shipped_limits("path_test")
    ends: BoolArray = np.all((device < _SAME) | (device > 1 - _SAME), axis=1)
    spread = np.ptp(device, axis=1)
    grey = spread < _SAME
    greys = np.flatnonzero(grey)[np.argsort(device[grey, 0], kind="stable")]
    corners = np.flatnonzero(ends & ~grey)
    inside = (device.min(axis=1) >= _MIDDLE[0]) & (device.max(axis=1) <= _MIDDLE[1])
    mids = np.flatnonzero(inside & (spread >= limits["mids_spread"]))
    pairs = []
    for corner in corners.tolist():
        away = np.where(device[corner] > _HALF, 1 - device, device)
        fits = np.flatnonzero((away >= _NEAR[0]).all(axis=1) & (away <= _NEAR[1]).all(axis=1))
        pairs += [(corner, int(row)) for row in fits[:1]]
    missing = [
        name
        for name, short in (
            ("paper white", not len(greys) or device[greys[-1], 0] < 1 - _SAME),
            ("black", not len(greys) or device[greys[0], 0] > _SAME),
            ("the six full primaries and secondaries", len(corners) < limits["corners"]),
            (f"{limits['greys']:.0f} greys", len(greys) < limits["greys"]),
            (f"{_LEAST_MIDS} mid-tones", len(mids) < _LEAST_MIDS),
        )
        if short
    ]
    if missing:
        raise InputError(
            f"readings without {', '.join(missing)}",
            "readings of the page that `spectro chart path-test --out FOLDER` makes",
            "Print and read that page.",
        )
    near = np.array(pairs if len(pairs) >= _LEAST_NEAR else [], dtype=np.int64).reshape(-1, 2)
    return PagePatches(white=int(greys[-1]), black=int(greys[0]), corners=corners, near=near, greys=greys, mids=mids)


def path_signs(page: PathPrint, patches: PagePatches) -> PathSigns:
    """Return what the print of one path shows by itself."""
    lab = page.lab
    steps = delta_e_2000(lab[patches.near[:, 0]], lab[patches.near[:, 1]]) if len(patches.near) else None
    return PathSigns(
        reach=_volume(lab),
        strongest_step=None if steps is None else float(np.median(steps)),
        mid_chroma=float(np.hypot(lab[patches.mids, 1], lab[patches.mids, 2]).mean()),
        likeness=_likeness(page, patches),
    )


def path_difference(one: PathPrint, other: PathPrint, patches: PagePatches) -> PathDifference:
    """Return what sets the print of one path apart from that of another."""
    delta = delta_e_2000(one.lab, other.lab)
    signs, others = path_signs(one, patches), path_signs(other, patches)
    together = _volume(np.vstack([one.lab, other.lab]))
    ratio = None
    if signs.strongest_step is not None and others.strongest_step is not None:
        ratio = signs.strongest_step / max(others.strongest_step, 0.1)
    return PathDifference(
        mean=float(delta.mean()),
        largest=float(delta.max()),
        lost=max(0.0, 1 - signs.reach / together),
        gained=max(0.0, 1 - others.reach / together),
        step_ratio=ratio,
        chroma_ratio=signs.mid_chroma / max(others.mid_chroma, 1.0),
        tone_shift=float((grey_equivalents(one, other, patches) - other.device[patches.greys, 0])[1:-1].mean()),
    )


def grey_equivalents(one: PathPrint, other: PathPrint, patches: PagePatches) -> FloatArray:
    """Return the device values (k,) that print on the other path as light as the greys of the one, black to white."""
    ramp = np.maximum.accumulate(other.lab[patches.greys, 0]) + np.arange(len(patches.greys)) * 1e-9
    return np.asarray(np.interp(one.lab[patches.greys, 0], ramp, other.device[patches.greys, 0]), dtype=np.float64)


def _volume(lab: FloatArray) -> float:
    """Return the volume of the convex hull of colours (n, 3)."""
    from scipy.spatial import ConvexHull, QhullError

    try:
        return float(ConvexHull(lab).volume)
    except QhullError:
        raise InputError(
            "readings that are all greys, or all alike", "the colours of an RGB print", "Check the files and the device values."
        ) from None


def _likeness(page: PathPrint, patches: PagePatches) -> float:
    """Return the mean ΔE00 of greys and mid-tones from the sRGB colours of the same numbers, black to black, white to white."""
    rows = np.concatenate([patches.greys[1:-1], patches.mids])
    xyz = lab_to_xyz(page.lab)
    black, white = xyz[patches.black], xyz[patches.white]
    share = np.clip((xyz[rows] - black) / np.maximum(white - black, 1e-6), 1e-5, None)
    return float(delta_e_2000(xyz_to_lab(share * D50_PCS, D50_PCS), srgb_to_lab(page.device[rows])).mean())
