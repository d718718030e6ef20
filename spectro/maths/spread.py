"""Subsets that spread over the device cube."""

import numpy as np

from spectro.records.arrays import FloatArray, IntArray


def farthest_points(device: FloatArray, count: int) -> IntArray:
    """Return the rows (count,) of a farthest-point subset of device values (n, channels), each 0 to 1.

    First the rows nearest to the corners of the cube (counted in binary, last channel fastest; a row chosen twice counts
    once), then always the row with the largest Euclidean distance to those chosen, the lowest row on a tie.
    """
    channels = device.shape[1]
    count = min(count, len(device))
    chosen: list[int] = []
    for number in range(2**channels):
        corner = np.array([(number >> (channels - 1 - channel)) & 1 for channel in range(channels)], dtype=np.float64)
        row = int(np.argmin(((device - corner) ** 2).sum(axis=1)))
        if row not in chosen:
            chosen.append(row)
    chosen = chosen[:count]
    nearest = np.min([((device - device[row]) ** 2).sum(axis=1) for row in chosen], axis=0)
    while len(chosen) < count:
        row = int(np.argmax(nearest))
        chosen.append(row)
        nearest = np.minimum(nearest, ((device - device[row]) ** 2).sum(axis=1))
    return np.array(chosen, dtype=np.int64)


def even_regions(device: FloatArray, most: int) -> list[IntArray]:
    """Return the rows of regions that share out device values (n, channels), each of at most so many rows.

    Regions are halved across the channel in which they are longest, at the median.

    >>> [rows.tolist() for rows in even_regions(np.array([[0.0], [0.9], [0.1], [1.0]]), 2)]
    [[0, 2], [1, 3]]
    """
    regions = [np.arange(len(device))]
    while max(len(rows) for rows in regions) > most:
        halves = []
        for rows in regions:
            along = int(np.ptp(device[rows], axis=0).argmax())
            order = rows[np.argsort(device[rows, along], kind="stable")]
            halves += [order[: len(order) // 2], order[len(order) // 2 :]]
        regions = halves
    return regions
