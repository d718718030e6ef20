"""A preview shows the colours of the print, its white as it is or as the eye takes it, and lines where it cannot follow."""

import base64
import importlib.util
import io
import json
import re
import sys
from pathlib import Path

import colour
import imagecodecs
import numpy as np
import pytest
import tifffile
from pictures_made import SRGB, jpeg
from PIL import Image, ImageOps

from spectro.cli.main import run
from spectro.errors import InputError
from spectro.icc.picture_profiles import oprgb_profile_bytes
from spectro.profile.picture_conversion import picture_profile, srgb_picture_profile
from spectro.profile.soft_proof import LINES
from spectro.records.conditions import RenderingIntent
from spectro.records.image import ViewSettings
from spectro.workflow.image.preview import image_preview

LAB4 = imagecodecs.cms_profile("lab4")
RELATIVE = (RenderingIntent.RELATIVE,)


@pytest.fixture(scope="module")
def press(check_data):
    """A CMYK output profile whose paper is far from neutral white."""
    return check_data / "icc" / "eci-fogra51-v2.icc"


def patches():
    """Colours that both a press and sRGB hold, as a picture of 8 by 8 pixels each, 16 bits."""
    lab = np.array([[lightness, a, b] for lightness in (45, 60, 75) for a in (-25, 0, 25) for b in (-20, 0, 25)], float)
    rgb = imagecodecs.cms_transform(lab[None], LAB4, SRGB, colorspace="lab", outcolorspace="rgb", outdtype="uint16", intent=1)[
        0
    ]
    return np.repeat(np.repeat(rgb.reshape(3, 9, 3), 8, 0), 8, 1)


def srgb_to_lab_elsewhere(numbers):
    """Lab under D50 of sRGB numbers, 0 to 255, by a library of colour science."""
    xyz = colour.sRGB_to_XYZ(np.asarray(numbers, float) / 255)
    white = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]
    adapted = colour.adaptation.chromatic_adaptation_VonKries(
        xyz, colour.xy_to_XYZ(white["D65"]), np.array([0.9642, 1.0, 0.8249]), transform="Bradford"
    )
    return colour.XYZ_to_Lab(adapted, colour.XYZ_to_xy(np.array([0.9642, 1.0, 0.8249])))


@pytest.mark.source("IEC-61966-2-1", "encoding transformation, by a library of colour science")
@pytest.mark.parametrize("beside_white", [True, False])
def test_the_proof_has_the_colours_of_the_print(tmp_path, press, beside_white):
    """Within ΔE00 0.5 of what another library makes of the print's Lab, which another call of the engine says."""
    tifffile.imwrite(tmp_path / "a.tif", patches(), photometric="rgb", iccprofile=SRGB)
    view = ViewSettings(beside_white=beside_white)
    preview = image_preview(tmp_path / "a.tif", [("", press)], intents=RELATIVE, view=view)
    ink = imagecodecs.cms_transform(
        patches(), SRGB, press.read_bytes(), colorspace="rgb", outcolorspace="cmyk", intent=1, flags=0x2000
    )
    wanted = imagecodecs.cms_transform(
        ink,
        press.read_bytes(),
        LAB4,
        colorspace="cmyk",
        outcolorspace="lab",
        outdtype="float64",
        intent=3 if beside_white else 1,
    )
    shown = srgb_to_lab_elsewhere(preview.proofs[0].pixels)
    assert colour.delta_E(shown, wanted, method="CIE 2000").max() < 0.5


@pytest.mark.source("ICC.1-2022", "media white point, absolute and relative colorimetric intents")
def test_white_is_the_paper_beside_white_and_white_on_the_wall(tmp_path, press):
    white = np.full((8, 8, 3), 65535, np.uint16)
    tifffile.imwrite(tmp_path / "a.tif", white, photometric="rgb", iccprofile=SRGB)
    wall = image_preview(tmp_path / "a.tif", [("", press)], intents=RELATIVE, view=ViewSettings(beside_white=False))
    assert (wall.proofs[0].pixels == 255).all()
    beside = image_preview(tmp_path / "a.tif", [("", press)], intents=RELATIVE)
    data = press.read_bytes()
    count = int.from_bytes(data[128:132], "big")
    table = {data[132 + 12 * n : 136 + 12 * n]: int.from_bytes(data[136 + 12 * n : 140 + 12 * n], "big") for n in range(count)}
    xyz = np.frombuffer(data[table[b"wtpt"] + 8 : table[b"wtpt"] + 20], ">i4") / 65536
    wanted = colour.XYZ_to_Lab(xyz, colour.XYZ_to_xy(np.array([0.9642, 1.0, 0.8249])))
    np.testing.assert_allclose(beside.proofs[0].white_lab, wanted, atol=0.1)
    assert colour.delta_E(srgb_to_lab_elsewhere(beside.proofs[0].pixels[0, 0]), wanted, method="CIE 2000") < 0.5


