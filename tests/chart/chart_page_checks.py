"""What a page file must hold, checked with programs that did not write it; used by tests and by benchmarks/charts.py."""

import contextlib
import io
import shutil
import subprocess
import tempfile
from pathlib import Path

import numpy as np

from spectro.chart.channels import CMYK, GREY, RGB, are_inks
from spectro.chart.page_code import parse_page_code
from spectro.chart.pdf_pages import pdf_bytes
from spectro.chart.raster import pixel_span
from spectro.chart.tiff_file import FULL, tiff_bytes
from spectro.records.chart import Chart

POINTS_A_MM = 72 / 25.4
INSIDE_MM = 0.1


def rows_of(chart: Chart, page: int) -> list[int]:
    """The chart's rows that stand on a page."""
    return np.flatnonzero(chart.positions[:, 0] == page).tolist()


def check_content(chart: Chart, pages: list[int] | None = None) -> None:
    """Fill colours and rectangles of the content stream: exact to 1e-6 of a device value and 0.001 mm; nothing else fills."""
    import pypdf

    operator = {RGB: "rg", GREY: "g", CMYK: "k"}.get(chart.channels, "scn")
    document = pypdf.PdfReader(io.BytesIO(pdf_bytes(chart)))
    assert len(document.pages) == chart.pages
    for page in pages or range(1, chart.pages + 1):
        sheet = document.pages[page - 1]
        width, height = float(sheet.mediabox.width) / POINTS_A_MM, float(sheet.mediabox.height) / POINTS_A_MM
        np.testing.assert_allclose([width, height], chart.page_mm, atol=0.001)
        found, colour = [], None
        for operands, operator_name in sheet.get_contents().operations:
            name = operator_name.decode("ascii")
            if name == operator:
                colour = [float(value) for value in operands]
            elif name == "re":
                found.append((colour, [float(value) / POINTS_A_MM for value in operands]))
            else:
                allowed = ("cs", "f", "f*", "n", "q", "Q", "cm", "BT", "ET", "Tf", "Tm", "Tj", "TL", "T*", "Td")
                assert name in allowed, name
        here = rows_of(chart, page)
        devices = np.array([colour for colour, _ in found[: len(here)]])
        np.testing.assert_allclose(devices, chart.device[here], rtol=0, atol=1e-6)
        left, bottom, wide, high = np.array([box for _, box in found[: len(here)]]).T
        boxes = np.stack([left, chart.page_mm[1] - bottom - high, wide, high], axis=1)
        np.testing.assert_allclose(boxes, chart.boxes_mm[here], rtol=0, atol=0.001)


def check_ink_space(chart: Chart) -> None:
    """The resources name the inks in order, alternate space DeviceCMYK, and no profile or transparency anywhere."""
    import pypdf

    for sheet in pypdf.PdfReader(io.BytesIO(pdf_bytes(chart))).pages:
        kind, names, alternate, tint = (part.get_object() for part in sheet["/Resources"]["/ColorSpace"]["/Inks"])
        assert str(kind) == "/DeviceN"
        assert [str(name)[1:] for name in names] == [name.title() for name in chart.channels]
        assert str(alternate) == "/DeviceCMYK"
        assert int(tint["/FunctionType"]) == 4


def painted_page(chart: Chart, page: int) -> tuple[np.ndarray, float]:
    """A page as poppler paints it, else PDFium, and the pixels a mm: 600 dpi up to A4 and Letter, 300 dpi above."""
    program = shutil.which("pdftoppm")
    dpi = 600 if chart.page_mm[0] <= 216 and chart.page_mm[1] <= 297 else 300
    if program is None:
        import pypdfium2

        with contextlib.closing(pypdfium2.PdfDocument(pdf_bytes(chart))) as document:
            return np.array(document[page - 1].render(scale=dpi / 72, rev_byteorder=True).to_numpy()[..., :3]), dpi / 25.4
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "pages.pdf"
        path.write_bytes(pdf_bytes(chart))
        command = [
            program,
            "-r",
            str(dpi),
            "-f",
            str(page),
            "-l",
            str(page),
            "-singlefile",
            str(path),
            str(path.with_suffix("")),
        ]
        subprocess.run(command, check=True, capture_output=True)
        data = path.with_suffix(".ppm").read_bytes()
    head = data.split(maxsplit=4)[:4]
    width, height = int(head[1]), int(head[2])
    return np.frombuffer(data[-width * height * 3 :], np.uint8).reshape(height, width, 3), dpi / 25.4


