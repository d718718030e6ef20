"""The surface of a device space as triangles: the faces of a cube, and for more channels the cubes it is bounded by.

With four channels the colours are the images of eight cubes: in each, one channel is at an end and three vary.
"""

from collections.abc import Callable, Iterator
from itertools import combinations, product

import numpy as np

from spectro.errors import InputError
from spectro.records.arrays import FloatArray, IntArray

MOST_CHANNELS = 4


def cube_triangles(steps: int) -> tuple[FloatArray, IntArray]:
    """Return points (6 * steps ** 2, 3), 0 to 1, on the faces of a cube, and triangles (m, 3) of them, all seen from outside.

    >>> points, triangles = cube_triangles(2)
    >>> corners = points[triangles]
    >>> volume = (corners[:, 0] * np.cross(corners[:, 1], corners[:, 2])).sum() / 6
    >>> points.shape, triangles.shape, round(float(volume), 9)
    ((24, 3), (12, 3), 1.0)
    """
    level = np.linspace(0, 1, steps)
    first, second = (axis.ravel() for axis in np.meshgrid(level, level, indexing="ij"))
    corner = (np.arange(steps - 1)[:, None] * steps + np.arange(steps - 1)).ravel()
    face = np.concatenate(
        [
            np.stack([corner, corner + steps, corner + steps + 1], axis=1),
            np.stack([corner, corner + steps + 1, corner + 1], axis=1),
        ]
    )
    points: list[FloatArray] = []
    triangles: list[IntArray] = []
    for axis in range(3):
        for end in (0.0, 1.0):
            outward = (end == 1.0) == (axis != 1)
            triangles.append((face if outward else face[:, ::-1]) + len(points) * steps**2)
            points.append(np.insert(np.column_stack([first, second]), axis, end, axis=1))
    return np.concatenate(points), np.concatenate(triangles)


def bounding_cubes(channels: int) -> Iterator[Callable[[FloatArray], FloatArray]]:
    """Yield functions from a cube (n, 3) to device values (n, channels): every way to hold all but three at an end.

    Raises InputError for fewer than three channels and for more than four.
    """
    if not 3 <= channels <= MOST_CHANNELS:
        raise InputError(f"{channels} channels", f"3 to {MOST_CHANNELS} for a gamut", "Compare readings of such charts.")
    for free in combinations(range(channels), 3):
        held = [channel for channel in range(channels) if channel not in free]
        for ends in product((0.0, 1.0), repeat=len(held)):
            yield _into(channels, free, held, ends)


def _into(channels: int, free: tuple[int, ...], held: list[int], ends: tuple[float, ...]) -> Callable[[FloatArray], FloatArray]:
    def place(cube: FloatArray) -> FloatArray:
        device = np.empty((len(cube), channels))
        device[:, free] = cube
        device[:, held] = ends
        return device

    return place


def outer_faces(channels: int, steps: int) -> FloatArray:
    """Return device values (faces, steps, steps, channels) of the faces one sees of a gamut from outside.

    Three channels: the six faces of the cube. Four, the last of them black: the three faces at the paper, and the six
    edges round the full colours, each from no black to all of it.
    """
    level = np.linspace(0, 1, steps)
    first, second = np.meshgrid(level, level, indexing="ij")
    if channels == 3:
        return cube_triangles(steps)[0].reshape(6, steps, steps, 3)
    if channels != MOST_CHANNELS:
        raise InputError(f"{channels} channels", f"3 to {MOST_CHANNELS} for a gamut", "Compare readings of such charts.")
    none = np.zeros_like(first)
    faces = [np.stack([*np.insert([first, second], axis, none, axis=0), none], axis=-1) for axis in range(3)]
    ring = np.array([[1, 0, 0], [1, 1, 0], [0, 1, 0], [0, 1, 1], [0, 0, 1], [1, 0, 1]], dtype=np.float64)
    for start, end in zip(ring, np.roll(ring, -1, axis=0), strict=True):
        edge = start + first[..., None] * (end - start)
        faces.append(np.concatenate([edge, second[..., None]], axis=-1))
    return np.stack(faces)
