"""Page files: every patch has exactly its value and lies within 0.1 mm of the place that chart.json states."""

import functools
import io
import json
import re
from typing import Any

import numpy as np
import pytest

from spectro.chart.chart_file import pack_chart, parse_chart
from spectro.chart.chart_folder import file_names, patch_table
from spectro.chart.design import design_chart
from spectro.chart.pdf_pages import pdf_bytes
from spectro.chart.preview import preview_png
from spectro.chart.raster import pixel_span
from spectro.chart.recipe import read_recipe
from spectro.chart.tiff_file import tiff_bytes
from spectro.errors import MeasurementFileError
from spectro.records.chart import Chart

POINTS_A_MM = 72 / 25.4
NUMBER = rb"(-?[\d.]+)"


def stated(chart: Chart) -> list[dict[str, Any]]:
    """The patches as the file beside the pages states them."""
    patches: list[dict[str, Any]] = json.loads(pack_chart(chart, file_names(chart)))["patches"]
    return patches


def content_streams(pdf: bytes) -> list[bytes]:
    """The drawing operators of each page, read from the file's own objects without the library that wrote it."""
    import base64
    import zlib

    streams = []
    for match in re.finditer(rb"<<([^>]*?/ASCII85Decode\s*/FlateDecode[^>]*?)>>\s*stream\r?\n(.*?)\s*endstream", pdf, re.S):
        data = zlib.decompress(base64.a85decode(match[2].strip().removesuffix(b"~>")))
        if b" re" in data:
            streams.append(data)
    return streams


@pytest.fixture(scope="module", params=["small", "rgb-a4-strip", "rgb-letter-strip", "rgb-a4-patch"])
def chart(request: pytest.FixtureRequest, small_chart: Chart) -> Chart:
    """The small chart and that of every ready recipe."""
    return small_chart if request.param == "small" else ready(request.param)


@functools.cache
def ready(name: str) -> Chart:
    """The chart of a ready recipe, made once."""
    return design_chart(read_recipe(name))


def test_pdf_operators_hold_every_patch(chart: Chart) -> None:
    """Fill colours and rectangles of the content stream: exact to 1e-6 of a device value and 0.001 mm."""
    streams = content_streams(pdf_bytes(chart))
    assert len(streams) == chart.pages
    for page, stream in enumerate(streams, start=1):
        found = []
        colour: tuple[float, ...] = ()
        pattern = rb"%s %s %s rg|%s %s %s %s re" % ((NUMBER,) * 7)
        for match in re.finditer(pattern, stream):
            if match[1] is not None:
                colour = tuple(float(text) for text in match.groups()[:3])
            else:
                found.append((colour, tuple(float(text) / POINTS_A_MM for text in match.groups()[3:])))
        wanted = [patch for patch in stated(chart) if patch["page"] == page]
        for patch, (device, (left, bottom, width, height)) in zip(wanted, found, strict=False):
            left_mm, top_mm, width_mm, height_mm = patch["box_mm"]
            assert np.allclose(device, np.array(patch["device"]) / 255, rtol=0, atol=1e-6)
            box = (left, chart.page_mm[1] - bottom - height, width, height)
            assert np.allclose(box, (left_mm, top_mm, width_mm, height_mm), rtol=0, atol=0.001)
        assert len(found) > len(wanted)
        for operator in (rb"\bRG\b", rb"\bk\b", rb"\bg\b", rb"\bcs\b", rb"\bscn\b", rb"\bgs\b", rb"\bDo\b", rb"\bsh\b"):
            assert not re.search(rb"(?m)" + operator + rb"\s*$", stream)