@pytest.mark.common_practice("no source: where a colour begins that cannot be printed is where it was put")
def test_lines_stand_at_the_edge_of_what_cannot_be_printed(tmp_path, press):
    pixels = np.full((40, 60, 3), 140, np.uint8)
    pixels[10:30, 20:50] = (0, 255, 0)
    tifffile.imwrite(tmp_path / "a.tif", pixels, photometric="rgb", iccprofile=SRGB)
    proof = image_preview(tmp_path / "a.tif", [("", press)], intents=RELATIVE).proofs[0]
    found = (proof.lines == np.array(list(LINES.values())[-1])).all(axis=2)
    edge = np.zeros((40, 60), bool)
    edge[10:30, 20:50] = True
    edge[11:29, 21:49] = False
    np.testing.assert_array_equal(found, edge)
    assert proof.levels[0][1] == pytest.approx(600 / 2400)
    assert proof.display_short == 0


@pytest.mark.common_practice("no source: Exif's orientation 6 is a quarter turn, which another library carries out")
def test_a_turned_picture_is_shown_upright(tmp_path, press):
    path = jpeg(tmp_path / "a.jpg")
    with Image.open(path) as image:
        upright = np.asarray(ImageOps.exif_transpose(image).convert("RGB"))
    preview = image_preview(path, [("", press)], intents=RELATIVE)
    assert preview.original.shape == upright.shape
    assert np.abs(preview.original.astype(int) - upright).max() <= 1


@pytest.mark.common_practice("no source: what stands in the page is what was asked for")
def test_the_page_holds_everything_and_the_picture_file_the_proofs(tmp_path, press, demo, capsys):
    display = tmp_path / "display.icc"
    display.write_bytes(oprgb_profile_bytes())
    words = [
        "image",
        "preview",
        str(demo / "demo-photograph.png"),
        "--papers",
        str(press),
        "--display",
        str(display),
        "--longest",
        "120",
    ]
    assert run([*words, "--out", str(tmp_path / "p.html"), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert "opRGB" in told["display"]
    assert {one["intent"] for one in told["papers"]} == {"perceptual", "relative"}
    page = (tmp_path / "p.html").read_text("utf-8")
    pictures = re.findall(r'src="data:image/png;base64,([^"]+)"', page)
    assert len(pictures) == 1 + 2 + 1
    assert re.findall(r'(?:src|href)="https?:', page) == []
    with Image.open(io.BytesIO(base64.b64decode(pictures[1]))) as image:
        assert image.info["icc_profile"] == oprgb_profile_bytes()
        size = image.size
    assert run([*words, "--out", str(tmp_path / "p.png"), "--intents", "relative", "absolute", "--quiet"]) == 0
    with Image.open(tmp_path / "p.png") as image:
        assert image.size == (2 * size[0], size[1])
    assert run([*words, "--out", str(tmp_path / "p.tif"), "--quiet"]) == 0
    assert tifffile.imread(tmp_path / "p.tif").shape == (size[1], 2 * size[0], 3)
    with pytest.raises(InputError, match="display"):
        image_preview(demo / "demo-photograph.png", [("", press)], display=press)


@pytest.mark.common_practice("no source: mirrored light lifts black and leaves white")
def test_flare_lifts_black_and_leaves_white(tmp_path, press):
    pixels = np.zeros((8, 16, 3), np.uint8)
    pixels[:, 8:] = 255
    tifffile.imwrite(tmp_path / "a.tif", pixels, photometric="rgb", iccprofile=SRGB)
    shown = [
        image_preview(
            tmp_path / "a.tif", [("", press)], intents=RELATIVE, view=ViewSettings(beside_white=False, flare=flare)
        ).proofs[0]
        for flare in (0.0, 0.02)
    ]
    assert (shown[1].pixels[:, 8:] == 255).all()
    y = [colour.sRGB_to_XYZ(one.pixels[0, 0] / 255)[1] for one in shown]
    assert y[1] == pytest.approx((y[0] + 0.02) / 1.02, abs=0.002)


@pytest.mark.common_practice("no source: pairs of colours that one intent keeps apart are found by the engine's own numbers")
def test_the_recommendation_follows_what_is_lost_and_is_no_constant(check_data):
    """A few of the cases of the benchmark: saturated parts either way, muted scenes, and those that print alike."""
    place = Path(__file__).resolve().parents[3] / "benchmarks" / "picture_choice.py"
    spec = importlib.util.spec_from_file_location("picture_choice_cases", place)
    made = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = made
    spec.loader.exec_module(made)
    right = []
    for name in ("eci-fogra51-v2.icc", "crpc7-v4.icc"):
        target = picture_profile((check_data / "icc" / name).read_bytes())
        source = srgb_picture_profile()
        for case in made.cases(np.random.default_rng(3), source, target, 3, tried=8000):
            right.append((case.right, made.answer(case.pixels, source, target)))
    assert {one for one, _ in right} == {"perceptual", "relative", "same"}
    assert np.mean([one == other for one, other in right]) >= 0.9
