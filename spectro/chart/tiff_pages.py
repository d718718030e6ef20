"""Pages as TIFF without a profile, 16 and 8 bits: the form that print paths leave alone most often.

Reference: [TIFF-6.0]. The same chart gives the same bytes.
"""

from spectro.chart.channels import CMYK, GREY, RGB, paper_value
from spectro.chart.page_marks import page_marks
from spectro.chart.raster import page_size_px, raster_bands
from spectro.chart.tiff_file import TiffPicture, pack_tiff
from spectro.records.chart import Chart

FULL = {16: 65535, 8: 255}
"""The integer of device value 1, by bits; 65535 is 257 times 255, so that whole steps of 1/255 print the same in both."""


def tiff_bytes(chart: Chart, page: int, bits: int = 16) -> bytes:
    """Return a page, counted from 1, as a TIFF file at the recipe's resolution. bits: 16 or 8."""
    dpi, channels = chart.recipe.page.resolution_dpi, chart.channels
    height, width = page_size_px(chart.page_mm, dpi)
    picture = TiffPicture(
        height=height,
        width=width,
        channels=len(channels),
        bits=bits,
        photometric={RGB: 2, GREY: 1}.get(channels, 5),
        inks=() if channels in (RGB, GREY, CMYK) else channels,
        dpi=dpi,
        description=f"Chart {chart.chart_id}, page {page} of {chart.pages}",
    )
    paper = (paper_value(channels),) * len(channels)
    strips = raster_bands(page_marks(chart, page), chart.page_mm, dpi, FULL[bits], paper, picture.rows_a_strip)
    return pack_tiff(picture, strips)


def page_file_name(page: int, bits: int = 16) -> str:
    """Return the name of a page's TIFF file.

    >>> page_file_name(3), page_file_name(3, 8)
    ('page-03.tif', 'page-03-8-bit.tif')
    """
    return f"page-{page:02d}{'-8-bit' if bits == 8 else ''}.tif"
