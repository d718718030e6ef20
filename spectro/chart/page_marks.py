"""Everything drawn on one page of a chart, patches first."""

from dataclasses import replace

import numpy as np

from spectro.chart.dividers import divider_marks
from spectro.chart.fonts import text_width_mm
from spectro.chart.layout import GUIDE_MM, page_words
from spectro.chart.marks import BOLD, HAIRLINE_MM, Box, Mark, Shade, Text, down_rule, in_channels
from spectro.chart.page_code import page_code_text
from spectro.chart.page_text import footer, header, how_to_print
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.chart import Chart, ReadingMode

_LETTER_PT = 7.0
_NUMBER_PT = 5.6
_RULE_PT = 6.2
_CROSS_MM = 1.0
_CROSS_CLEAR_MM = 0.2
_BRACKET_MM = 4.0
_MM_A_POINT = 25.4 / 72
_CAP_HEIGHT = 0.73  # of the type size: capitals and figures of the typeface


def page_marks(chart: Chart, page: int) -> list[Mark]:
    """Return the marks of a page, counted from 1, in the chart's channels: patches, dividers, letters, rules, words."""
    here = np.flatnonzero(chart.positions[:, 0] == page)
    boxes = chart.boxes_mm[here]
    marks: list[Mark] = []
    for (left, top, width, height), device in zip(boxes.tolist(), sent_device(chart)[here].tolist(), strict=True):
        marks.append(Box(left, top, width, height, tuple(device)))
    mode = chart.recipe.reading.mode
    if chart.recipe.reading.dividers:
        marks += divider_marks(chart, here)
    for band in _bands(chart, here):
        marks += _letters(chart, band)
        marks += _numbers(chart, chart.boxes_mm[band])
        if mode is ReadingMode.BY_PATCH:
            marks += _printable(chart, _crosses(chart, chart.boxes_mm[band]))
    if mode is ReadingMode.BY_TABLE:
        marks += _brackets(boxes)
    return in_channels(marks + _frame(chart, page, boxes), chart.channels)


def sent_device(chart: Chart) -> FloatArray:
    """Return what the pages hold (n, channels), 0 to 1: the chart's device values, through curves where pages hold them."""
    curves = chart.recipe.stages.curves
    if not chart.recipe.stages.in_pages:
        return chart.device
    through = [np.asarray(curves[name]).T for name in chart.channels]
    return np.column_stack([np.interp(chart.device[:, ink], *one) for ink, one in enumerate(through)])


def _bands(chart: Chart, here: IntArray) -> list[IntArray]:
    """Return the rows of a page's patches by band: strips that begin at the same height."""
    first = {int(column): index for index in here[::-1].tolist() for column in chart.positions[index, 2:3]}
    tops = np.array([chart.boxes_mm[first[int(column)], 1] for column in chart.positions[here, 2]])
    return [here[tops == top] for top in np.unique(tops)]


def _ends(chart: Chart, band: IntArray) -> tuple[float, float]:
    """Return where the white before and after the strips of a band ends: where letters and guides begin."""
    reading = chart.recipe.reading
    outer = chart.recipe.patch.gap_rows_mm if reading.dividers else 0.0
    boxes = chart.boxes_mm[band]
    lowest = float((boxes[:, 1] + boxes[:, 3]).max())
    return float(boxes[:, 1].min()) - outer - reading.run_in_mm, lowest + outer + reading.run_out_mm


def _letters(chart: Chart, band: IntArray) -> list[Mark]:
    """Return the letters above and below each strip, clear of its run-in and run-out, and the sweep guide."""
    marks: list[Mark] = []
    above, below = _ends(chart, band)
    swept = chart.recipe.reading.mode is ReadingMode.BY_STRIP
    guide = GUIDE_MM if swept else 0.0
    gap = chart.recipe.patch.gap_columns_mm
    starts = band[chart.positions[band, 1] == 1].tolist()
    for index in starts:
        left, _, width, _ = chart.boxes_mm[index].tolist()
        letters = chart.sample_names[index].rstrip("0123456789")
        room = width + min(gap - 0.3, 0.0)  # no wider than the patch: the last may stand at the margin
        size = min(_LETTER_PT, _LETTER_PT * room / text_width_mm(letters, BOLD, _LETTER_PT))
        for baseline in (above - guide - 1.4, below + guide + 1.4 + _LETTER_PT * _CAP_HEIGHT * _MM_A_POINT):
            marks.append(Text(left + width / 2, baseline, letters, size, BOLD, "centre"))
        if swept:
            marks += _arrow(left + width / 2, above - GUIDE_MM + 0.1)
    if swept:
        marks += _printable(chart, _ruler_ticks(chart.boxes_mm[starts], gap, above, below))
    return marks


def _arrow(x: float, top: float) -> list[Mark]:
    """Return a small arrow that points down: which way to sweep."""
    return [Box(x - half, top + 0.3 * step, 2 * half, 0.3, Shade.QUIET) for step, half in enumerate((0.8, 0.5, 0.2))]


