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


if __name__ == "__main__":
    (HERE / "chart.png").write_bytes(chart_picture())
