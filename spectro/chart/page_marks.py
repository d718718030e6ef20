"""Everything drawn on one page of a chart, patches first."""

import numpy as np

from spectro.chart.fonts import text_width_mm
from spectro.chart.layout import page_words
from spectro.chart.marks import BOLD, HAIRLINE_MM, QUIET, Box, Mark, Text, down_rule
from spectro.chart.page_text import footer, header
from spectro.records.arrays import FloatArray
from spectro.records.chart import Chart, ReadingMode

_LETTER_PT = 7.0
_NUMBER_PT = 5.6
_RULE_PT = 6.2
_CROSS_MM = 1.0
_CROSS_CLEAR_MM = 0.2
_MM_A_POINT = 25.4 / 72
_CAP_HEIGHT = 0.73  # of the type size: capitals and figures of the typeface


def page_marks(chart: Chart, page: int) -> list[Mark]:
    """Return the marks of a page, counted from 1: patches, strip letters, row numbers, check rules, words."""
    here = np.flatnonzero(chart.positions[:, 0] == page)
    boxes = chart.boxes_mm[here]
    marks: list[Mark] = []
    for (left, top, width, height), device in zip(boxes.tolist(), chart.device[here].tolist(), strict=True):
        red, green, blue = device
        marks.append(Box(left, top, width, height, (red, green, blue)))
    marks += _letters(chart, here.tolist())
    marks += _numbers(chart, boxes)
    if chart.recipe.reading.mode is ReadingMode.BY_PATCH:
        marks += _crosses(chart, boxes)
    return marks + _frame(chart, page, boxes)


def _letters(chart: Chart, here: list[int]) -> list[Mark]:
    """Return the letters above and below each strip, clear of its run-in and run-out."""
    reading = chart.recipe.reading
    marks: list[Mark] = []
    lowest = float((chart.boxes_mm[here, 1] + chart.boxes_mm[here, 3]).max())
    for index in here:
        if chart.positions[index, 1] != 1:
            continue
        left, top, width, _ = chart.boxes_mm[index].tolist()
        letters = chart.sample_names[index].rstrip("0123456789")
        room = width + chart.recipe.patch.gap_columns_mm - 0.3
        size = min(_LETTER_PT, _LETTER_PT * room / text_width_mm(letters, BOLD, _LETTER_PT))
        for baseline in (
            top - reading.run_in_mm - 1.4,
            lowest + reading.run_out_mm + 1.4 + _LETTER_PT * _CAP_HEIGHT * _MM_A_POINT,
        ):
            marks.append(Text(left + width / 2, baseline, letters, size, BOLD, "centre"))
    return marks


def _numbers(chart: Chart, boxes: FloatArray) -> list[Mark]:
    """Return the row numbers left of the block, and right of it where patches are read one by one."""
    marks: list[Mark] = []
    left, right = float(boxes[:, 0].min()), float((boxes[:, 0] + boxes[:, 2]).max())
    half = _NUMBER_PT * _CAP_HEIGHT * _MM_A_POINT / 2
    for row, top in enumerate(np.unique(boxes[:, 1]).tolist(), start=1):
        baseline = top + boxes[0, 3] / 2 + half
        marks.append(Text(left - 1.6, baseline, str(row), _NUMBER_PT, align="right", device=QUIET))
        if chart.recipe.reading.mode is ReadingMode.BY_PATCH:
            marks.append(Text(right + 1.6, baseline, str(row), _NUMBER_PT, device=QUIET))
    return marks


def _crosses(chart: Chart, boxes: FloatArray) -> list[Mark]:
    """Return small crosses in the gaps, where four patches meet, so that the eye finds white patches, too."""
    patch = chart.recipe.patch
    if min(patch.gap_columns_mm, patch.gap_rows_mm) < _CROSS_MM + 2 * _CROSS_CLEAR_MM:
        return []
    marks: list[Mark] = []
    columns = np.unique(boxes[:, 0]) - patch.gap_columns_mm / 2
    rows = np.unique(boxes[:, 1]) - patch.gap_rows_mm / 2
    half, thin = _CROSS_MM / 2, HAIRLINE_MM / 2
    for x in (*columns.tolist(), float(columns[-1]) + patch.width_mm + patch.gap_columns_mm):
        for y in (*rows.tolist(), float(rows[-1]) + patch.height_mm + patch.gap_rows_mm):
            marks.append(Box(x - half, y - thin, _CROSS_MM, HAIRLINE_MM, QUIET))
            marks.append(Box(x - thin, y - half, HAIRLINE_MM, _CROSS_MM, QUIET))
    return marks


def _frame(chart: Chart, page: int, boxes: FloatArray) -> list[Mark]:
    """Return header, footer and the vertical check rule."""
    recipe = chart.recipe
    left, right = recipe.page.margin_left_mm, chart.page_mm[0] - recipe.page.margin_right_mm
    bottom = chart.page_mm[1] - recipe.page.margin_bottom_mm
    words = page_words(recipe, chart.chart_id, page, chart.pages)
    marks, _ = header(left, recipe.page.margin_top_mm, right - left, recipe.title, *words)
    _, height = footer(left, 0.0, right - left, recipe.reading.mode)
    foot, _ = footer(left, bottom - height, right - left, recipe.reading.mode)
    marks += foot
    top = float(boxes[:, 1].min())
    rule = min(100, int((bottom - height - 2.0 - top) // 10) * 10)
    if rule >= 10:
        marks += down_rule(left, top, rule)
        marks.append(Text(left + 5.4, top + rule / 2, f"{rule} mm", _RULE_PT, align="centre", device=QUIET, upright=True))
    return marks