def test_pdf_drawn_by_another_program_shows_every_patch(chart: Chart) -> None:
    """Rendered at 300 dpi: colour exact inside each box, 0.1 mm from its edges on."""
    import pypdfium2

    document = pypdfium2.PdfDocument(pdf_bytes(chart))
    scale = 300 / 72
    for page in range(1, chart.pages + 1):
        picture = document[page - 1].render(scale=scale, rev_byteorder=True).to_numpy()[..., :3]
        assert picture.shape[1] == pytest.approx(chart.page_mm[0] * POINTS_A_MM * scale, abs=1)
        for patch in stated(chart):
            if patch["page"] == page:
                assert_box_in_picture(picture, patch, 300 / 25.4, 255)
    document.close()


def assert_box_in_picture(picture: Any, patch: dict[str, Any], pixels_a_mm: float, full: int) -> None:
    """All pixels that lie inside the box, 0.1 mm from its edges on, have the patch's value."""
    left, top, width, height = patch["box_mm"]
    x0, x1 = int(np.ceil((left + 0.1) * pixels_a_mm)), int(np.floor((left + width - 0.1) * pixels_a_mm))
    y0, y1 = int(np.ceil((top + 0.1) * pixels_a_mm)), int(np.floor((top + height - 0.1) * pixels_a_mm))
    value = [round(step / 255 * full) for step in patch["device"]]
    assert (picture[y0:y1, x0:x1] == value).all(), patch["name"]


def test_pdf_is_raw_and_complete(chart: Chart) -> None:
    """No profile, no transparency, no font that is not embedded; the sheet's exact size; the same bytes again."""
    data = pdf_bytes(chart)
    for word in (b"/ICCBased", b"/SMask", b"/ca ", b"/CA ", b"/OutputIntent", b"/ExtGState", b"/Helvetica", b"/Group"):
        assert word not in data
    fonts = re.findall(rb"/BaseFont /(\S+)", data)
    assert fonts
    assert len(re.findall(rb"/FontFile2", data)) == len(fonts)
    box = re.search(rb"/MediaBox \[ 0 0 ([\d.]+) ([\d.]+) \]", data)
    assert box
    assert float(box[1]) == pytest.approx(chart.page_mm[0] * POINTS_A_MM, abs=0.003)
    assert float(box[2]) == pytest.approx(chart.page_mm[1] * POINTS_A_MM, abs=0.003)
    assert pdf_bytes(chart) == data


def test_pdf_text_says_how_to_print(chart: Chart) -> None:
    """Title, page n of m, chart id, the order to print raw, lines to fill in, cautions: as text another reader finds."""
    import pypdfium2

    document = pypdfium2.PdfDocument(pdf_bytes(chart))
    for page in range(1, chart.pages + 1):
        text = document[page - 1].get_textpage().get_text_range()
        for words in (
            chart.recipe.title,
            f"page {page} of {chart.pages}",
            chart.chart_id,
            "Print without colour management, at 100 %",
            *("Printer", "Paper", "Settings", "Printed at"),
            *("100 mm", "hands", "dry"),
        ):
            assert words in " ".join(text.split()), words
    document.close()


def test_tiff_holds_every_patch(chart: Chart) -> None:
    """Read back: 16 bits, no profile, the resolution stated, all pixels of each patch exact, edges within 0.1 mm."""
    import tifffile

    data = tiff_bytes(chart, chart.pages)
    with tifffile.TiffFile(io.BytesIO(data)) as file:
        (page,) = file.pages
        assert isinstance(page, tifffile.TiffPage)
        pixels = page.asarray()
        tags = {tag.code: tag.value for tag in page.tags.values()}
    assert pixels.dtype == np.uint16
    assert 34675 not in tags  # no profile
    assert 306 not in tags  # no date
    assert tags[282] == tags[283] == (300, 1)
    assert tags[296] == 2
    pixels_a_mm = 300 / 25.4
    for patch in stated(chart):
        if patch["page"] != chart.pages:
            continue
        left, top, width, height = patch["box_mm"]
        x0, x1 = pixel_span(left, width, pixels_a_mm)
        y0, y1 = pixel_span(top, height, pixels_a_mm)
        assert (pixels[y0:y1, x0:x1] == [round(step / 255 * 65535) for step in patch["device"]]).all()
        edges = np.array([x0, y0, x1, y1]) / pixels_a_mm - [left, top, left + width, top + height]
        assert np.abs(edges).max() < 0.1
    assert tiff_bytes(chart, chart.pages) == data