def _ruler_ticks(starts: FloatArray, gap: float, above: float, below: float) -> list[Mark]:
    """Return ticks between strips, above and below them, to lay a ruler along."""
    edges = [*(starts[:, 0] - gap / 2).tolist(), float(starts[-1, 0] + starts[-1, 2] + gap / 2)]
    length = GUIDE_MM - 0.2
    return [
        Box(round(edge - HAIRLINE_MM / 2, 4), top, HAIRLINE_MM, length, Shade.QUIET)
        for edge in edges
        for top in (above - GUIDE_MM + 0.1, below + 0.1)
    ]


def _numbers(chart: Chart, boxes: FloatArray) -> list[Mark]:
    """Return the row numbers left of the block, and right of it where patches are not swept."""
    marks: list[Mark] = []
    left, right = float(boxes[:, 0].min()), float((boxes[:, 0] + boxes[:, 2]).max())
    half = _NUMBER_PT * _CAP_HEIGHT * _MM_A_POINT / 2
    for row, top in enumerate(np.unique(boxes[:, 1]).tolist(), start=1):
        baseline = top + boxes[0, 3] / 2 + half
        marks.append(Text(left - 1.6, baseline, str(row), _NUMBER_PT, align="right", device=Shade.QUIET))
        if chart.recipe.reading.mode is not ReadingMode.BY_STRIP:
            marks.append(Text(right + 1.6, baseline, str(row), _NUMBER_PT, device=Shade.QUIET))
    return marks


def _printable(chart: Chart, marks: list[Mark]) -> list[Mark]:
    """Return boxes moved to within the margins: marks half a gap beyond the outermost patches may reach over them."""
    page, (width, height) = chart.recipe.page, chart.page_mm
    moved: list[Mark] = []
    for mark in marks:
        if isinstance(mark, Box):
            left = min(max(mark.left, page.margin_left_mm), width - page.margin_right_mm - mark.width)
            top = min(max(mark.top, page.margin_top_mm), height - page.margin_bottom_mm - mark.height)
            moved.append(replace(mark, left=round(left, 4), top=round(top, 4)))
        else:
            moved.append(mark)
    return moved


def _crosses(chart: Chart, boxes: FloatArray) -> list[Mark]:
    """Return small crosses in the gaps, where four patches meet, so that the eye finds white patches, too."""
    patch = chart.recipe.patch
    if min(patch.gap_columns_mm, patch.gap_rows_mm) < _CROSS_MM + 2 * _CROSS_CLEAR_MM or chart.recipe.reading.dividers:
        return []
    marks: list[Mark] = []
    columns = np.unique(boxes[:, 0]) - patch.gap_columns_mm / 2
    rows = np.unique(boxes[:, 1]) - patch.gap_rows_mm / 2
    half, thin = _CROSS_MM / 2, HAIRLINE_MM / 2
    for x in (*columns.tolist(), float(columns[-1]) + patch.width_mm + patch.gap_columns_mm):
        for y in (*rows.tolist(), float(rows[-1]) + patch.height_mm + patch.gap_rows_mm):
            marks.append(Box(x - half, y - thin, _CROSS_MM, HAIRLINE_MM, Shade.QUIET))
            marks.append(Box(x - thin, y - half, HAIRLINE_MM, _CROSS_MM, Shade.QUIET))
    return marks


def _brackets(boxes: FloatArray) -> list[Mark]:
    """Return brackets around the block's corners, where an instrument on a table is told the corner patches."""
    away = 0.6
    left, top = float(boxes[:, 0].min()) - away, float(boxes[:, 1].min()) - away
    right, bottom = float((boxes[:, 0] + boxes[:, 2]).max()) + away, float((boxes[:, 1] + boxes[:, 3]).max()) + away
    marks: list[Mark] = []
    for x, toward in ((left, 0.0), (right, -_BRACKET_MM)):
        for y in (top - HAIRLINE_MM, bottom):
            marks.append(Box(x + toward, y, _BRACKET_MM, HAIRLINE_MM, Shade.TEXT))
    for x in (left - HAIRLINE_MM, right):
        for y, toward in ((top, 0.0), (bottom, -_BRACKET_MM)):
            marks.append(Box(x, y + toward, HAIRLINE_MM, _BRACKET_MM, Shade.TEXT))
    return marks


def _frame(chart: Chart, page: int, boxes: FloatArray) -> list[Mark]:
    """Return header, footer with the page code, and the vertical scale bar."""
    recipe = chart.recipe
    left, right = recipe.page.margin_left_mm, chart.page_mm[0] - recipe.page.margin_right_mm
    bottom = chart.page_mm[1] - recipe.page.margin_bottom_mm
    words = page_words(recipe, len(chart), chart.chart_id, page, chart.pages)
    marks, _ = header(left, recipe.page.margin_top_mm, right - left, recipe.title, *words, how_to_print(recipe))
    _, height = footer(left, 0.0, right - left, recipe)
    foot, _ = footer(left, bottom - height, right - left, recipe, page_code_text(chart.chart_id, page), page)
    marks += foot
    top = float(boxes[:, 1].min())
    rule = min(100, int((bottom - height - 2.0 - top) // 10) * 10)
    if rule >= 10:
        marks += down_rule(left, top, rule)
        marks.append(Text(left + 5.4, top + rule / 2, f"{rule} mm", _RULE_PT, align="centre", device=Shade.QUIET, upright=True))
    return marks
