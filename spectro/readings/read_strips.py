"""Readings of files as strips of a chart: which were read, in which reading of the chart, and repairs made on request.

A patch that was read again, in the same file or another one, belongs to the next reading of the chart.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from spectro.readings.intake import FileReadings
from spectro.readings.strip_join import Joined
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.chart_layout import ChartLayout


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ReadStrip:
    """One strip as it was read, and what it is taken for."""

    reading: int  # which reading of the chart, from 1
    place: int  # strip of the chart
    source: IntArray  # (k, 2) file and row of each reading, in the order of reading
    targets: IntArray  # (m,) rows of the chart it is taken for; m may differ from k


Cut = Callable[[FileReadings, Sequence[int]], tuple[int, ...]]


def read_strips(files: Sequence[FileReadings], joins: Sequence[Joined], layout: ChartLayout, cut: Cut) -> list[ReadStrip]:
    """Return the strips that were read, ordered by reading and place.

    cut: gives the lengths of strips where a file has patches too many or too few for the strips it is read as.
    """
    times = np.zeros(len(layout), dtype=np.int64)
    strip_of = np.empty(len(layout), dtype=np.int64)
    along = np.empty(len(layout), dtype=np.int64)
    for index, strip in enumerate(layout.strips):
        strip_of[strip.rows], along[strip.rows] = index, np.arange(len(strip.rows))
    groups: dict[tuple[int, int], list[tuple[int, int, int, int]]] = {}
    found: list[ReadStrip] = []
    for number, (file, join) in enumerate(zip(files, joins, strict=True)):
        if join.rows is None:
            start = 0
            for place, length in zip(join.strips, cut(file, join.strips), strict=True):
                rows = layout.strips[place].rows
                times[rows] += 1
                source = np.column_stack([np.full(length, number), np.arange(start, start + length)])
                found.append(ReadStrip(reading=int(times[rows].max()), place=place, source=source, targets=rows))
                start += length
            continue
        for row, target in enumerate(join.rows.tolist()):
            times[target] += 1
            key = (int(times[target]), int(strip_of[target]))
            groups.setdefault(key, []).append((int(along[target]), target, number, row))
    for (reading, place), entries in groups.items():
        entries.sort()
        values = np.array(entries, dtype=np.int64)
        found.append(ReadStrip(reading=reading, place=place, source=values[:, 2:], targets=values[:, 1]))
    return sorted(found, key=lambda strip: (strip.reading, strip.place))


def spectra_of(strip: ReadStrip, files: Sequence[FileReadings]) -> FloatArray:
    """Return the reflectance (k, bands) of a strip in the order of reading."""
    return np.stack([files[file].reflectance[row] for file, row in strip.source.tolist()])


def turn(strip: ReadStrip) -> ReadStrip:
    """Return the strip read from its other end."""
    return replace(strip, source=strip.source[::-1])


def take_as(strip: ReadStrip, place: int, layout: ChartLayout) -> ReadStrip:
    """Return the strip as another one of the chart."""
    return replace(strip, place=place, targets=layout.strips[place].rows)


def leave_patch_out(strip: ReadStrip, row: int) -> ReadStrip:
    """Return the strip without one patch, a row of the chart that it holds."""
    keep = strip.targets != row
    return replace(strip, source=strip.source[keep], targets=strip.targets[keep])


def line_up(strip: ReadStrip, pairs: Sequence[tuple[int, int]]) -> ReadStrip:
    """Return the strip with only those readings whose patch is known: pairs of reading and patch along the strip."""
    reads, patches = np.array(pairs, dtype=np.int64).reshape(-1, 2).T
    return replace(strip, source=strip.source[reads], targets=strip.targets[patches])
