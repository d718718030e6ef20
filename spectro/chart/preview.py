"""A small picture of all pages side by side, to look at on a screen; not to be printed."""

import io

import numpy as np

from spectro.chart.page_marks import page_marks
from spectro.chart.raster import raster_page
from spectro.records.chart import Chart

_WIDEST_PX = 2400
_DPI = 120
_BETWEEN_PX = 24
_DESK = 224  # grey around the pages
_IN_A_ROW = 4
_MOST_PAGES = 8


def preview_png(chart: Chart) -> bytes:
    """Return a PNG of the first eight pages, four in a row, device values shown as sRGB."""
    from PIL import Image

    shown = min(chart.pages, _MOST_PAGES)
    across = min(shown, _IN_A_ROW)
    dpi = min(_DPI, int(_WIDEST_PX / across / (chart.page_mm[0] / 25.4)))
    pages = [raster_page(page_marks(chart, page), chart.page_mm, dpi, 255) for page in range(1, shown + 1)]
    height, width, _ = pages[0].shape
    down = -(-shown // across)
    canvas = np.full(
        (down * (height + _BETWEEN_PX) + _BETWEEN_PX, across * (width + _BETWEEN_PX) + _BETWEEN_PX, 3), _DESK, np.uint8
    )
    for index, page in enumerate(pages):
        top = _BETWEEN_PX + index // across * (height + _BETWEEN_PX)
        left = _BETWEEN_PX + index % across * (width + _BETWEEN_PX)
        canvas[top : top + height, left : left + width] = page
    buffer = io.BytesIO()
    Image.fromarray(canvas).save(buffer, format="PNG", optimize=False)
    return buffer.getvalue()
