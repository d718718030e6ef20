"""Showing charts: what a folder holds and what became of its files; which page a picture, or a typed line, is of."""

import dataclasses
import io
import json
import shutil
import struct
import sys
import zlib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from chart_photos import FAIR, POOR, photographed
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from spectro.chart.chart_folder import write_chart_folder
from spectro.chart.design import design_chart
from spectro.chart.page_code import page_code_text, parse_page_code
from spectro.chart.page_picture import MOST_PIXELS, page_picture
from spectro.chart.page_scan import page_codes
from spectro.chart.pdf_pages import pdf_bytes
from spectro.chart.recipe import read_recipe
from spectro.cli.main import run
from spectro.errors import InputError, MeasurementFileError
from spectro.records.chart import Chart
from spectro.records.chart_listing import ChartListing, FileState, PageFinding
from spectro.workflow.chart.adopt import chart_adopt
from spectro.workflow.chart.pages import chart_pages
from spectro.workflow.chart.show import chart_show


@pytest.fixture(scope="module")
def made(small_chart: Chart, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of a small chart; not to be changed."""
    path = tmp_path_factory.mktemp("charts") / "own"
    write_chart_folder(small_chart, path)
    return path


@pytest.fixture(scope="module")
def printed(small_chart: Chart) -> dict[int, Image.Image]:
    """Pages of the small chart as another program paints them at 150 dpi."""
    import pypdfium2

    document = pypdfium2.PdfDocument(pdf_bytes(small_chart))
    pages = {number + 1: document[number].render(scale=150 / 72).to_pil().convert("RGB") for number in range(len(document))}
    document.close()
    return pages


def listing(path: Path) -> ChartListing:
    """What is shown of a folder."""
    found = chart_show(path)
    assert isinstance(found, ChartListing)
    return found


def finding(what: Path | str, *among: Path) -> PageFinding:
    """What is shown of a picture or text."""
    found = chart_show(what, among=among)
    assert isinstance(found, PageFinding)
    return found


def test_a_folder_is_shown_with_all_it_holds(small_chart: Chart, made: Path) -> None:
    """Figures are those of the chart; every file is there, and was checked."""
    found = listing(made)
    assert (found.chart_id, found.title, found.seed) == (small_chart.chart_id, small_chart.recipe.title, 7)
    assert (found.patches, found.pages, found.strips) == (len(small_chart), small_chart.pages, small_chart.strips)
    assert sum(found.stanza_counts.values()) == sum(found.patches_a_page) == len(small_chart)
    assert found.different == len(small_chart) - found.stanza_counts["repeats"]
    assert (found.page_mm, found.patch_mm, found.reading_mode) == ((130, 180), (7.3, 6.7), "by-strip")
    assert (found.separation, found.smallest_step) == (small_chart.separation, small_chart.smallest_step)
    assert [parse_page_code(text).page for text in found.page_codes] == list(range(1, small_chart.pages + 1))
    assert {file.state for file in found.files} == {FileState.PRESENT}
    assert found.sound
    assert found.verdict.endswith("all its files are there, unchanged.")
    assert listing(made / "chart.json") == found


def test_missing_changed_and_other_files_are_named(made: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One byte changed is seen; the command ends with 3."""
    shutil.copytree(made, tmp_path / "c")
    data = bytearray((tmp_path / "c" / "page-01.tif").read_bytes())
    data[len(data) // 2] ^= 1
    (tmp_path / "c" / "page-01.tif").write_bytes(data)
    (tmp_path / "c" / "pages.pdf").unlink()
    (tmp_path / "c" / "readings.txt").write_text("mine")
    found = listing(tmp_path / "c")
    states = {file.name: file.state for file in found.files}
    assert states["page-01.tif"] is FileState.CHANGED
    assert states["pages.pdf"] is FileState.MISSING
    assert list(states.values()).count(FileState.PRESENT) == len(states) - 2
    assert found.others == ("readings.txt",)
    assert "pages.pdf is missing" in found.verdict
    assert "page-01.tif is changed" in found.verdict
    assert run(["chart", "show", str(tmp_path / "c")]) == 3
    assert "also there: readings.txt" in capsys.readouterr().out


def test_a_chart_without_sums_is_shown_as_not_checked(made: Path, tmp_path: Path) -> None:
    """As charts of earlier versions are."""
    shutil.copytree(made, tmp_path / "c")
    raw = json.loads((tmp_path / "c" / "chart.json").read_text("utf-8"))
    del raw["sha256"]
    (tmp_path / "c" / "chart.json").write_text(json.dumps(raw), "utf-8")
    found = listing(tmp_path / "c")
    assert found.sound
    assert "states no sums" in found.verdict


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (lambda text: text[: len(text) // 2], "no JSON"),
        (lambda text: text.replace('"row": 2', '"row": 3', 1), "do not fit the chart id"),
        (lambda text: text.replace('"format": 1', '"format": 2', 1), "Install a newer version"),
        (lambda text: "[]", "no format number"),
        (lambda text: "\udc80", "no UTF-8"),
    ],
)
def test_a_damaged_chart_is_refused(change: Any, message: str, made: Path, tmp_path: Path) -> None:
    """The file is named."""
    text = change((made / "chart.json").read_text("utf-8"))
    (tmp_path / "chart.json").write_bytes(text.encode("utf-8", "surrogateescape"))
    with pytest.raises(MeasurementFileError, match=message):
        chart_show(tmp_path)


def test_adopted_and_inked_charts_are_shown(
    small_chart: Chart, made: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Where it came from, sizes not known; total area of inks."""
    chart_adopt([made / "chart.txt"], tmp_path / "adopted")
    found = listing(tmp_path / "adopted")
    assert (found.page_mm, found.patch_mm, found.page_codes) == (None, None, ())
    assert found.origin is not None
    assert run(["chart", "show", str(tmp_path / "adopted")]) == 0
    said = capsys.readouterr().out
    for words in (f"adopted from chart {small_chart.chart_id}", found.origin.sources[0].sha256, "not known"):
        assert words in said
    chart = design_chart(dataclasses.replace(read_recipe("six-ink-medium-strip"), patches=100, pages=None))
    write_chart_folder(chart, tmp_path / "six")
    assert listing(tmp_path / "six").total_area == pytest.approx(chart.device.sum(axis=1).max() * 100)
    assert run(["chart", "show", str(tmp_path / "six"), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["channels"] == list(chart.channels)


def test_the_typed_line_names_chart_and_page(small_chart: Chart, made: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """In any case and spacing, its check sum verified; a slip of the pen is refused."""
    text = page_code_text(small_chart.chart_id, 2)
    found = finding(f" {text[:20].lower()} {text[20:]} ", made)
    assert (found.pages[0].chart_id, found.pages[0].page) == (small_chart.chart_id, 2)
    assert found.pages[0].matches[0].folder == made
    wrong = text[:-1] + ("0" if text[-1] != "0" else "1")
    assert run(["chart", "show", wrong]) == 2
    assert "whose check sum does not fit" in capsys.readouterr().err
    assert run(["chart", "show", "no such thing"]) == 2
    assert run(["chart", "show", "x" * 5000]) == 2
    assert run(["chart", "show", "a\0b"]) == 2


def test_the_chart_of_a_page_is_found_among_folders(
    small_chart: Chart, made: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Folders of folders; a chart adopted from its lists counts after its own; one laid out again does not; damage is said."""
    write_chart_folder(small_chart, tmp_path / "z-own")
    chart_adopt([made / "chart.txt"], tmp_path / "adopted")
    chart_pages(made, tmp_path / "again", page="a3")
    (tmp_path / "broken").mkdir()
    (tmp_path / "broken" / "chart.json").write_text("{", "utf-8")
    text = page_code_text(small_chart.chart_id, 1)
    found = finding(text, tmp_path)
    assert [(match.folder.name, match.adopted) for match in found.pages[0].matches] == [("z-own", False), ("adopted", True)]
    assert len(found.unread) == 1
    assert len(found.searched) == 3
    match = found.pages[0].matches[0]
    here = np.flatnonzero(small_chart.positions[:, 0] == 1)
    assert (match.patches, match.first, match.last) == (len(here), "A1", small_chart.sample_names[here[-1]])
    assert run(["chart", "show", text, "--among", str(tmp_path / "again")]) == 3
    assert "None of 1 chart folders has this page" in capsys.readouterr().out
    assert run(["chart", "show", page_code_text(small_chart.chart_id, 99), "--among", str(made)]) == 3
    with pytest.raises(MeasurementFileError, match="no folder"):
        finding(text, tmp_path / "nowhere")
    with pytest.raises(InputError, match="`among` together"):
        chart_show(made, among=[made])


@pytest.mark.parametrize("turn", [0, 5, 90, 133, 180, 271])
@pytest.mark.parametrize("kind", ["PNG", "JPEG", "TIFF"])
def test_a_scan_at_150_dpi_is_read_at_any_angle(
    small_chart: Chart, made: Path, printed: dict[int, Image.Image], turn: int, kind: str, tmp_path: Path
) -> None:
    """The page, and its folder; all three kinds of pictures, by what is in them."""
    page = small_chart.pages
    picture = printed[page].rotate(turn, expand=True, fillcolor=(255, 255, 255), resample=Image.Resampling.BICUBIC)
    picture.save(tmp_path / "scan", format=kind)
    found = finding(tmp_path / "scan", made)
    assert [(one.chart_id, one.page) for one in found.pages] == [(small_chart.chart_id, page)]
    assert found.matched


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("look", [FAIR, POOR], ids=["fair", "poor"])
def test_a_skewed_photo_is_read(
    small_chart: Chart, printed: dict[int, Image.Image], seed: int, look: dict[str, float], tmp_path: Path
) -> None:
    """About 150 dpi on the page, any angle, uneven light."""
    (tmp_path / "photo.jpg").write_bytes(photographed(printed[1], seed, **look))
    found = finding(tmp_path / "photo.jpg")
    assert [(one.chart_id, one.page) for one in found.pages] == [(small_chart.chart_id, 1)]


def test_pages_of_the_folder_are_read_as_they_are(small_chart: Chart, made: Path, tmp_path: Path) -> None:
    """The TIFF pages of 8 and 16 bits, in light and in six inks; the preview shows several pages."""
    for name in ("page-01.tif", "page-01-8-bit.tif"):
        assert finding(made / name).pages[0].page == 1
    chart = design_chart(dataclasses.replace(read_recipe("six-ink-medium-strip"), patches=60, pages=None))
    write_chart_folder(chart, tmp_path / "six")
    for name in ("page-01.tif", "page-01-8-bit.tif"):
        assert finding(tmp_path / "six" / name, tmp_path).pages[0].chart_id == chart.chart_id
    pages = {one.page for one in finding(made / "preview.png").pages}
    assert pages <= set(range(1, small_chart.pages + 1))


@pytest.mark.parametrize("mode", ["1", "L", "P", "LA", "RGBA", "CMYK", "I;16"])
def test_every_kind_of_pixel_is_read(small_chart: Chart, printed: dict[int, Image.Image], mode: str, tmp_path: Path) -> None:
    """One bit to sixteen, palettes, transparency, inks."""
    page = printed[1]
    if mode == "I;16":
        picture = Image.fromarray(np.asarray(page.convert("L"), dtype=np.uint16) * 257)
    else:
        picture = page.convert("L").convert(mode) if mode == "LA" else page.convert(mode)
    path = tmp_path / ("x.tif" if mode == "CMYK" else "x.png")
    picture.save(path)
    assert finding(path).pages[0].chart_id == small_chart.chart_id


def test_pictures_without_a_page_code_are_refused(printed: dict[int, Image.Image], tmp_path: Path) -> None:
    """Blank paper; a code of something else; a page code that is damaged: said what was seen and what to do."""
    import segno

    Image.new("L", (300, 300), 255).save(tmp_path / "blank.png")
    with pytest.raises(InputError, match="no page code; expected"):
        chart_show(tmp_path / "blank.png")
    segno.make_qr("https://example.org").save(str(tmp_path / "other.png"), scale=5)
    with pytest.raises(InputError, match=r"a code that says 'https://example\.org'"):
        chart_show(tmp_path / "other.png")
    segno.make_qr("SPECTRO1:0A1B2C3D:1:0000").save(str(tmp_path / "wrong.png"), scale=5)
    with pytest.raises(InputError, match="check sum does not fit"):
        chart_show(tmp_path / "wrong.png")


def png_of(width: int, height: int) -> bytes:
    """The head of a PNG that claims a size, and next to nothing behind it."""

    def chunk(name: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(bytes(1000))) + chunk(b"IEND", b"")


def test_huge_pictures_are_refused_unpacked(tmp_path: Path) -> None:
    """By the size they claim, whatever their kind."""
    side = int(MOST_PIXELS**0.5) + 100
    (tmp_path / "huge.png").write_bytes(png_of(side, side))
    with pytest.raises(InputError, match="at most 175 million"):
        page_picture(tmp_path / "huge.png")
    buffer = io.BytesIO()
    Image.new("L", (30, 30)).save(buffer, "TIFF")
    data = bytearray(buffer.getvalue())
    for tag in (256, 257):
        at = data.find(struct.pack("<HHI", tag, 4, 1))
        at = at if at > 0 else data.find(struct.pack("<HHI", tag, 3, 1))
        data[at : at + 12] = struct.pack("<HHII", tag, 4, 1, side)
    (tmp_path / "huge.tif").write_bytes(data)
    with pytest.raises(InputError, match="at most 175 million"):
        page_picture(tmp_path / "huge.tif")
    (tmp_path / "dot.png").write_bytes(png_of(3, 3))
    with pytest.raises(InputError, match="3 x 3 pixels"):
        page_picture(tmp_path / "dot.png")


@pytest.mark.parametrize("name", ["a.gif", "a.pdf", "a.txt", "a.png"])
def test_other_files_are_no_pictures(name: str, tmp_path: Path) -> None:
    """Told from their first bytes; GIF, PDF and text are none, whatever their name; an empty file neither."""
    data = {"a.gif": b"GIF89a" + bytes(50), "a.pdf": b"%PDF-1.4", "a.txt": b"SPECTRO1", "a.png": b""}[name]
    (tmp_path / name).write_bytes(data)
    with pytest.raises(InputError, match="no PNG, JPEG or TIFF"):
        chart_show(tmp_path / name)


@pytest.fixture(scope="module")
def small_pictures(printed: dict[int, Image.Image]) -> dict[str, bytes]:
    """The corner of a page with its square, as three kinds of files."""
    page = printed[1].convert("L")
    corner = page.crop((page.width // 2, page.height * 2 // 3, page.width, page.height))
    pictures = {}
    for kind in ("PNG", "JPEG", "TIFF"):
        buffer = io.BytesIO()
        corner.save(buffer, kind)
        pictures[kind] = buffer.getvalue()
    return pictures


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(kind=st.sampled_from(["PNG", "JPEG", "TIFF"]), cut=st.floats(0.01, 1), data=st.data())
def test_damaged_pictures_end_in_a_message(
    small_pictures: dict[str, bytes], kind: str, cut: float, data: st.DataObject, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Cut short or with bytes changed: pixels come out, or one of our errors; never another."""
    path = tmp_path_factory.getbasetemp() / "damaged"
    whole = bytearray(small_pictures[kind])
    for _ in range(data.draw(st.integers(0, 4))):
        whole[data.draw(st.integers(0, min(len(whole) - 1, 400)))] = data.draw(st.integers(0, 255))
    path.write_bytes(whole[: max(12, int(len(whole) * cut))])
    try:
        picture = page_picture(path)
    except InputError:
        return
    assert picture.dtype == np.uint8
    assert picture.ndim == 2
    assert picture.size <= MOST_PIXELS


@pytest.mark.parametrize("module", ["zxingcpp", "PIL.Image"])
def test_without_the_extra_the_message_says_what_to_install(
    module: str, printed: dict[int, Image.Image], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One sentence; the typed line works without it."""
    printed[1].save(tmp_path / "scan.png")
    monkeypatch.setitem(sys.modules, module, None)
    with pytest.raises(InputError, match=r"spectro\[scan\]"):
        chart_show(tmp_path / "scan.png")
    assert finding(page_code_text("0a1b2c3d", 3)).pages[0].page == 3


def test_two_pages_in_one_picture_are_both_found(small_chart: Chart, made: Path, printed: dict[int, Image.Image]) -> None:
    """Side by side."""
    both = Image.new("L", (printed[1].width * 2 + 40, printed[1].height), 200)
    both.paste(printed[1].convert("L"), (0, 0))
    both.paste(printed[2].convert("L"), (printed[1].width + 40, 0))
    assert sorted(code.page for _, code in page_codes(np.asarray(both))) == [1, 2]
