"""Noise of one reading and the difference of sheets: one definition for forecasts, proofs, drift, papers and charts.

The noise of a reading is the mean ΔE00 of one reading from the mean of endlessly many of the same recipe on the same sheet.
The difference of sheets is the mean ΔE00 of the same recipe read once on each of two sheets. Both come from the readings
where these hold enough repeats, else they are stated; what stands in `standards/limits/noise.toml` says from where.
"""

import numpy as np

from spectro.colour.difference import delta_e_2000
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.limits import Limits
from spectro.records.print_noise import PrintNoise
from spectro.standards.limits import shipped_limits

STATED = "stated"


def print_noise(
    lab: FloatArray | None = None,
    group: IntArray | None = None,
    sheets: IntArray | None = None,
    *,
    limits: Limits | None = None,
    sheet: float | None = None,
) -> PrintNoise:
    """Return the noise of one reading and the difference of sheets.

    lab: (n, 3) of every reading; group: (n,) its recipe, from 0; None where nothing was read: both are stated then.
    sheets: (n,) the sheet each reading stands on; None: not known. sheet: a difference of sheets that the user gives.
    limits: of noise; None: the shipped ones.
    """
    limits = limits or shipped_limits("noise")
    found = degrees = None
    if lab is not None and group is not None and len(lab):
        counts = np.bincount(group)
        found, degrees = repeat_noise(lab, group, counts, limits), int((counts - 1).sum())
    few = f"{degrees} repeats, fewer than {limits['repeats']:.0f}: " if degrees else ""
    apart, shared = None, 0
    if sheet is None and found is not None and lab is not None and group is not None and sheets is not None:
        apart, shared = sheet_difference(lab, group, sheets, limits)
    alike = apart if apart is not None and apart < limits["sheet_alike"] else None
    stated = STATED if alike is None else f"{STATED}: those read differ by {alike:.2f} only, as readings of one sheet do"
    apart = apart if alike is None else None
    return PrintNoise(
        reading=limits["reading"] if found is None else found,
        reading_from=f"{few}{STATED}" if found is None else f"{degrees} repeats",
        reading_measured=found is not None,
        sheet=sheet if sheet is not None else limits["sheet"] if apart is None else apart,
        sheet_from="as given" if sheet is not None else stated if apart is None else f"{shared} patches on several sheets",
        sheet_measured=sheet is not None or apart is not None,
        sheet_alike=alike,
    )


def repeat_noise(lab: FloatArray, group: IntArray, counts: IntArray, limits: Limits | None = None) -> float | None:
    """Return the mean ΔE00 of one reading from the expected mean of its repeats; None for too few repeats.

    lab: (n, 3) of every reading; group: (n,) its recipe; counts: (m,) readings of each recipe. The distance to the mean of
    k readings is made that to an endless series by the factor sqrt(k / (k - 1)). limits: of noise; None: the shipped ones.
    """
    limits = limits or shipped_limits("noise")
    if int((counts - 1).sum()) < limits["repeats"]:
        return None
    means = np.column_stack([np.bincount(group, lab[:, axis]) for axis in range(3)]) / counts[:, None]
    repeated = counts[group] > 1
    readings = counts[group][repeated]
    difference = delta_e_2000(lab[repeated], means[group[repeated]])
    return float((difference * np.sqrt(readings / (readings - 1))).mean())


def sheet_difference(
    lab: FloatArray, group: IntArray, sheets: IntArray, limits: Limits | None = None
) -> tuple[float | None, int]:
    """Return the mean ΔE00 between readings of one recipe on different sheets, and how many recipes tell it.

    Every recipe counts once, by its first readings on the first two sheets that have it. None where too few tell it.
    """
    limits = limits or shipped_limits("noise")
    first: dict[int, list[int]] = {}
    for row, recipe in enumerate(group.tolist()):
        rows = first.setdefault(recipe, [])
        if len(rows) < 2 and all(sheets[other] != sheets[row] for other in rows):
            rows.append(row)
    pairs = np.array([rows for rows in first.values() if len(rows) == 2], dtype=np.int64).reshape(-1, 2)
    if len(pairs) < limits["sheet_recipes"]:
        return None, len(pairs)
    return float(delta_e_2000(lab[pairs[:, 0]], lab[pairs[:, 1]]).mean()), len(pairs)


def sheet_share(apart: float, sheets: int) -> float:
    """Return what a new sheet differs by from the mean of so many sheets, where two differ by apart.

    >>> round(sheet_share(0.26, 1), 3), round(sheet_share(0.26, 2), 3)
    (0.26, 0.225)
    """
    return float(apart * np.sqrt((1 + 1 / sheets) / 2))
