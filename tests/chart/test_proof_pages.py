"""Proof pages as charts: what the files hold, read by general libraries; ids; other pages; folders that come back the same."""

import dataclasses
import io
import json

import numpy as np
import pytest

from spectro.chart.chart_file import pack_chart, parse_chart
from spectro.chart.chart_folder import file_names
from spectro.chart.page_picture import page_picture
from spectro.chart.page_scan import page_codes
from spectro.chart.page_text import how_to_print
from spectro.chart.proof_pages import design_proof, proof_tiff_bytes, with_aims_of
from spectro.chart.recipe import read_recipe
from spectro.colour.page_numbers import oprgb_to_lab
from spectro.errors import MeasurementFileError, ShapeError
from spectro.records.proof import ProofAims, ProofColours, ProofWay
from spectro.workflow.chart.pages import chart_pages

COUNT = 60


def invented(way=ProofWay.LAB, intent="relative"):
    """Colours of an invented page: whole steps of CIELAB, device values of no printer."""
    random = np.random.default_rng(4)
    lab = np.column_stack([random.integers(0, 256, COUNT) * 100 / 255, random.integers(-60, 61, (COUNT, 2))])
    if way is ProofWay.OPRGB:
        lab = oprgb_to_lab(random.integers(0, 256, (COUNT, 3)) / 255)
    aims = ProofAims(
        way=way, intent=intent, profile="a.icc", profile_sha256="ab" * 32,
        groups=("paper", "darkest", *["greys"] * 10, *["in gamut"] * (COUNT - 22), *["outside"] * 10),
        names=("",) * COUNT, pcs_lab=lab, aim_lab=lab * 0.9,
    )  # fmt: skip
    device = np.unique(random.integers(0, 256, (COUNT * 2, 3)), axis=0)[:COUNT] / 255
    return ProofColours(aims=aims, device=random.permutation(device), copies=(1,) * 8 + (0,) * (COUNT - 8))


def page(way=ProofWay.LAB, recipe="rgb-a4-strip", **aims):
    from spectro.records.chart import ProofStanza

    wanted = dataclasses.replace(
        read_recipe(recipe), patches=COUNT + 8, pages=None, title="Proof page of a.icc",
        proof=ProofStanza(way=str(way), intent="relative", profile="a.icc"),
    )  # fmt: skip
    return design_proof(wanted, invented(way, **aims))


def middles(chart, picture):
    """The pixel in the middle of each patch."""
    scale = chart.recipe.page.resolution_dpi / 25.4
    left, top, width, height = chart.boxes_mm.T
    return picture[np.rint((top + height / 2) * scale).astype(int), np.rint((left + width / 2) * scale).astype(int)]


@pytest.mark.source("TIFF-6.0", "CIE L*a*b* pictures")
@pytest.mark.parametrize("bits", [8, 16])
def test_a_lab_page_holds_exactly_what_is_asked_for(bits):
    tifffile = pytest.importorskip("tifffile")
    chart = page()
    with tifffile.TiffFile(io.BytesIO(proof_tiff_bytes(chart, 1, bits))) as file:
        assert file.pages[0].photometric == tifffile.PHOTOMETRIC.CIELAB
        picture = file.pages[0].asarray()
    values = middles(chart, picture)
    lightness = values[:, 0] / (2.55 if bits == 8 else 655.35)
    signed = values[:, 1:].astype(np.uint8).view(np.int8) if bits == 8 else values[:, 1:].view(np.int16) / 256
    np.testing.assert_allclose(np.column_stack([lightness, signed]), chart.proof.pcs_lab, atol=1e-9)
    assert picture[2, 2].tolist() == [2**bits - 1, 0, 0]  # bare paper


def test_a_lab_page_is_what_an_independent_engine_reads():
    """Pillow opens the 8-bit page as Lab, and its engine shows the same colours."""
    from PIL import Image, ImageCms

    from spectro.colour.srgb import lab_to_srgb

    chart = page()
    picture = Image.open(io.BytesIO(proof_tiff_bytes(chart, 1, 8)))
    assert picture.mode == "LAB"
    shown = ImageCms.profileToProfile(
        picture, ImageCms.createProfile("LAB"), ImageCms.createProfile("sRGB"), outputMode="RGB", renderingIntent=1
    )
    expected = lab_to_srgb(chart.proof.pcs_lab) * 255
    clipped = ((expected <= 0) | (expected >= 255)).any(axis=1)
    away = np.abs(middles(chart, np.asarray(shown)) - expected)[~clipped]
    assert away.mean() < 0.6  # 8 bits, and a table in between
    assert away.max() < 5


