"""Damped Gauss-Newton steps towards the nearest printable colours, all colours of a block at once, held inside the cube.

Everything is kept by columns, (3, n) and (3, 3, n): numbers of one kind beside each other in memory.
"""

from dataclasses import dataclass

import numpy as np

from spectro.maths.tetrahedra import tetrahedral_slope_columns
from spectro.records.arrays import BoolArray, FloatArray, IntArray
from spectro.separation.newton_inks import dot

STEPS = 14
STILL = 1e-5  # of device values, and of the distance left
_MOST_IDLE = 0.25  # share of rows that have come to rest from which they are set aside


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Metric:
    """What differences in lightness and two chromatic axes (d, e, f) count: d² + first e² + 2 mixed e f + second f²."""

    first: FloatArray  # (n,)
    mixed: FloatArray  # (n,)
    second: FloatArray  # (n,)

    def applied(self, difference: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Return the three components of the metric's matrix times differences (3, n)."""
        _, e, f = difference
        return difference[0], self.first * e + self.mixed * f, self.mixed * e + self.second * f

    def squared(self, difference: FloatArray) -> FloatArray:
        """Return what differences (3, n) count, (n,)."""
        d, e, f = difference
        found: FloatArray = d * d + self.first * e * e + 2 * self.mixed * e * f + self.second * f * f
        return found

    def of(self, rows: IntArray | BoolArray) -> "Metric":
        """Return the metric of some rows."""
        return Metric(first=self.first[rows], mixed=self.mixed[rows], second=self.second[rows])


def nearest_printable(
    lattice: FloatArray, metric: Metric, wanted: FloatArray, start: FloatArray, steps: int = STEPS
) -> tuple[FloatArray, FloatArray]:
    """Return device values (3, n), 0 to 1, near start (3, n) whose colours are nearest to wanted (3, n), and what is left (n,).

    lattice: (g, g, g, 3) colours of even device values. steps: after which it stops at the latest.
    """
    result, left = start.copy(), np.empty(wanted.shape[1])
    rows = np.arange(wanted.shape[1])
    device = start
    difference, slopes = _difference(lattice, wanted, device)
    error = metric.squared(difference)
    damping, live = np.full(len(rows), 1e-3), np.ones(len(rows), dtype=np.bool_)
    for _ in range(steps):
        trial = device + _step(metric, slopes, difference, device, damping)
        np.clip(trial, 0, 1, out=trial)
        trial_difference, trial_slopes = _difference(lattice, wanted, trial)
        trial_error = metric.squared(trial_difference)
        moved = np.abs(trial - device).max(axis=0)
        better = (trial_error < error) & live
        for now, tried in ((device, trial), (slopes, trial_slopes), (difference, trial_difference), (error, trial_error)):
            np.copyto(now, tried, where=better)
        damping = np.clip(damping * np.where(better, 0.25, 8.0), 1e-6, 1e6)
        live &= (moved > STILL) & (error > STILL**2)
        count = np.count_nonzero(live)
        if count < (1 - _MOST_IDLE) * len(rows):
            result[:, rows], left[rows] = device, error
            if not count:
                rows = rows[:0]
                break
            rows, device, slopes, wanted = rows[live], device[:, live], slopes[:, :, live], wanted[:, live]
            difference, error, damping, metric = difference[:, live], error[live], damping[live], metric.of(live)
            live = live[live]
    if len(rows):
        result[:, rows], left[rows] = device, error
    return result, np.sqrt(left)


def _difference(lattice: FloatArray, wanted: FloatArray, device: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the differences (3, n) of device values' (3, n) colours from those wanted, and their slopes (3, 3, n)."""
    last = len(lattice) - 1
    values, slopes = tetrahedral_slope_columns(lattice, (device * last).T)
    values -= wanted
    slopes *= last
    return values, slopes


def _step(
    metric: Metric, slopes: FloatArray, difference: FloatArray, device: FloatArray, damping: FloatArray
) -> list[FloatArray]:
    """Return one damped Gauss-Newton step (3, n); a channel at its end that would leave the cube is held."""
    ways = [slopes[:, channel] for channel in range(3)]
    weighed = [metric.applied(way) for way in ways]
    gradient = [dot(way, difference) for way in weighed]
    grow = 1 + damping
    held = [((one <= 0) & (slope > 0)) | ((one >= 1) & (slope < 0)) for one, slope in zip(device, gradient, strict=True)]
    xx, yy, zz = (
        np.where(still, 1.0, dot(weigh, way) * grow + 1e-6) for still, weigh, way in zip(held, weighed, ways, strict=True)
    )
    xy, xz, yz = (
        np.where(held[one] | held[other], 0.0, dot(weighed[one], ways[other])) for one, other in ((0, 1), (0, 2), (1, 2))
    )
    x, y, z = (np.where(still, 0.0, -slope) for still, slope in zip(held, gradient, strict=True))
    # elimination, the matrix is symmetric and positive definite
    y_by_x, z_by_x = xy / xx, xz / xx
    yy -= y_by_x * xy
    yz -= y_by_x * xz
    z_by_y = yz / yy
    zz -= z_by_x * xz + z_by_y * yz
    y -= y_by_x * x
    z -= z_by_x * x + z_by_y * y
    z /= zz
    y = y / yy - z_by_y * z
    x = (x - xy * y - xz * z) / xx
    return [x, y, z]
