"""Several readings of the same patches: do they agree, what is their mean, which are outliers, is the page even, is it dry?

Averages are taken on reflectance, never on Lab. Before that, a test: readings that differ systematically are not averaged.
Differences of the mean colour from reading to reading are set against the noise that is left when they are taken out.

References: [ISO-CIE-11664-6]; MCDM, the mean colour difference from the mean, in its ΔE00 form. Limits stand in
`standards/limits/repeats.toml`.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from spectro.colour.difference import delta_e_2000
from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import InputError, ShapeError
from spectro.records.arrays import FloatArray, IntArray, frozen_floats
from spectro.standards.limits import shipped_limits

_LIMITS = shipped_limits("repeats")
SYSTEMATIC, CERTAIN = _LIMITS["systematic"], _LIMITS["certain"]
LEAST_PATCHES = int(_LIMITS["patches"])
_TO_DEVIATION = 1.4826  # median absolute deviation to standard deviation of a normal distribution


@dataclass(frozen=True, slots=True, kw_only=True)
class RepeatOutlier:
    """One reading of one patch far from the other readings of it."""

    reading: int  # which sheet or pass, counted from 0
    patch: int  # row, counted from 0
    position: tuple[int, int, int] | None  # page, row, column, counted from 1
    delta_e_2000: float  # from the median of the readings


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MergedReadings:
    """What several readings of the same patches gave."""

    reflectance: FloatArray | None  # (n, bands) robust mean; None: the readings differ systematically and were not averaged
    mcdm: float  # mean ΔE00 of the readings from their mean
    noise: float  # mean ΔE00 of one reading from the mean of endlessly many, systematic differences taken out
    systematic: tuple[tuple[int, int, float], ...]  # readings that differ throughout, and by how much (ΔE00)
    outliers: tuple[RepeatOutlier, ...]  # left out of the mean where there are three readings or more
    sentence: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PageEvenness:
    """How a page differs over its area, from repeats of one or more patches: relative reflectance, mean over the bands."""

    coefficients: FloatArray  # (3,) or (6,), of 1, x, y, x², xy, y² with x, y from -1 to 1
    range_delta_e: float  # largest ΔE00 between two of the places, of what the surface says
    left: float  # root mean square of what the surface leaves, relative reflectance
    certain: bool  # the surface explains more than chance


@dataclass(frozen=True, slots=True, kw_only=True)
class Drying:
    """Whether patches still change."""

    change: float  # mean ΔE00 between the two readings
    limit: float  # what noise alone would give at most
    dry: bool
    sentence: str


def merge_readings(
    readings: Sequence[FloatArray], wavelengths: FloatArray, *, positions: IntArray | None = None
) -> MergedReadings:
    """Merge two or more readings (n, bands) of the same n patches, n >= 5, reflectance factors.

    positions: (n, 3) page, row, column from 1, for the list of outliers.
    Raises InputError for fewer than two readings or five patches, ShapeError where shapes differ.
    """
    together = _stacked(readings)
    count, patches = together.shape[:2]
    lab = np.stack([spectra_to_lab(one, wavelengths) for one in together])
    middle = np.median(lab, axis=0)
    shifts = np.median(lab - middle, axis=1)
    centred = lab - shifts[:, None, :]
    distance = delta_e_2000(centred, np.median(centred, axis=0))
    spread = max(float(np.median(distance)) * _TO_DEVIATION, 0.02)
    wrong = (distance > max(_LIMITS["outlier_least"], _LIMITS["outlier"] * spread)) & (distance >= distance.max(axis=0))
    outliers = tuple(
        RepeatOutlier(
            reading=int(reading), patch=int(patch), delta_e_2000=float(distance[reading, patch]),
            position=tuple(int(value) for value in positions[patch]) if positions is not None and len(positions) else None,  # type: ignore[arg-type]
        )
        for reading, patch in np.argwhere(wrong)
    )  # fmt: skip
    systematic = _systematic(lab, wrong)
    kept = np.where(wrong[..., None], np.nan, together) if count > 2 else together
    mean = np.nanmean(kept, axis=0)
    mcdm = float(delta_e_2000(lab, spectra_to_lab(mean, wavelengths)).mean())
    mean_of_centred = np.nanmean(np.where(wrong[..., None], np.nan, centred), axis=0) if count > 2 else centred.mean(axis=0)
    good = delta_e_2000(centred, mean_of_centred)[~wrong]
    noise = float(good.mean() * np.sqrt(count / (count - 1)))
    words = f"{count} readings of {patches} patches, mean difference from the mean ΔE00 {mcdm:.2f}"
    if systematic:
        first, second, size = max(systematic, key=lambda entry: entry[2])
        words += (
            f"; readings {first + 1} and {second + 1} differ throughout by ΔE00 {size:.2f}: not averaged. "
            "Find out which is right, or keep them apart."
        )
    elif outliers:
        words += f"; {len(outliers)} outliers" + (" left out" if count > 2 else ": read these patches a third time")
    return MergedReadings(
        reflectance=None if systematic else frozen_floats(mean),
        mcdm=mcdm,
        noise=noise,
        systematic=systematic,
        outliers=outliers,
        sentence=words + ("" if words.endswith(".") else "."),
    )


def halves_differ(first: FloatArray, second: FloatArray) -> tuple[bool, float]:
    """Tell whether the same patches read twice, or differences from prediction of two sets, differ throughout.

    first, second: Lab (n, 3) of the same patches before and after, n >= 5.
    Returns whether they do, and the systematic difference as ΔE00 at the patches' mean colour. A difference counts where
    it is above 0.25 ΔE00 and four standard errors of the patches' own scatter.
    """
    if np.shape(first) != np.shape(second) or np.ndim(first) != 2 or len(first) < LEAST_PATCHES:
        raise ShapeError(f"shapes {np.shape(first)} and {np.shape(second)}; expected two of (n, 3), n at least {LEAST_PATCHES}")
    size, errors = _shift(np.asarray(second) - np.asarray(first), np.asarray(first))
    return size > SYSTEMATIC and errors > CERTAIN, size


def page_evenness(
    reflectance: FloatArray, group: IntArray, positions: IntArray, wavelengths: FloatArray
) -> PageEvenness | None:
    """Return the low-order surface over a page that repeats of patches show; None for fewer than six repeats.

    reflectance: (n, bands) of readings; group: (n,) which patch each is a repeat of; positions: (n, 3) page, row, column.
    A plane from six repeats on, a quadratic surface from twelve. Each patch's own mean is taken out first.
    """
    counts = np.bincount(group)
    used = counts[group] > 1
    if used.sum() < _LIMITS["plane_readings"]:
        return None
    levels, which = np.asarray(reflectance)[used], np.unique(group[used], return_inverse=True)[1]
    means = np.stack([levels[which == k].mean(axis=0) for k in range(which.max() + 1)])
    weight = means[which].sum(axis=1)
    relative = levels.sum(axis=1) / weight - 1
    places = np.asarray(positions, dtype=np.float64)[used, 1:]
    low, high = places.min(axis=0), places.max(axis=0)
    x, y = (2 * (places - low) / np.maximum(high - low, 1) - 1).T
    free = 6 if used.sum() >= _LIMITS["surface_readings"] else 3
    terms = np.stack([np.ones_like(x), x, y, x**2, x * y, y**2], axis=1)[:, :free]
    own = np.zeros((len(which), which.max() + 1))
    own[np.arange(len(which)), which] = 1
    centred = terms[:, 1:] - own @ (own.T @ terms[:, 1:] / own.sum(axis=0)[:, None])
    found, *_ = np.linalg.lstsq(centred, relative, rcond=None)
    left = relative - centred @ found
    freedom = max(len(relative) - which.max() - 1 - len(found), 1)
    explained = ((centred @ found) ** 2).sum() / max(len(found), 1)
    surface = terms[:, 1:] @ found
    middle = means.mean(axis=0)
    ends = [spectra_to_lab(middle * (1 + value), wavelengths) for value in (surface.min(), surface.max())]
    return PageEvenness(
        coefficients=frozen_floats([0.0, *found]),
        range_delta_e=float(delta_e_2000(*ends)),
        left=float(np.sqrt((left**2).sum() / freedom)),
        certain=bool(freedom >= _LIMITS["left_readings"] and explained > _LIMITS["uneven"] * (left**2).sum() / freedom),
    )


def drying(before: FloatArray, after: FloatArray, wavelengths: FloatArray, *, noise: float) -> Drying:
    """Tell whether five patches or more (n, bands), read again after a while, still change.

    noise: mean ΔE00 of one reading from the mean of many. Two readings of a patch that does not change differ by
    sqrt(2) of it on average; their mean over n patches seldom by more than half as much again for five patches.
    """
    pair = _stacked([before, after])
    first, second = (spectra_to_lab(one, wavelengths) for one in pair)
    change = float(delta_e_2000(first, second).mean())
    limit = noise * np.sqrt(2) * (1 + 1.2 / np.sqrt(len(first)))
    shifted, size = halves_differ(first, second)
    dry = change <= limit and not (shifted and size > limit)
    words = f"mean change ΔE00 {change:.2f}; noise alone gives at most {limit:.2f}: "
    words += "the print is dry enough to be read." if dry else "the print still changes; wait and read these patches again."
    return Drying(change=change, limit=float(limit), dry=bool(dry), sentence=words)


def _stacked(readings: Sequence[FloatArray]) -> FloatArray:
    if len(readings) < 2:
        raise InputError(f"{len(readings)} readings", "two or more of the same patches", "Read them again.")
    shapes = {np.shape(one) for one in readings}
    if len(shapes) > 1 or len(next(iter(shapes))) != 2:
        raise ShapeError(f"readings of shapes {sorted(shapes)}; expected one shape (patches, bands)")
    together = np.stack([np.asarray(one, dtype=np.float64) for one in readings])
    if together.shape[1] < LEAST_PATCHES:
        raise InputError(f"{together.shape[1]} patches", f"{LEAST_PATCHES} or more", "Read more patches twice.")
    return together


def _systematic(lab: FloatArray, wrong: np.ndarray[tuple[int, ...], np.dtype[np.bool_]]) -> tuple[tuple[int, int, float], ...]:
    found = []
    for first in range(len(lab)):
        for second in range(first + 1, len(lab)):
            keep = ~(wrong[first] | wrong[second])
            if keep.sum() >= LEAST_PATCHES:
                size, errors = _shift((lab[second] - lab[first])[keep], lab[first][keep])
                if size > SYSTEMATIC and errors > CERTAIN:
                    found.append((first, second, size))
    return tuple(found)


def _shift(differences: FloatArray, lab: FloatArray) -> tuple[float, float]:
    """Return the mean difference as ΔE00 (differences (n, 3) weighted by what the eye sees), and it in standard errors.

    The mean difference is a vector in Lab; each patch's share is scaled by its own ΔE00 sensitivity, so that a shift of
    dark and light, grey and colourful patches alike counts once.
    """
    unit = 1e-3
    axes = np.eye(3) * unit
    sensitivity = np.stack([delta_e_2000(lab, lab + axis) / unit for axis in axes], axis=1)  # (n, 3)
    weighted = differences * sensitivity
    mean = weighted.mean(axis=0)
    error = np.sqrt(weighted.var(axis=0, ddof=1) / len(weighted))
    size = float(np.sqrt((mean**2).sum()))
    along = float(np.sqrt(((mean / max(size, 1e-12)) ** 2 * error**2).sum()))
    return size, size / max(along, 1e-9)
