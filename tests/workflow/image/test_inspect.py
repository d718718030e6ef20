"""Faults of made-up pictures are found, sound ones are not accused, and what a paper swallows is what the stand-in prints."""

import json
from pathlib import Path

import imagecodecs
import numpy as np
import pytest
import tifffile
from pictures_made import SRGB
from PIL import Image, ImageFilter

from spectro.checks.picture_in_print import grey_numbers
from spectro.checks.print_tones import first_shadow_step, last_highlight_step
from spectro.cli.main import run
from spectro.colour.difference import delta_e_2000
from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import PictureFileError
from spectro.profile.picture_conversion import Step, converted_rows, picture_profile, srgb_picture_profile
from spectro.records.conditions import MeasurementCondition, RenderingIntent
from spectro.records.image import PictureSettings
from spectro.stand_in.paper import matte_paper
from spectro.stand_in.printer import Printer, printed_reflectance
from spectro.workflow.image.inspect import image_inspect

pytestmark = pytest.mark.common_practice("no source: faults are put into made-up pictures; the stand-in is the printer")
RNG = np.random.default_rng(4)
WIDE, HIGH = 640, 480


@pytest.fixture(scope="module")
def paper(tmp_path_factory, demo):
    """A profile of the stand-in on its matte paper, from its readings."""
    path = tmp_path_factory.mktemp("paper") / "matte.icc"
    assert run(["profile", "build", str(demo / "demo-readings-m1.txt"), "--out", str(path), "--grid", "17", "--quiet"]) == 0
    return path


def scene():
    """A smooth sky over ground with detail as fine as its pixels, 0 to 1."""
    y, x = np.mgrid[0:HIGH, 0:WIDE] / WIDE
    sky = np.stack([0.35 + 0.3 * y + 0.1 * x, 0.5 + 0.3 * y + 0.05 * x, 0.8 + 0.15 * y], -1)
    ground = np.clip(np.array([0.4, 0.45, 0.3]) + 0.25 * RNG.standard_normal((HIGH, WIDE, 1)), 0.02, 0.97)
    return np.where((y > 0.45)[..., None], ground, sky)


def eight(picture, noise=0.5):
    """Eight bits, with the noise of a camera."""
    return np.clip(picture * 255 + noise * RNG.standard_normal(picture.shape) + 0.5, 0, 255).astype(np.uint8)


def faults():
    """Pictures by the fault that they have."""
    clean = eight(scene())
    posterised = np.round(scene() * 40) / 40
    steep = (np.clip((clean.astype(float) - 90) * 2.2, 0, 255)).astype(np.uint8)
    ends = clean.copy()
    ends[:, :60] = 255
    return {"": clean, "stairs": eight(posterised, 0.0), "comb": steep, "cut-white": ends}


def found_of(path, **options):
    return set(image_inspect([path], **options).pictures[0].findings) - {"no-size"}


def test_each_fault_is_found_and_a_sound_picture_is_sound(tmp_path):
    for fault, pixels in faults().items():
        path = tmp_path / f"{fault or 'sound'}.png"
        Image.fromarray(pixels).save(path, icc_profile=SRGB, dpi=(300, 300))
        found = found_of(path)
        assert fault in found if fault else not found, (fault, found)
        assert not found - {fault, "cut-white", "comb" if fault == "stairs" else fault}, (fault, found)


