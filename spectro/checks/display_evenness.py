"""Evenness of a display over its screen.

Reference: [ISO-12646], evenness of luminance at nine places: what white, a middle and a dark grey should and shall keep
stands in `standards/limits/viewing.toml`.
"""

import numpy as np

from spectro.checks.display_white import middle_place, rows_by_signal
from spectro.colour.viewing import chromaticity_uv
from spectro.records.display_check import DisplayReadings, EvenLevel
from spectro.records.limits import Limits

LEAST_PLACES = 4
_LEVELS = {1.0: "white", 128 / 255: "middle", 64 / 255: "dark"}  # signals that have limits, by their names


def display_evenness(readings: DisplayReadings, limits: Limits) -> tuple[EvenLevel, ...]:
    """Return one entry for each grey that was read at four places or more, the lightest first. limits: those of viewing."""
    levels = []
    for rows in rows_by_signal(readings):
        signal = readings.rgb[rows[0]]
        places = sorted({place for row in rows if (place := readings.places[row]) is not None})
        if len(places) >= LEAST_PLACES and np.ptp(signal) < 1e-6:
            by_place = np.stack(
                [readings.xyz[[row for row in rows if readings.places[row] == place]].mean(axis=0) for place in places]
            )
            if by_place[:, 1].min() > 0:
                levels.append(_level(float(signal[0]), places, by_place, limits))
    return tuple(sorted(levels, key=lambda level: -level.signal))


def _level(signal: float, places: list[tuple[int, int]], xyz: np.ndarray, limits: Limits) -> EvenLevel:
    middle = places.index(middle_place(places))
    relative = xyz[:, 1] / xyz[middle, 1] - 1
    uv = chromaticity_uv(xyz)
    away = np.hypot(*(uv - uv[middle]).T)
    nearest = min(_LEVELS, key=lambda level: abs(level - signal))
    should = shall = 0.0
    if abs(nearest - signal) <= limits["level_near"]:
        should, shall = (limits[f"even_{_LEVELS[nearest]}_{kind}"] for kind in ("should", "shall"))
    worst = int(np.argmax(np.abs(relative)))
    return EvenLevel(
        signal=signal,
        places=tuple(places),
        luminance=tuple(float(value) for value in xyz[:, 1]),
        relative=tuple(float(value) for value in relative),
        away=tuple(float(value) for value in away),
        should=should,
        shall=shall,
        largest=float(np.abs(relative[worst])),
        largest_at=places[worst],
        largest_away=float(away.max()),
    )
