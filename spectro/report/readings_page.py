"""What readings hold, as one HTML file without network or script, or as a picture of their pages alone."""

import functools
import io
from importlib import resources
from typing import TYPE_CHECKING, Any

import numpy as np

from spectro.colour.srgb import lab_to_srgb
from spectro.errors import InputError
from spectro.records.readings_sheet import ReadingsSheet, ReadingsShown
from spectro.report.error_steps import hexadecimal
from spectro.report.inline_svg import inline_svg
from spectro.report.page_parts import page_template
from spectro.report.plot_readings_page import page_words, plot_readings_page, plot_readings_pages
from spectro.report.reading_notes import grouped_notes
from spectro.report.readings_pdf import readings_pdf
from spectro.report.style import RASTER_DPI, css_variables, figure_style

if TYPE_CHECKING:
    from jinja2 import Template


def readings_picture(shown: ReadingsShown, suffix: str) -> bytes:
    """Return the bytes of a .html, .pdf, .png or .svg picture of what was shown; the same bytes for the same input.

    Raises InputError where a picture of pages is asked for and there is not one file to draw.
    """
    if suffix == ".html":
        return readings_html(shown).encode("utf-8")
    if suffix == ".pdf":
        return readings_pdf(shown)
    if len(shown.sheets) != 1:
        raise InputError(f"{len(shown.sheets)} files for {suffix}", "one file of readings", "Name one, or write .html or .pdf.")
    sheet = shown.sheets[0]
    words = " ".join(page_words(sheet, page) for page in sheet.layout.pages)
    buffer = io.BytesIO()
    with figure_style("readings"):
        figure = plot_readings_pages(sheet)
        if suffix == ".png":
            figure.savefig(
                buffer, format="png", dpi=200, metadata={"Title": shown.verdict, "Description": words, "Software": None}
            )
        else:
            figure.savefig(
                buffer, format="svg", dpi=RASTER_DPI,
                metadata={"Date": None, "Creator": None, "Title": shown.verdict, "Description": words},
            )  # fmt: skip
    return buffer.getvalue()


def readings_html(shown: ReadingsShown) -> str:
    """Return one self-contained HTML document. Everything that comes from files is escaped."""
    from markupsafe import Markup

    return _template().render(
        shown=shown,
        sheets=[_sheet(sheet, number) for number, sheet in enumerate(shown.sheets, 1)],
        variables=Markup(css_variables()),
        css=Markup(resources.files("spectro.report").joinpath("page.css").read_text("utf-8")),
    )


def _sheet(sheet: ReadingsSheet, number: int) -> dict[str, Any]:
    from markupsafe import Markup

    return {
        "s": sheet,
        "pages": [
            {
                "page": page,
                "figure": Markup(inline_svg(plot_readings_page(sheet, page), f"r{number}p{page}", page_words(sheet, page))),
                "even": next((even for even in sheet.evenness if even.page == page), None),
            }
            for page in sheet.layout.pages
        ],
        "found": grouped_notes(sheet.notes),
        "paper_colour": _colour(sheet.paper_lab),
        "black_colour": _colour(sheet.black_lab),
        "device_words": "RGB as on a screen" if sheet.colour_space == "RGB" else "the inks asked for, roughly",
    }


@functools.cache
def _template() -> "Template":
    return page_template("readings.html.j2")


def _colour(lab: tuple[float, float, float] | None) -> str:
    return "transparent" if lab is None else hexadecimal(lab_to_srgb(np.array(lab)))
