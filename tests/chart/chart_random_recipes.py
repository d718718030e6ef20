"""Random recipes of every kind that the limits allow, and what their pages must be; for tests and benchmarks/charts.py."""

from typing import Any

import numpy as np
from hypothesis import strategies as st

from spectro.chart.fonts import text_width_mm
from spectro.chart.marks import Box, Mark
from spectro.chart.page_marks import page_marks
from spectro.records.arrays import FloatArray
from spectro.records.chart import Chart

INKS = ["cyan", "magenta", "yellow", "black", "orange", "green", "violet", "light black"]


@st.composite
def recipes(draw: st.DrawFn, most_patches: int = 400) -> dict[str, Any]:
    """Recipes of all channels and reading modes, pages from a postcard up."""

    def length(low: float, high: float) -> float:
        return draw(st.integers(round(low * 20), round(high * 20))) / 20

    channels = draw(st.sampled_from(["RGB", "RGB", "CMYK", "grey", INKS[:6], INKS, INKS[3:4], ["cyan", "black"]]))
    mode = draw(st.sampled_from(["by-strip", "by-patch", "by-table"]))
    dividers = draw(st.booleans())
    table: dict[str, Any] = {
        "format": 1,
        "title": draw(
            st.sampled_from(["x", "Long title of a chart on invented paper, with more words than fit on it", "W" * 80])
        ),
        "channels": channels,
        "patches": draw(st.integers(24, most_patches)),
        "seed": draw(st.integers(0, 2**53)),
        "spread": {"colour_weight": draw(st.sampled_from([0.0, 0.5, 1.0]))},
        "greys": {"neutral": draw(st.integers(2, 60)), "near_neutral": draw(st.integers(0, 80))},
        "ramps": {"steps": draw(st.integers(0, 30))},
        "edges": {"steps": draw(st.integers(0, 12))},
        "repeats": {
            "patches": draw(st.integers(0, 30)),
            "copies": draw(st.integers(1, 6)),
            "anchors": draw(st.integers(0, 5)),
            "evenness": draw(st.integers(0, 5)),
        },
        "condition": {"paper": draw(st.sampled_from(["", "Invented paper with a name that is as long as it may be, 60"]))},
        "page": {
            "width_mm": length(100, 330),
            "height_mm": length(140, 480),
            "margin_left_mm": length(0, 15),
            "margin_right_mm": length(0, 15),
            "margin_top_mm": length(0, 15),
            "margin_bottom_mm": length(0, 25),
        },
        "patch": {
            "width_mm": length(3, 16),
            "height_mm": length(3, 16),
            "gap_columns_mm": length(0, 4),
            "gap_rows_mm": length(0.5 if dividers else 0, 4),
        },
        "reading": {"mode": mode, "run_in_mm": length(0, 10), "run_out_mm": length(0, 10), "dividers": dividers},
    }
    longest = draw(st.sampled_from([None, 60.0, 250.0]))
    if longest is not None:
        table["reading"]["longest_strip_mm"] = longest
    if draw(st.booleans()):
        table["pages"] = draw(st.integers(1, 4))
    if channels not in ("RGB", "grey"):
        table["overprints"] = {"inks": draw(st.integers(0, 4)), "steps": draw(st.integers(1, 3))}
        if draw(st.booleans()):
            table["total_area"] = draw(st.integers(100, 400))
    if draw(st.sampled_from([False, False, False, True])):
        del table["page"]["width_mm"], table["page"]["height_mm"]
        table["page"]["size"] = draw(st.sampled_from(["roll-24in", "roll-44in", "10x15cm", "8.5x11in"]))
    return table


def extent(mark: Mark) -> tuple[float, float, float, float]:
    """Left, top, right, bottom of a mark, mm; letters from their descent to their ascent."""
    if isinstance(mark, Box):
        return mark.left, mark.top, mark.left + mark.width, mark.top + mark.height
    width = text_width_mm(mark.text, mark.font, mark.size_pt)
    start = {"left": 0.0, "centre": -width / 2, "right": -width}[mark.align]
    ascent, descent = mark.size_pt * 0.76 * 25.4 / 72, mark.size_pt * 0.24 * 25.4 / 72
    if mark.upright:
        return mark.x - ascent, mark.baseline - start - width, mark.x + descent, mark.baseline - start
    return mark.x + start, mark.baseline - ascent, mark.x + start + width, mark.baseline + descent


def overlaps(first: FloatArray, second: FloatArray) -> int:
    """How many pairs of two lists of extents overlap."""
    low = np.maximum(first[:, None, :2], second[None, :, :2])
    high = np.minimum(first[:, None, 2:], second[None, :, 2:])
    return int((high - low > 1e-3).all(axis=2).sum())


STORED_MM = 1e-4  # places of patches are kept to this, so a row that fills the page exactly may end half of it beyond


def assert_sound(chart: Chart) -> None:
    """No overlap, nothing outside the printable area, every place once, no more ink than the limit."""
    page = chart.recipe.page
    width, height = chart.page_mm
    for number in range(1, chart.pages + 1):
        marks = page_marks(chart, number)
        boxes = np.array([extent(mark) for mark in marks])
        assert boxes[:, 0].min() >= page.margin_left_mm - STORED_MM
        assert boxes[:, 1].min() >= page.margin_top_mm - STORED_MM
        assert boxes[:, 2].max() <= width - page.margin_right_mm + STORED_MM
        assert boxes[:, 3].max() <= height - page.margin_bottom_mm + STORED_MM
        patches = int((chart.positions[:, 0] == number).sum())
        assert patches > 0
        assert overlaps(boxes[:patches], boxes) == patches  # with itself only; words, scale bars and lines included
        texts = np.array([extent(mark) for mark in marks if not isinstance(mark, Box)])
        assert overlaps(texts, texts) == len(texts)
    assert len({tuple(place) for place in chart.positions.tolist()}) == len(chart)
    assert len(set(chart.sample_names)) == len(chart)
    assert (chart.positions >= 1).all()
    assert (chart.positions[:, 1] <= chart.rows).all()
    assert chart.device.min() >= 0
    assert chart.device.max() <= 1
    if chart.recipe.total_area is not None:
        assert chart.steps.sum(axis=1).max() <= chart.recipe.total_area / 100 * 255
