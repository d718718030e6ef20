"""Evenness of a display over its screen.

Reference: [ISO-12646], evenness of luminance at nine places: white should lie within 5 % of the middle and shall within
10 %; a middle grey 6.5 and 13 %; a dark grey 7.5 and 15 %; u'v' within 0.01.
"""

import numpy as np

from spectro.checks.display_white import middle_place, rows_by_signal
from spectro.colour.viewing import chromaticity_uv
from spectro.records.display_check import DisplayReadings, EvenLevel

LEAST_PLACES = 4
LARGEST_AWAY = 0.01
_LEVELS = {1.0: (0.05, 0.10), 128 / 255: (0.065, 0.13), 64 / 255: (0.075, 0.15)}
_NEAR = 0.03  # signals this near to one of the levels are held to its limits; common practice, no source


def display_evenness(readings: DisplayReadings) -> tuple[EvenLevel, ...]:
    """Return one entry for each grey that was read at four places or more, the lightest first."""
    levels = []
    for rows in rows_by_signal(readings):
        signal = readings.rgb[rows[0]]
        places = sorted({place for row in rows if (place := readings.places[row]) is not None})
        if len(places) >= LEAST_PLACES and np.ptp(signal) < 1e-6:
            by_place = np.stack(
                [readings.xyz[[row for row in rows if readings.places[row] == place]].mean(axis=0) for place in places]
            )
            if by_place[:, 1].min() > 0:
                levels.append(_level(float(signal[0]), places, by_place))
    return tuple(sorted(levels, key=lambda level: -level.signal))


def _level(signal: float, places: list[tuple[int, int]], xyz: np.ndarray) -> EvenLevel:
    middle = places.index(middle_place(places))
    relative = xyz[:, 1] / xyz[middle, 1] - 1
    uv = chromaticity_uv(xyz)
    away = np.hypot(*(uv - uv[middle]).T)
    nearest = min(_LEVELS, key=lambda level: abs(level - signal))
    should, shall = _LEVELS[nearest] if abs(nearest - signal) <= _NEAR else (0.0, 0.0)
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