def check_raster(chart: Chart, page: int) -> None:
    """All pixels inside each box, 0.1 mm from its edges on, have exactly the patch's 8-bit value."""
    picture, pixels_a_mm = painted_page(chart, page)
    for row in rows_of(chart, page):
        left, top, width, height = chart.boxes_mm[row].tolist()
        x0, x1 = int(np.ceil((left + INSIDE_MM) * pixels_a_mm)), int(np.floor((left + width - INSIDE_MM) * pixels_a_mm))
        y0, y1 = int(np.ceil((top + INSIDE_MM) * pixels_a_mm)), int(np.floor((top + height - INSIDE_MM) * pixels_a_mm))
        assert (picture[y0:y1, x0:x1] == chart.steps[row]).all(), chart.sample_names[row]


def check_tiff(chart: Chart, page: int, bits: int) -> None:
    """Read back: bits, channels, inks, resolution, no profile, all pixels of each patch exact, edges within 0.1 mm."""
    import tifffile

    with tifffile.TiffFile(io.BytesIO(tiff_bytes(chart, page, bits))) as file:
        (sheet,) = file.pages
        pixels = sheet.asarray()
        tags = {tag.code: tag.value for tag in sheet.tags.values()}
    pixels = pixels.reshape(*pixels.shape[:2], -1)
    assert pixels.dtype == (np.uint16 if bits == 16 else np.uint8)
    assert pixels.shape[2] == len(chart.channels)
    assert not {34675, 338, 306} & set(tags)  # no profile, no extra samples, no date
    assert tags[262] == {RGB: 2, GREY: 1}.get(chart.channels, 5)
    if are_inks(chart.channels):
        assert (tags[332], tags[334]) == (1 if chart.channels == CMYK else 2, len(chart.channels))
        if chart.channels != CMYK:
            assert tuple(tags[333].rstrip("\0").split("\0")) == chart.channels
    dpi = chart.recipe.page.resolution_dpi
    assert tags[282] == tags[283] == (dpi, 1)
    pixels_a_mm = dpi / 25.4
    for row in rows_of(chart, page):
        left, top, width, height = chart.boxes_mm[row].tolist()
        (x0, x1), (y0, y1) = pixel_span(left, width, pixels_a_mm), pixel_span(top, height, pixels_a_mm)
        wanted = np.rint(chart.device[row] * FULL[bits])
        assert (pixels[y0:y1, x0:x1] == wanted).all(), chart.sample_names[row]
        edges = np.array([x0, y0, x1, y1]) / pixels_a_mm - [left, top, left + width, top + height]
        assert np.abs(edges).max() < 0.1


def check_code(chart: Chart, page: int) -> None:
    """An independent decoder reads the page code at 150 dpi, upright and turned by 5 degrees."""
    import pypdfium2
    import zxingcpp

    document = pypdfium2.PdfDocument(pdf_bytes(chart))
    upright = document[page - 1].render(scale=150 / 72).to_pil().convert("L")
    document.close()
    for turn in (0, 5):
        picture = upright.rotate(turn, expand=True, fillcolor=255, resample=2)
        texts = {code.text for code in zxingcpp.read_barcodes(np.asarray(picture))}
        assert len(texts) == 1, (turn, texts)
        code = parse_page_code(texts.pop())
        assert (code.chart_id, code.page) == (chart.chart_id, page)


def check_page(chart: Chart, page: int) -> None:
    """All of the above for one page of any chart."""
    check_content(chart, [page])
    if not are_inks(chart.channels):
        check_raster(chart, page)
    elif chart.channels != CMYK:
        check_ink_space(chart)
    for bits in (16, 8):
        check_tiff(chart, page, bits)
    check_code(chart, page)
