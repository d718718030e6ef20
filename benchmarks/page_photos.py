"""How often the page code is read from invented photos, by resolution and care.

python benchmarks/page_photos.py [PHOTOS]    photos of each kind, 24 without a number
"""

import io
import sys
import time
from pathlib import Path

import numpy as np
import pypdfium2
from PIL import Image

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests" / "chart"))

from chart_photos import FAIR, FLAT, POOR, photographed

from spectro.chart.design import design_chart
from spectro.chart.page_scan import page_codes
from spectro.chart.pdf_pages import pdf_bytes
from spectro.chart.recipe import read_recipe
from spectro.errors import InputError


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 24
    document = pypdfium2.PdfDocument(pdf_bytes(design_chart(read_recipe("rgb-a4-strip"))))
    for dpi in (100, 120, 150, 200):
        page = document[0].render(scale=dpi / 72).to_pil().convert("L")
        for name, look in (("flat", FLAT), ("fair", FAIR), ("poor", POOR)):
            read, start = 0, time.perf_counter()
            for seed in range(count):
                with Image.open(io.BytesIO(photographed(page, seed, **look))) as photo:
                    picture = np.asarray(photo)
                try:
                    page_codes(picture)
                    read += 1
                except InputError:
                    pass
            print(f"{dpi} dpi, {name}: {read} of {count} read, {(time.perf_counter() - start) / count:.2f} s each")


if __name__ == "__main__":
    main()
