"""Patches arranged as they lay on the pages, or in file order where that is not known."""

from dataclasses import dataclass

import numpy as np

from spectro.colour.srgb import lab_to_srgb
from spectro.records.arrays import ArrayLike, FloatArray, IntArray, frozen_floats, frozen_integers
from spectro.records.assessment import Assessment
from spectro.report.error_steps import step_colours, step_of
from spectro.report.worst_patches import worst_rows

CELL = 10  # raster points a cell, of which one on every side is gap


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PagePanel:
    """One page of patches, or all patches in file order where places are not known."""

    page: int | None  # None: file order
    rows: IntArray  # (n,) rows of the assessment, from 0
    cells: IntArray  # (n, 2) line and column in the picture, from 0
    first_line: int  # what the first line is called: a row of the page
    first_column: int
    shape: tuple[int, int]  # lines, columns of the picture


def page_panels(assessment: Assessment) -> tuple[PagePanel, ...]:
    """Return one panel a page, in page order; a single one in file order where places are not known.

    Places so far apart that the pages would be almost empty count as not known: they are a fault of the file.
    """
    patches = len(assessment.sample_ids)
    if len(assessment.positions) != patches or not patches or _scattered(assessment.positions):
        columns = columns_in_file_order(patches)
        order = np.arange(patches)
        cells = np.stack([order // columns, order % columns], axis=-1)
        return (_panel(None, order, cells, (1, 1), (max(1, -(-patches // columns)), columns)),)
    panels = []
    for page in np.unique(assessment.positions[:, 0]):
        rows = np.flatnonzero(assessment.positions[:, 0] == page)
        places = assessment.positions[rows, 1:]
        first = np.minimum(places.min(axis=0), 1)
        cells = places - first
        lines, columns = (int(value) for value in cells.max(axis=0) + 1)
        panels.append(_panel(int(page), rows, cells, (int(first[0]), int(first[1])), (lines, columns)))
    return tuple(panels)


def _scattered(positions: IntArray) -> bool:
    """Whether pictures of the pages would have more than a hundred empty places for each patch, and many."""
    lines, columns = (int(value) for value in positions[:, 1:].max(axis=0))
    return lines * columns * len(np.unique(positions[:, 0])) > 100 * len(positions) + 10_000


def _panel(page: int | None, rows: ArrayLike, cells: ArrayLike, first: tuple[int, int], shape: tuple[int, int]) -> PagePanel:
    return PagePanel(
        page=page,
        rows=frozen_integers(rows),
        cells=frozen_integers(cells),
        first_line=first[0],
        first_column=first[1],
        shape=shape,
    )


def columns_in_file_order(patches: int) -> int:
    """Return how many patches a line of the file-order picture holds: tens, so that a place is easily counted.

    >>> columns_in_file_order(1), columns_in_file_order(300), columns_in_file_order(2420)
    (1, 20, 50)
    """
    if patches <= 10:
        return max(1, patches)
    return max(10, round(float(np.sqrt(patches)) / 10 + 0.25) * 10)


def error_shades(assessment: Assessment, panel: PagePanel) -> FloatArray:
    """Return the shade (n, 3) of each patch of a panel by its ΔE00, sRGB 0 to 1; paper where it is not a number."""
    delta_e = assessment.delta_e[panel.rows]
    known = np.isfinite(delta_e)
    return np.where(known[:, None], step_colours()[step_of(np.where(known, delta_e, 0.0))], 1.0)


def measured_colours(assessment: Assessment, panel: PagePanel) -> FloatArray:
    """Return the measured colour (n, 3) of each patch of a panel, sRGB 0 to 1; paper where it is not a number."""
    lab = assessment.measured_lab[panel.rows]
    known = np.isfinite(lab).all(axis=1, keepdims=True)
    return np.where(known, lab_to_srgb(np.where(known, lab, 0.0)), 1.0)


def panel_raster(panel: PagePanel, colours: FloatArray) -> FloatArray:
    """Return the picture (lines * CELL, columns * CELL, 3), sRGB 0 to 1, of colours (n, 3) at their cells.

    Places without a patch, and the gaps, are paper.
    """
    lines, columns = panel.shape
    picture = np.ones((lines, CELL, columns, CELL, 3))
    line, column = panel.cells.T
    picture[line, 1:-1, column, 1:-1] = colours[:, None, None, :]
    return frozen_floats(picture.reshape(lines * CELL, columns * CELL, 3))


def worst_on(assessment: Assessment, panel: PagePanel) -> tuple[tuple[str, tuple[int, int]], ...]:
    """Return id, and line and column in the picture, of those worst patches of the assessment that lie on a panel."""
    index = {int(row): at for at, row in enumerate(panel.rows)}
    found = []
    for patch, row in zip(assessment.worst, worst_rows(assessment), strict=True):
        at = None if row is None else index.get(row)
        if at is not None:
            found.append((patch.id, (int(panel.cells[at, 0]), int(panel.cells[at, 1]))))
    return tuple(found)
