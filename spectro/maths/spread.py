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
