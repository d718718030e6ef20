"""Pages as 16-bit RGB TIFF without a profile: the form that print paths leave alone most often.

Reference: [TIFF-6.0] baseline RGB, resolution. The same chart gives the same bytes.
"""

import io

from spectro.chart.page_marks import page_marks
from spectro.chart.raster import raster_page
from spectro.records.chart import Chart

FULL = 65535
"""The 16-bit value of device value 1; 257 times an 8-bit step, so that both print the same."""


def tiff_bytes(chart: Chart, page: int) -> bytes:
    """Return a page, counted from 1, as a TIFF file at the recipe's resolution."""
    import tifffile

    dpi = chart.recipe.page.resolution_dpi
    pixels = raster_page(page_marks(chart, page), chart.page_mm, dpi, FULL)
    buffer = io.BytesIO()
    tifffile.imwrite(
        buffer,
        pixels,
        photometric="rgb",
        compression="zlib",
        predictor=True,
        rowsperstrip=64,
        resolution=(dpi, dpi),
        resolutionunit="INCH",
        software="spectro",
        metadata=None,
        description=f"Chart {chart.chart_id}, page {page} of {chart.pages}",
    )
    return buffer.getvalue()


def page_file_name(page: int) -> str:
    """Return the name of a page's TIFF file.

    >>> page_file_name(3)
    'page-03.tif'
    """
    return f"page-{page:02d}.tif"
