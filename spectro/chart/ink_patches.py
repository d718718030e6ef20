"""Stanzas of ink charts: solids, greys, ramps, edges and overprints, in steps of 1/255."""

import itertools

import numpy as np

from spectro.chart.spread import GOLDEN_ANGLE, STEPS, inner_steps
from spectro.colour.grey_balance import grey_triplet
from spectro.records.arrays import FloatArray

GREY_BALANCE = (1.0, 0.86, 0.82)
"""Magenta and yellow beside cyan in a grey: the two are held back (common practice, no source)."""
_AROUND = 0.08  # of ink, by which near-neutral patches leave the grey


def _rows(rows: list[list[float]], inks: int) -> FloatArray:
    return np.array(rows, dtype=np.float64).reshape(-1, inks)


def solid_points(inks: int) -> FloatArray:
    """Return bare paper and each ink at full tone, (inks + 1, inks)."""
    return np.vstack([np.zeros((1, inks)), np.eye(inks)])


def _coloured(channels: tuple[str, ...]) -> list[int] | None:
    """Return where cyan, magenta and yellow are, None if one of them is missing."""
    wanted = ("cyan", "magenta", "yellow")
    return [channels.index(name) for name in wanted] if set(wanted) <= set(channels) else None


def ink_grey_points(count: int, channels: tuple[str, ...]) -> FloatArray:
    """Return count greys (count, inks) or fewer: black alone and cyan, magenta and yellow in balance by turns.

    With neither, the first ink's ramp. Steps are even and reach full tone.
    """
    inks, coloured = len(channels), _coloured(channels)
    black = channels.index("black") if "black" in channels else None
    alone = 0 if black is None and coloured is None else black
    first = count if coloured is None else count // 2 if alone is not None else 0
    rows = []
    if alone is not None:
        for amount in np.linspace(0, 1, max(first, 2))[1:]:
            row = [0.0] * inks
            row[alone] = amount
            rows.append(row)
    if coloured is not None:
        for amount in np.linspace(0, 1, count - len(rows) + 1)[1:]:
            row = [0.0] * inks
            for ink, share in zip(coloured, GREY_BALANCE, strict=True):
                row[ink] = amount * share
            rows.append(row)
    return _rows(rows[:count], inks)


def ink_near_grey_points(count: int, offset: float, channels: tuple[str, ...]) -> FloatArray:
    """Return count points (count, inks) around the balanced grey, black at 0, 1/4 and 1/2 by turns.

    offset: distance from the grey in ink amounts; half of it by turns. None without cyan, magenta and yellow.
    """
    inks, coloured = len(channels), _coloured(channels)
    if coloured is None:
        return _rows([], inks)
    across = np.array([[2.0, -1.0, -1.0], [0.0, np.sqrt(3.0), -np.sqrt(3.0)]]) / np.sqrt(6.0)
    rows = []
    for index in range(count):
        level = 0.06 + 0.84 * (index + 0.5) / count
        radius = offset if index % 2 == 0 else offset / 2
        angle = index * GOLDEN_ANGLE
        point = level * np.array(GREY_BALANCE) + radius * (np.cos(angle) * across[0] + np.sin(angle) * across[1])
        row = [0.0] * inks
        for ink, amount in zip(coloured, np.clip(point, 0, 1).tolist(), strict=True):
            row[ink] = amount
        if "black" in channels:
            row[channels.index("black")] = 0.25 * (index % 3)
        rows.append(row)
    return _rows(rows, inks)


def near_neutral_points(channels: tuple[str, ...]) -> FloatArray:
    """Return the patches (n, inks) that tell how cyan, magenta and yellow make greys; none without the three.

    The grey balance triplets in steps of 5 %, each twice (the second with 1/255 less cyan, so that both stand on the chart),
    and at every second one more and less of each of the three alone, by 8 points. Counts: common practice, no source.
    """
    inks, coloured = len(channels), _coloured(channels)
    if coloured is None:
        return _rows([], inks)
    twice = np.array([[0.0, 0.0, 0.0], [-1 / STEPS, 0.0, 0.0]])
    around = np.vstack([twice, _AROUND * np.eye(3), -_AROUND * np.eye(3)])
    rows = []
    for number, triplet in enumerate(grey_triplet(np.arange(1, 21) / 20)):
        for away in around if number % 2 else twice:
            row = [0.0] * inks
            for ink, amount in zip(coloured, np.clip(triplet + away, 0, 1).tolist(), strict=True):
                row[ink] = amount
            rows.append(row)
    return _rows(rows, inks)


