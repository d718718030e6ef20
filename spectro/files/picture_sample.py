"""Pixels of an open picture on an even grid, and a part of it with every pixel: as much as a look at it needs."""

import numpy as np

from spectro.files.picture_file import PictureFile
from spectro.files.picture_tags import orientation
from spectro.records.arrays import AnyArray

_BLOCK = 8
_ROWS = 256  # read at a time
_TURNS = {3: (2, False), 6: (3, False), 8: (1, False), 2: (0, True), 4: (2, True), 5: (3, True), 7: (1, True)}
"""Quarter turns, and whether left and right are exchanged first, of [TIFF-6.0] Orientation."""


def grid_of(picture: PictureFile, looked_at: int) -> AnyArray:
    """Return about looked_at pixels as rows and columns (rows, columns, channels with cover), each `step` from the next."""
    step = max(1, int(np.ceil(np.sqrt(picture.width * picture.height / looked_at))))
    rows = range(0, picture.height, step)
    found = None
    together = picture.rows_together
    for start in range(0, picture.height, together) if together > 1 else rows:
        stop = min(start + together, picture.height)
        wanted = range(-(-start // step) * step, stop, step)
        if not wanted:
            continue
        band = picture.read(start, stop)
        if found is None:
            shape = (len(rows), len(range(0, picture.width, step)), band.shape[2])
            found = np.empty(shape, band.dtype)
        for row in wanted:
            found[row // step] = band[row - start, ::step]
    return np.empty((0, 0, 1), np.uint8) if found is None else found


def small_copy(picture: PictureFile, longest: int) -> AnyArray:
    """Return a picture (rows, columns, channels with cover), uint16, upright, whose longer side has at most `longest` pixels.

    Each pixel is the mean of a square of the picture's; one that is small enough stays as it is.
    """
    step = max(1, -(-max(picture.width, picture.height) // longest))
    wide = picture.width // step * step
    rows = int(np.lcm(step, picture.rows_together)) * max(1, _ROWS // step // picture.rows_together)
    found = []
    for start in range(0, picture.height, rows):
        band = picture.read(start, min(start + rows, picture.height))[:, :wide]
        high = len(band) // step * step
        if high:
            squares = band[:high].reshape(high // step, step, wide // step, step, -1)
            found.append(np.rint(squares.mean(axis=(1, 3)) * (257 if picture.bits == 8 else 1)).astype(np.uint16))
    return upright(np.concatenate(found), picture)


def pixels_of(grid: AnyArray, picture: PictureFile) -> AnyArray:
    """Return the pixels of a grid as rows (n, channels), without their cover and without those that are not there at all."""
    values = grid.reshape(-1, grid.shape[2])
    if picture.alpha:
        values = values[values[:, -1] > 0]
    return values[:, : picture.channels]


def whole_part(picture: PictureFile, pixels: int) -> AnyArray:
    """Return rows from the middle of a picture with all their pixels, about as many as asked; they begin at a block of 8."""
    rows = min(picture.height, max(_BLOCK, pixels // picture.width))
    together = int(np.lcm(_BLOCK, picture.rows_together))
    start = (picture.height - rows) // 2 // together * together
    return picture.read(start, min(start + rows, picture.height)).copy()


def upright(pixels: AnyArray, picture: PictureFile) -> AnyArray:
    """Return pixels (rows, columns, …) turned as the picture says it is to be seen."""
    turns, mirrored = _TURNS.get(orientation(picture.tags), (0, False))
    return np.rot90(pixels[:, ::-1] if mirrored else pixels, turns)