def test_tiff_and_pdf_show_the_same_page(chart: Chart) -> None:
    """Words, rules and patches of the TIFF lie where the PDF has them: the pages differ at edges of strokes only."""
    import pypdfium2
    import tifffile

    document = pypdfium2.PdfDocument(pdf_bytes(chart))
    drawn = document[0].render(scale=300 / 72, rev_byteorder=True).to_numpy()[..., :3].astype(float)
    document.close()
    pixels = tifffile.imread(io.BytesIO(tiff_bytes(chart, 1))) / 257.0
    height, width = min(len(drawn), len(pixels)) // 12 * 12, min(drawn.shape[1], pixels.shape[1]) // 12 * 12
    cells = [page[:height, :width].reshape(height // 12, 12, width // 12, 12, 3).mean(axis=(1, 3)) for page in (drawn, pixels)]
    difference = np.abs(cells[0] - cells[1]).max(axis=-1)  # cells of 1 mm
    assert difference.max() < 64  # two edges in a cell of 12 pixels, half a pixel each, of a thin divider
    assert difference.mean() < 3  # half a pixel at an edge is up to 10 in its cell


def test_check_rules_measure_100_mm() -> None:
    """Dark pixels of the TIFF: the longest line across and the longest down are 100 mm, to 0.1 mm."""
    import tifffile

    chart = ready("rgb-a4-strip")
    pixels = tifffile.imread(io.BytesIO(tiff_bytes(chart, 1)))
    dark = (pixels == 51 * 257).all(axis=-1)
    for lines in (dark, dark.T):
        longest = max(
            (len(run) for line in lines[lines.sum(axis=1) > 900] for run in bytes(line.astype(np.uint8)).split(b"\0")),
            default=0,
        )
        assert longest * 25.4 / 300 == pytest.approx(100, abs=0.1)


def test_chart_file_lays_out_the_same_pages_again(small_chart: Chart) -> None:
    """A chart read from its file gives the same bytes of every page file, and of itself."""
    text = pack_chart(small_chart, file_names(small_chart))
    again = parse_chart(text, "chart.json")
    assert pdf_bytes(again) == pdf_bytes(small_chart)
    assert tiff_bytes(again, 2) == tiff_bytes(small_chart, 2)
    assert preview_png(again) == preview_png(small_chart)
    assert patch_table(again) == patch_table(small_chart)
    assert pack_chart(again, file_names(again)) == text


@pytest.mark.parametrize(
    ("change", "word"),
    [
        (lambda raw: raw.update(format=2), "format 2"),
        (lambda raw: raw.pop("format"), "no format number"),
        (lambda raw: raw.pop("patches"), "missing or wrong entry"),
        (lambda raw: raw["patches"].pop(), "do not fit the chart id"),
        (lambda raw: raw["patches"][3]["device"].__setitem__(0, 1), "do not fit the chart id"),
        (lambda raw: raw["patches"][3].pop("box_mm"), "missing or wrong entry"),
        (lambda raw: raw["patches"][3].update(page="one"), "missing or wrong entry"),
    ],
)
def test_a_changed_chart_file_is_refused(small_chart: Chart, change: Any, word: str) -> None:
    """Damage is seen, and the message names the file."""
    raw = json.loads(pack_chart(small_chart, ()))
    change(raw)
    with pytest.raises(MeasurementFileError, match=word) as caught:
        parse_chart(json.dumps(raw), "some/chart.json")
    assert "some/chart.json" in str(caught.value)


def test_what_is_not_json_is_refused() -> None:
    """A cut file is refused."""
    with pytest.raises(MeasurementFileError, match="no JSON"):
        parse_chart('{"format": 1', "chart.json")
