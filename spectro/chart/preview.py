"""A small picture of all pages side by side, to look at on a screen; not to be printed."""

import dataclasses
import io

import numpy as np

from spectro.chart.channels import RGB
from spectro.chart.generic_printer import predicted_lab
from spectro.chart.marks import Mark
from spectro.chart.page_marks import page_marks
from spectro.chart.raster import device_of, raster_page
from spectro.colour.srgb import lab_to_srgb
from spectro.records.chart import Chart

_WIDEST_PX = 2400
_DPI = 120
_BETWEEN_PX = 24
_DESK = 224  # grey around the pages
_IN_A_ROW = 4
_MOST_PAGES = 8


def preview_png(chart: Chart) -> bytes:
    """Return a PNG of the first eight pages, four in a row; RGB values shown as sRGB, others by their predicted colour."""
    from PIL import Image

    shown = min(chart.pages, _MOST_PAGES)
    across = min(shown, _IN_A_ROW)
    dpi = max(20, min(_DPI, int(_WIDEST_PX / across / (max(chart.page_mm) / 25.4))))
    pages = [raster_page(_on_screen(chart, page), chart.page_mm, dpi, 255) for page in range(1, shown + 1)]
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


def _on_screen(chart: Chart, page: int) -> list[Mark]:
    """Return the marks of a page in sRGB; bare paper is shown as white, patches of a proof page as what they ask for."""
    marks = page_marks(chart, page)
    if chart.channels != RGB:
        devices = sorted({device_of(mark) for mark in marks})
        lab = predicted_lab(chart.recipe, np.array(devices)) / [0.96, 1, 1]
        shown = {device: tuple(colour) for device, colour in zip(devices, lab_to_srgb(lab).tolist(), strict=True)}
        marks = [dataclasses.replace(mark, device=shown[device_of(mark)]) for mark in marks]
    if chart.proof is None:
        return marks
    asked = lab_to_srgb(chart.proof.pcs_lab[chart.positions[:, 0] == page]).tolist()
    patches = [dataclasses.replace(mark, device=tuple(colour)) for mark, colour in zip(marks, asked, strict=False)]
    return [*patches, *marks[len(patches) :]]