@pytest.mark.parametrize("bits", [8, 16])
def test_an_oprgb_page_holds_its_profile_and_its_colours(bits):
    tifffile = pytest.importorskip("tifffile")
    from spectro.icc.picture_profiles import oprgb_profile_bytes

    chart = page(ProofWay.OPRGB)
    with tifffile.TiffFile(io.BytesIO(proof_tiff_bytes(chart, 1, bits))) as file:
        assert bytes(file.pages[0].tags[34675].value) == oprgb_profile_bytes()
        values = middles(chart, file.pages[0].asarray())
    np.testing.assert_allclose(oprgb_to_lab(values / (2**bits - 1)), chart.proof.pcs_lab, atol=1e-2 if bits == 16 else 1e-9)


def test_pages_say_how_they_are_printed():
    assert how_to_print(page(ProofWay.DEVICE).recipe) == "Print without colour management, at 100 %."
    words = how_to_print(page(ProofWay.LAB).recipe)
    assert words == "Print through the profile, relative colorimetric, no black point compensation, at 100 %."
    assert "pages.pdf" in file_names(page(ProofWay.DEVICE))
    assert "pages.pdf" not in file_names(page(ProofWay.LAB))


@pytest.mark.parametrize("way", [ProofWay.LAB, ProofWay.OPRGB])
@pytest.mark.parametrize("bits", [8, 16])
def test_the_page_code_is_read_from_the_page_itself(way, bits, tmp_path):
    pytest.importorskip("zxingcpp")
    chart = page(way)
    (tmp_path / "page.tif").write_bytes(proof_tiff_bytes(chart, 1, bits))
    ((_, code),) = page_codes(page_picture(tmp_path / "page.tif"))
    assert code.chart_id == chart.chart_id


@pytest.mark.parametrize("way", ProofWay)
def test_a_page_comes_back_from_its_file(way):
    chart = page(way)
    text = pack_chart(chart, ("a",))
    back = parse_chart(text, "chart.json")
    assert pack_chart(back, ("a",)) == text
    assert back.proof.groups == chart.proof.groups
    np.testing.assert_array_equal(back.proof.pcs_lab, chart.proof.pcs_lab)
    np.testing.assert_array_equal(back.proof.aim_lab, chart.proof.aim_lab)
    raw = json.loads(text)
    raw["patches"][3]["aim_lab"][0] += 0.5
    with pytest.raises(MeasurementFileError, match="do not fit the chart id"):
        parse_chart(json.dumps(raw), "chart.json")
    del raw["patches"][3]["aim_lab"]
    with pytest.raises(MeasurementFileError, match="missing or wrong entry"):
        parse_chart(json.dumps(raw), "chart.json")


def test_repeats_have_the_aim_of_their_first_printing():
    chart = page()
    _, first, inverse = np.unique(chart.device, axis=0, return_index=True, return_inverse=True)
    np.testing.assert_array_equal(chart.proof.pcs_lab, chart.proof.pcs_lab[first][inverse.reshape(-1)])
    assert chart.stanzas.count("repeats") == 8


def test_ordinary_charts_are_as_they_were():
    """A chart that is no proof page says nothing of proof in its file, and keeps its id."""
    from spectro.chart.design import design_chart

    chart = design_chart(dataclasses.replace(read_recipe("rgb-a4-strip"), patches=60, pages=None))
    assert '"proof"' not in pack_chart(chart, ())
    assert with_aims_of(chart, chart) is chart


def test_a_page_laid_out_again_keeps_its_aims(tmp_path):
    from spectro.chart.chart_folder import write_chart_folder
    from spectro.chart.read_folder import read_chart_folder

    chart = page(recipe="rgb-a4-strip")
    write_chart_folder(chart, tmp_path / "proof")
    result = chart_pages(tmp_path / "proof", tmp_path / "again", mode="by-patch", order="new")
    assert "Print through the profile" in result.verdict
    new = read_chart_folder(tmp_path / "again").chart
    old = {tuple(device): aim.tolist() for device, aim in zip(chart.device.tolist(), chart.proof.aim_lab, strict=True)}
    assert len(new) == len(chart)
    for device, aim in zip(new.device.tolist(), new.proof.aim_lab.tolist(), strict=True):
        assert old[tuple(device)] == aim


def test_aims_of_another_number_of_patches_are_refused():
    chart = page()
    with pytest.raises(ShapeError, match="aims of"):
        dataclasses.replace(chart, proof=invented().aims)