def ink_ramp_points(count: int, inks: int) -> FloatArray:
    """Return ramps of one ink each on bare paper, ends left out, (inks * count, inks)."""
    levels = inner_steps(count) / STEPS
    return np.vstack([np.zeros((0, inks)), *[np.eye(inks)[ink] * levels[:, None] for ink in range(inks)]])


def ink_edge_points(count: int, inks: int, total_area: float | None) -> FloatArray:
    """Return points on the edges between overprints of two inks or more that stay below the limit, ends left out."""
    most = inks if total_area is None else total_area / 100
    rows = []
    for ink in range(inks):
        others = [other for other in range(inks) if other != ink]
        for size in range(1, inks):
            if size + 1 > most:
                break
            for full in itertools.combinations(others, size):
                for level in (inner_steps(count) / STEPS).tolist():
                    row = [0.0] * inks
                    row[ink] = level
                    for other in full:
                        row[other] = 1.0
                    rows.append(row)
    return _rows(rows, inks)


def shadow_points(count: int, channels: tuple[str, ...]) -> FloatArray:
    """Return overprints of cyan, magenta and yellow in balance, count levels (count, inks), each on full black if there is one.

    What all inks together come to at most is read from them. Without the three: none.
    """
    coloured = _coloured(channels)
    if coloured is None:
        return _rows([], len(channels))
    rows = []
    for level in range(1, count + 1):
        row = [0.0] * len(channels)
        for ink in coloured:
            row[ink] = GREY_BALANCE[coloured.index(ink)] * level / count
        if "black" in channels:
            row[channels.index("black")] = 1.0
        rows.append(row)
    rows.append([1.0 if index in coloured or name == "black" else 0.0 for index, name in enumerate(channels)])
    return _rows(rows, len(channels))


def set_up_points(channels: tuple[str, ...], total_area: float | None, *, near_neutral: bool = False) -> FloatArray:
    """Return the patches (n, inks) of a set-up chart, in steps of 1/255: ramps, overprints, greys, shadows.

    Ramps come in steps of 5 %, overprints of up to four inks at four levels (of more than four inks: three at two levels).
    total_area: percent, the most ink of any patch; None: no limit. near_neutral: with `near_neutral_points`. Counts: common
    practice, no source.
    """
    inks = len(channels)
    most, steps = (4, 4) if inks <= 4 else (3, 2)
    points = np.vstack(
        [
            ink_ramp_points(19, inks),
            shadow_points(10, channels),
            ink_grey_points(20, channels) if _coloured(channels) else _rows([], inks),
            ink_near_grey_points(24, 0.08, channels),
            overprint_points(most, steps, inks),
            near_neutral_points(channels) if near_neutral else _rows([], inks),
        ]
    )
    values = np.unique(np.rint(points * STEPS), axis=0) / STEPS
    kept = values.sum(axis=1) > 0
    if total_area is not None:
        kept &= 100 * values.sum(axis=1) <= total_area + 1e-6
    return np.asarray(values[kept])


def overprint_points(most: int, steps: int, inks: int) -> FloatArray:
    """Return overprints of two up to most inks at once, all at the same level; levels are even up to full tone.

    Fewer inks come first, higher levels first: what is most telling stands first.
    """
    rows = []
    for size in range(2, min(most, inks) + 1):
        for level in range(steps, 0, -1):
            for together in itertools.combinations(range(inks), size):
                row = [0.0] * inks
                for ink in together:
                    row[ink] = level / steps
                rows.append(row)
    return _rows(rows, inks)
