"""Makes the pictures of the guide anew: python docs/pictures.py. They are small, and nothing else makes them."""

import io
from pathlib import Path

from spectro.chart.design import design_chart
from spectro.chart.preview import preview_png
from spectro.chart.recipe import read_recipe
from spectro.chart.wishes import patches_in

HERE = Path(__file__).resolve().parent
WIDTH = 420
COLOURS = 64


def chart_picture() -> bytes:
    """The first page of the chart of the first example, small, in few colours."""
    from PIL import Image

    chart = design_chart(patches_in(2, read_recipe("rgb-a4-strip")))
    picture = Image.open(io.BytesIO(preview_png(chart))).convert("RGB")
    small = picture.resize((WIDTH, round(picture.height * WIDTH / picture.width)), Image.Resampling.LANCZOS)
    out = io.BytesIO()
    small.quantize(COLOURS).save(out, "PNG", optimize=True)
    return out.getvalue()


def test_picture() -> bytes:
    """The test picture, small."""
    from PIL import Image

    from spectro.chart.test_picture import draw_picture
    from spectro.colour.page_numbers import oprgb_to_lab
    from spectro.colour.srgb import lab_to_srgb

    page = lab_to_srgb(oprgb_to_lab(draw_picture(150, patches=True) / 65535))
    picture = Image.fromarray((page * 255).round().astype("uint8"))
    small = picture.resize((900, round(picture.height * 900 / picture.width)), Image.Resampling.LANCZOS)
    out = io.BytesIO()
    small.quantize(256).save(out, "PNG", optimize=True)
    return out.getvalue()


if __name__ == "__main__":
    (HERE / "chart.png").write_bytes(chart_picture())
    (HERE / "test-picture.png").write_bytes(test_picture())
