"""The gamut of a picture: a closed surface around the colours that it really uses.

A single pixel does not count: colours are gathered in cells, and the cells met most rarely are left out until they hold a
thousandth of the pixels. The surface is the farthest colour in each direction from a mid grey, carried on to the directions
beside it and fading there, for a picture is a cloud and not a solid. Where a picture has no colours the surface comes near
the neutral axis. Numbers here are ours; no source.
"""

import numpy as np

from spectro.records.arrays import FloatArray

KEPT = 0.999  # of the pixels
CELL = 4.0  # units of Lab
_CENTRE = np.array([50.0, 0.0, 0.0])
_HELD, _FADED = np.radians(3.0), np.radians(15.0)  # angles to which a colour's distance is held, and where it has faded
_LEAST = 10.0  # distance of the surface from the centre at least
_STEP_DEG = 5.0
_SAME_WAY = 0.06  # edge of the cells in which unit vectors look nearly the same way
_AXIS = np.array([[0.0, 0.0, 0.0], [100.0, 0.0, 0.0]])


def used_colours(lab: FloatArray, counts: FloatArray) -> FloatArray:
    """Return the colours (m, 3) of Lab (n, 3) that are left when the rarest, by cell and counts (n,), are left out.

    >>> lab = np.array([[50.0, 0, 0], [51, 0, 0], [50, 90, 0]])
    >>> used_colours(lab, np.array([9000.0, 9000.0, 1.0])).tolist()
    [[50.0, 0.0, 0.0], [51.0, 0.0, 0.0]]
    """
    _, cell = np.unique(np.floor(lab / CELL).astype(np.int64), axis=0, return_inverse=True)
    held = np.bincount(cell.ravel(), weights=counts)
    order = np.argsort(held, kind="stable")
    rare = order[np.cumsum(held[order]) <= (1 - KEPT) * held.sum()]
    return lab[~np.isin(cell.ravel(), rare)]


def picture_outline(lab: FloatArray) -> FloatArray:
    """Return points (m, 3), Lab, dense on a surface around colours (n, 3), the neutral axis from black to white included."""
    points = np.concatenate([lab, _AXIS]) - _CENTRE
    distance = np.linalg.norm(points, axis=1)
    far = distance > 1e-6
    seen, distance = _farthest(points[far] / distance[far, None], distance[far])
    wanted = _directions()
    reach = np.full(len(wanted), _LEAST)
    for start in range(0, len(wanted), 1024):
        part = slice(start, start + 1024)
        apart = np.arccos(np.clip(wanted[part] @ seen.T, -1, 1))
        fade = np.cos(np.clip((apart - _HELD) / (_FADED - _HELD), 0, 1) * np.pi / 2) ** 2
        reach[part] = np.maximum(reach[part], (fade * distance).max(axis=1))
    surface: FloatArray = _CENTRE + wanted * reach[:, None]
    surface[:, 0] = np.clip(surface[:, 0], 0.0, 100.0)
    return surface


def _directions() -> FloatArray:
    hue, elevation = np.meshgrid(
        np.radians(np.arange(0, 360, _STEP_DEG)), np.radians(np.arange(-90, 90 + _STEP_DEG / 2, _STEP_DEG)), indexing="ij"
    )
    directions: FloatArray = np.stack(
        [np.sin(elevation), np.cos(elevation) * np.cos(hue), np.cos(elevation) * np.sin(hue)], axis=-1
    ).reshape(-1, 3)
    return directions


def _farthest(seen: FloatArray, distance: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return of unit vectors (n, 3) that look nearly the same way the one with the largest distance (n,)."""
    order = np.argsort(-distance, kind="stable")
    _, first = np.unique(np.floor(seen[order] / _SAME_WAY).astype(np.int64), axis=0, return_index=True)
    return seen[order][first], distance[order][first]
