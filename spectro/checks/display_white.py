"""Patches of a display by their signal, its white and its black."""

import numpy as np

from spectro.colour.colour_temperature import colour_temperature
from spectro.colour.rgb_spaces import xyz_of_chromaticity
from spectro.colour.viewing import chromaticity, chromaticity_uv
from spectro.errors import InputError
from spectro.records.arrays import FloatArray
from spectro.records.display_check import DisplayAim, DisplayReadings, DisplayWhite
from spectro.records.limits import Limits

SAME = 1e-6  # signals this near are one


def middle_rows(readings: DisplayReadings) -> FloatArray:
    """Return the mask (n,) of readings in the middle of the screen: those without a place, and those at the middle place.

    The middle is that of the rows and columns that a signal was read at; only signals read at four places and more have
    places that mean something.
    """
    keep = np.ones(len(readings.places), dtype=bool)
    for rows in rows_by_signal(readings):
        placed = [row for row in rows if readings.places[row] is not None]
        places = sorted({place for row in placed if (place := readings.places[row]) is not None})
        if len(places) >= 4:
            centre = middle_place(places)
            keep[[row for row in placed if readings.places[row] != centre]] = False
    return keep


def middle_place(places: list[tuple[int, int]]) -> tuple[int, int]:
    """Return the place nearest to the middle of all.

    >>> middle_place([(1, 1), (1, 2), (1, 3), (2, 1), (2, 2), (3, 3)])
    (2, 2)
    """
    grid = np.array(places, dtype=np.float64)
    middle = (grid.min(axis=0) + grid.max(axis=0)) / 2
    return places[int(np.argmin(np.hypot(*(grid - middle).T)))]


def rows_by_signal(readings: DisplayReadings) -> list[list[int]]:
    """Return the rows of each signal, in the order in which signals first stand."""
    found: dict[tuple[int, ...], list[int]] = {}
    for row, signal in enumerate(np.round(readings.rgb / SAME).astype(np.int64).tolist()):
        found.setdefault(tuple(signal), []).append(row)
    return list(found.values())


def patch(readings: DisplayReadings, signal: tuple[float, float, float]) -> FloatArray | None:
    """Return the mean XYZ (3,) of a signal in the middle of the screen, None where it was not read."""
    rows = middle_rows(readings) & (np.abs(readings.rgb - np.array(signal)) < SAME).all(axis=1)
    return np.asarray(readings.xyz[rows].mean(axis=0)) if rows.any() else None


def display_white(readings: DisplayReadings, aim: DisplayAim, limits: Limits) -> DisplayWhite:
    """Return white and black against the aim. limits: of viewing. Raises InputError where white gives no light."""
    white, black = patch(readings, (1, 1, 1)), patch(readings, (0, 0, 0))
    if white is None or white[1] <= 0 or (black is not None and black[1] >= white[1]):
        raise InputError(
            f"a white of no more light than black in {readings.origin}", "white above black", "Measure the display again."
        )
    luminance = float(white[1])
    wanted = min(max(luminance, aim.lowest), aim.highest)
    uv, aim_uv = chromaticity_uv(white), chromaticity_uv(xyz_of_chromaticity(aim.white_xy))
    kelvin, duv = colour_temperature(white)
    dark = None if black is None else float(black[1])
    xy = chromaticity(white)
    return DisplayWhite(
        luminance=luminance,
        stops=float(np.log2(luminance / wanted)),
        xy=(float(xy[0]), float(xy[1])),
        uv=(float(uv[0]), float(uv[1])),
        kelvin=kelvin,
        duv=duv,
        away=float(np.hypot(*(uv - aim_uv))),
        gains=_gains(readings, white, aim),
        black=dark,
        contrast=luminance / dark if dark is not None and dark > limits["meter_floor"] else None,
    )


def _gains(readings: DisplayReadings, white: FloatArray, aim: DisplayAim) -> tuple[float, float, float] | None:
    """Light of red, green and blue, of what they give now, that makes the aim's white; the largest is 1."""
    read = [patch(readings, signal) for signal in ((1, 0, 0), (0, 1, 0), (0, 0, 1))]
    if any(one is None for one in read):
        return None
    black = patch(readings, (0, 0, 0))
    columns = np.stack([one for one in read if one is not None], axis=1) - (0 if black is None else black[:, None])
    if np.linalg.cond(columns) > 1e6:
        return None
    now = np.linalg.solve(columns, white)
    wanted = np.linalg.solve(columns, xyz_of_chromaticity(aim.white_xy) * white[1])
    if min(now.min(), wanted.min()) <= 0:
        return None
    gains = wanted / now / (wanted / now).max()
    return float(gains[0]), float(gains[1]), float(gains[2])
