"""A test strip shows what each option makes: the same numbers as the conversion itself, below them the words that make them."""

import json

import imagecodecs
import numpy as np
import pytest
import tifffile
from PIL import Image

from spectro.cli.main import run
from spectro.errors import InputError
from spectro.icc.picture_profiles import oprgb_profile_bytes
from spectro.records.conditions import RenderingIntent
from spectro.records.image import PictureSettings
from spectro.workflow.image.convert import image_convert
from spectro.workflow.image.test_strip import StripSettings, image_test_strip

PPI = 200.0


@pytest.fixture
def paper(tmp_path):
    """The profile of a colour space, in place of a printer's."""
    (tmp_path / "paper.icc").write_bytes(oprgb_profile_bytes())
    return tmp_path / "paper.icc"


@pytest.fixture
def picture(tmp_path):
    """Noise of 16 bits, 6 by 5 inches, so that a wrong place or conversion cannot pass."""
    pixels = np.random.default_rng(5).integers(0, 65536, (1000, 1200, 3), dtype=np.uint16)
    tifffile.imwrite(tmp_path / "a.tif", pixels, photometric="rgb", resolution=(PPI, PPI), resolutionunit=2)
    return tmp_path / "a.tif"


def places_of(found, page):
    """Top and left of all places on a page where a part stands."""
    rows, columns = np.nonzero((page[:-1, :-1] == found[0, 0]).all(axis=2) & (page[:-1, 1:] == found[0, 1]).all(axis=2))
    return [
        (int(top), int(left))
        for top, left in zip(rows, columns, strict=True)
        if np.array_equal(page[top : top + len(found), left : left + found.shape[1]], found)
    ]


@pytest.mark.parametrize("press", [False, True])
@pytest.mark.common_practice("no source: what is looked at must be what is printed")
def test_each_tile_is_what_its_options_make(tmp_path, picture, paper, press, check_data):
    """Every tile is found on the sheet, once, as the pixels that the conversion itself writes there."""
    profile = check_data / "icc" / "generic-cmyk-v2.icc" if press else paper
    settings = StripSettings(lightenings=(80.0,), at=(20.0, 90.0))
    strip = image_test_strip(picture, profile, settings=settings, out=tmp_path / "strip.tif")
    page = tifffile.imread(tmp_path / "strip.tif")
    assert strip.captions == (("perceptual", "perceptual, for 80 lx"), ("relative", "relative, for 80 lx"))
    found = []
    for intent in (RenderingIntent.PERCEPTUAL, RenderingIntent.RELATIVE):
        for lux in (None, 80.0):
            wanted = tmp_path / f"{intent}-{lux}.tif"
            image_convert([picture], profile, out=wanted, settings=PictureSettings(intent=intent, wall_lux=lux))
            high, wide = round(40 / 25.4 * PPI), round(55 / 25.4 * PPI)
            middle = (0.9 * 1000, 0.2 * 1200)
            top, left = min(1000 - high, int(middle[0] - high / 2)), max(0, int(middle[1] - wide / 2))
            part = tifffile.imread(wanted)[top : top + high, left : left + 300]
            found.append(places_of(part, page))
    if press:
        assert all(len(places) == 1 for places in found)
    else:  # a colour space of three primaries has one way for both intents
        assert [len(places) for places in found] == [2, 2, 2, 2]
    tops, lefts = {places[0][0] for places in found}, {places[0][1] for places in found}
    assert len(lefts) == 2
    assert len(tops) == (2 if press else 1)
    with tifffile.TiffFile(tmp_path / "strip.tif") as file:
        tags = file.pages[0].tags
        assert tags[34675].value == profile.read_bytes()
        assert tags[282].value[0] / tags[282].value[1] == PPI
    assert strip.print_mm[0] == pytest.approx(page.shape[1] / PPI * 25.4)


@pytest.mark.common_practice("no source: words on a sheet are dark on paper")
def test_words_stand_below_each_tile_on_bare_paper(tmp_path, picture, paper):
    """Margins are bare paper; below each tile there is ink."""
    image_test_strip(picture, paper, settings=StripSettings(lightenings=()), out=tmp_path / "strip.tif")
    page = tifffile.imread(tmp_path / "strip.tif")
    white = imagecodecs.cms_transform(
        np.full((1, 1, 3), 255, np.uint8), imagecodecs.cms_profile("srgb"), oprgb_profile_bytes(),
        colorspace="rgb", outcolorspace="rgb", outdtype="uint16", intent=1, flags=0x2000,
    )[0, 0]  # fmt: skip
    margin = round(4 / 25.4 * PPI)
    assert (page[: margin - 6] == white).all()
    high, low = round(40 / 25.4 * PPI), round(5.5 / 25.4 * PPI)
    below = page[margin + low + high + 2 : margin + low + high + low - 2]
    assert below.min() < 65535 * 0.4
    assert below.max() == white.max()


@pytest.mark.common_practice("no source: pictures that lie on their side, small ones, mistakes")
def test_turned_and_small_pictures_and_mistakes(tmp_path, paper, capsys):
    """A picture on its side stands upright; what cannot be is refused with a sentence."""
    pixels = np.zeros((60, 90, 3), np.uint8)
    pixels[:, :30] = 255
    exif = Image.Exif()
    exif[274] = 6
    Image.fromarray(pixels).save(tmp_path / "side.jpg", exif=exif, quality=100, subsampling=0)
    words = ["image", "test-strip", str(tmp_path / "side.jpg"), "--to", str(paper), "--print-width", "30"]
    assert run([*words, "--wall-lux", "50", "--intents", "relative", "--out", str(tmp_path / "s.tif"), "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert said["captions"] == [["--intent relative", "--intent relative --wall-lux 50"]]
    assert said["pixels_per_inch"] == pytest.approx(60 / (30 / 25.4) * 3)  # upright it is 60 wide; three times for the words
    page = tifffile.imread(tmp_path / "s.tif")
    margin, low = (round(mm / 25.4 * said["pixels_per_inch"]) for mm in (4, 5.5))
    tile = page[margin + low : margin + low + 269, margin : margin + 179]
    assert tile[:70].min() > 60000  # what was on the left is now at the top
    assert tile[90:230].max() < 6000
    with pytest.raises(InputError, match="lux"):
        image_test_strip(tmp_path / "side.jpg", paper, settings=StripSettings(lightenings=(5.0,)), out=tmp_path / "t.tif")
    with pytest.raises(InputError, match="tif"):
        image_test_strip(tmp_path / "side.jpg", paper, out=tmp_path / "t.png")
    assert not list(tmp_path.glob("t.*"))
