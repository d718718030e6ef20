"""Pages as a vector PDF: device values as they are (device spaces, no profile, no transparency), fonts embedded.

Reference: [ISO-32000-1] device colour spaces, path painting. The same chart gives the same bytes.
"""

import io
from typing import Any

from spectro.chart.fonts import REGULAR, register_fonts
from spectro.chart.marks import Box, Text
from spectro.chart.page_marks import page_marks
from spectro.chart.page_text import how_to_print
from spectro.chart.pdf_inks import fill_setter
from spectro.chart.raster import device_of
from spectro.records.chart import Chart

_POINTS_A_MM = 72 / 25.4


def pdf_bytes(chart: Chart) -> bytes:
    """Return the pages of a chart as one PDF file. Device values and places are written with six decimals."""
    from reportlab.pdfgen.canvas import Canvas

    register_fonts()
    buffer = io.BytesIO()
    size = (chart.page_mm[0] * _POINTS_A_MM, chart.page_mm[1] * _POINTS_A_MM)
    canvas = Canvas(buffer, pagesize=size, pageCompression=1, invariant=1, initialFontName=REGULAR)
    canvas.setTitle(chart.recipe.title)
    canvas.setAuthor("")
    canvas.setSubject(f"Chart {chart.chart_id}, {len(chart)} patches. {how_to_print(chart.recipe)}")
    canvas.setCreator("spectro")
    canvas.setProducer("spectro")
    set_fill = fill_setter(canvas, chart)
    for page in range(1, chart.pages + 1):
        colour = None
        for mark in page_marks(chart, page):
            if mark.device != colour:
                colour = device_of(mark)
                set_fill(colour)
            if isinstance(mark, Box):
                _draw_box(canvas, mark, chart.page_mm[1])
            else:
                _draw_text(canvas, mark, chart.page_mm[1])
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def _draw_box(canvas: Any, box: Box, page_height: float) -> None:
    canvas.rect(
        box.left * _POINTS_A_MM,
        (page_height - box.top - box.height) * _POINTS_A_MM,
        box.width * _POINTS_A_MM,
        box.height * _POINTS_A_MM,
        stroke=0,
        fill=1,
    )


def _draw_text(canvas: Any, text: Text, page_height: float) -> None:
    draw = {"left": canvas.drawString, "centre": canvas.drawCentredString, "right": canvas.drawRightString}[text.align]
    canvas.setFont(text.font, text.size_pt)
    x, y = text.x * _POINTS_A_MM, (page_height - text.baseline) * _POINTS_A_MM
    if not text.upright:
        draw(x, y, text.text)
        return
    canvas.saveState()
    canvas.translate(x, y)
    canvas.rotate(90)
    draw(0, 0, text.text)
    canvas.restoreState()