def test_compression_and_enlarging_are_seen_in_pictures_saved_again(tmp_path):
    clean = Image.fromarray(eight(np.asarray(scene()) * 0.9, 2.0))
    clean.filter(ImageFilter.GaussianBlur(0.7)).save(tmp_path / "a.jpg", quality=12)
    again = Image.open(tmp_path / "a.jpg")
    again.save(tmp_path / "blocks.png", icc_profile=SRGB, dpi=(300, 300))
    assert "blocks" in found_of(tmp_path / "blocks.png")
    clean.save(tmp_path / "fine.jpg", quality=96, subsampling=0, icc_profile=SRGB, dpi=(300, 300))
    assert "blocks" not in found_of(tmp_path / "fine.jpg")
    half = clean.resize((WIDE // 2, HIGH // 2), Image.Resampling.LANCZOS)
    half.resize((WIDE * 2, HIGH * 2), Image.Resampling.BICUBIC).save(tmp_path / "big.png", icc_profile=SRGB, dpi=(300, 300))
    assert "enlarged" in found_of(tmp_path / "big.png")
    assert "enlarged" not in found_of(tmp_path / "fine.jpg")


def test_profiles_and_sizes_that_a_lab_must_ask_about(tmp_path, paper, check_data):
    pixels = eight(scene())
    press = (check_data / "icc" / "eci-fogra51-v2.icc").read_bytes()
    cases = {
        "profile-missing": {},
        "printer-profile": {"iccprofile": paper.read_bytes()},
        "profile-damaged": {"iccprofile": press},
        "coarse": {"iccprofile": SRGB},
    }
    for name, options in cases.items():
        path = tmp_path / f"{name}.tif"
        tifffile.imwrite(path, pixels, photometric="rgb", resolution=(300, 300), resolutionunit=2, **options)
        wide = 640 / 100 * 25.4 if name == "coarse" else None
        assert found_of(path, print_width=wide) == {name}
    deep = tmp_path / "deep.tif"
    tifffile.imwrite(deep, pixels.astype(np.uint16) * 257, photometric="rgb", iccprofile=SRGB)
    assert "eight-in-sixteen" in found_of(deep)
    (tmp_path / "page.pdf").write_bytes(b"%PDF-1.7 and so on")
    with pytest.raises(PictureFileError, match="page description"):
        image_inspect([tmp_path / "page.pdf"])


def test_a_folder_gives_a_table_and_json(tmp_path, paper, capsys):
    for name in ("a.png", "b.png"):
        Image.fromarray(eight(scene())).save(tmp_path / name, icc_profile=SRGB, dpi=(300, 300))
    (tmp_path / "c.jpg").write_bytes(b"\xff\xd8\xff nothing")
    assert run(["image", "inspect", str(tmp_path), "--to", str(paper)]) == 2
    told = capsys.readouterr().out
    assert "a.png" in told
    assert "c.jpg" in told
    assert run(["image", "inspect", str(tmp_path / "a.png"), "--to", str(paper), "--json"]) == 0
    one = json.loads(capsys.readouterr().out)["pictures"][0]
    assert one["width"] == WIDE
    assert one["in_print"]["intent"] == "perceptual"


def test_the_share_that_cannot_be_printed_is_that_of_the_engine_itself(tmp_path, check_data):
    """Half a picture in a green that no press prints, half in a grey: a half is outside, by what another call says."""
    press = check_data / "icc" / "eci-fogra51-v2.icc"
    pixels = np.full((200, 200, 3), 128, np.uint8)
    pixels[:, :100] = (0, 255, 0)
    tifffile.imwrite(tmp_path / "a.tif", pixels, photometric="rgb", iccprofile=SRGB)
    found = image_inspect([tmp_path / "a.tif"], to=press).pictures[0].in_print
    lab4 = imagecodecs.cms_profile("lab4")
    lab = imagecodecs.cms_transform(
        pixels[:1, :1], SRGB, lab4, colorspace="rgb", outcolorspace="lab", outdtype="float64", intent=1
    )
    ink = imagecodecs.cms_transform(
        lab, lab4, press.read_bytes(), colorspace="lab", outcolorspace="cmyk", outdtype="float64", intent=1
    )
    back = imagecodecs.cms_transform(
        ink, press.read_bytes(), lab4, colorspace="cmyk", outcolorspace="lab", outdtype="float64", intent=1
    )
    assert found.outside == 0.5
    assert found.outside_delta_e_2000 == pytest.approx(float(delta_e_2000(lab, back)[0, 0]), abs=0.05)
    assert found.lost_chroma[0][0] == "greens"


@pytest.mark.parametrize("intent", ["perceptual", "relative"])
def test_first_shadow_and_last_highlight_are_those_of_the_stand_in(tmp_path, paper, intent):
    """Within 2 of 255 of what the stand-in prints when it is sent the converted greys."""
    wanted = RenderingIntent(intent)
    tifffile.imwrite(tmp_path / "a.tif", eight(scene()), photometric="rgb", iccprofile=SRGB)
    found = image_inspect([tmp_path / "a.tif"], to=paper, settings=PictureSettings(intent=wanted)).pictures[0].in_print
    step = Step(
        source=srgb_picture_profile(), target=picture_profile(Path(paper).read_bytes()), intent=wanted, black_compensation=True
    )
    device = converted_rows(grey_numbers(step)[None], (step,), 16)[0] / 65535
    spectra = printed_reflectance(device, printer=Printer(), paper=matte_paper(), condition=MeasurementCondition.M1)
    lab = spectra_to_lab(spectra, np.arange(380, 731, 10.0))
    ramp = np.linspace(0, 1, 256)
    assert abs(found.first_shadow - 255 * first_shadow_step(ramp, lab).first_different) <= 2
    assert abs(found.last_highlight - 255 * last_highlight_step(ramp, lab).first_different) <= 2
