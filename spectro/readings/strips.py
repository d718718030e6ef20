"""The strips a table of patches forms: by page and column where they are known, else pieces of twenty rows."""

import re
from collections.abc import Sequence

import numpy as np

from spectro.records.arrays import FloatArray, IntArray
from spectro.records.chart_layout import ChartLayout, StripPlace, frozen_strip

PIECE = 20  # rows of a strip where the layout is not known
_LABEL = re.compile(r"(\d{0,2}[A-Za-z]{1,2})\d{1,3}", re.ASCII)


def chart_layout(
    *,
    origin: str,
    chart_id: str,
    colour_space: str,
    sample_ids: Sequence[str],
    sample_names: Sequence[str],
    device: FloatArray,
    positions: IntArray,
) -> ChartLayout:
    """Return the layout of patches: device (n, channels), 0 to 1; positions (n, 3) page, row, column from 1, or (0, 3)."""
    strips = _by_column(sample_names, positions) if len(positions) else _pieces(len(device))
    return ChartLayout(
        origin=origin,
        chart_id=chart_id,
        colour_space=colour_space,
        sample_ids=tuple(sample_ids),
        sample_names=tuple(sample_names),
        device=device,
        positions=positions,
        strips=strips,
    )


def _by_column(names: Sequence[str], positions: IntArray) -> tuple[StripPlace, ...]:
    order = np.lexsort((positions[:, 1], positions[:, 2], positions[:, 0]))
    keys = positions[order][:, [0, 2]]
    starts = np.flatnonzero(np.concatenate([[True], (keys[1:] != keys[:-1]).any(axis=1)]))
    found = []
    taken: set[str] = set()
    for rows in np.split(order, starts[1:]):
        page, _, column = (int(value) for value in positions[rows[0]])
        labels = {match.group(1).upper() if (match := _LABEL.fullmatch(names[row])) else "" for row in rows.tolist()}
        label = labels.pop() if len(labels) == 1 else ""
        name = label if label and label not in taken else f"{page}/{column}"
        taken.add(name)
        found.append(frozen_strip(name, page, rows))
    return tuple(found)


def _pieces(count: int) -> tuple[StripPlace, ...]:
    cuts = np.split(np.arange(count), np.arange(PIECE, count, PIECE))
    return tuple(frozen_strip(f"rows {rows[0] + 1}-{rows[-1] + 1}", 1, rows) for rows in cuts if len(rows))
