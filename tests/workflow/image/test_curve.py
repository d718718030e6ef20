"""Black and white through a linearising curve or a grey profile: the numbers are those of the curve."""

import json

import imagecodecs
import numpy as np
import pytest
import tifffile
from PIL import Image

from spectro.cli.main import run
from spectro.errors import InputError, MeasurementFileError
from spectro.records.image import PictureSettings
from spectro.workflow.image.convert import image_convert

SRGB, LAB4 = imagecodecs.cms_profile("srgb"), imagecodecs.cms_profile("lab4")


@pytest.fixture
def colours(tmp_path):
    """A picture of greys and colours, 16 bits."""
    rng = np.random.default_rng(3)
    pixels = rng.integers(0, 65536, (40, 60, 3), dtype=np.uint16)
    pixels[:10] = np.linspace(0, 65535, 60).astype(np.uint16)[None, :, None]
    tifffile.imwrite(tmp_path / "a.tif", pixels, photometric="rgb", iccprofile=SRGB)
    return pixels


def curve_file(path, channels=("grey",), power=0.7):
    """A curve of 256 rows, one power a channel."""
    wanted = np.rint(np.linspace(0, 65535, 256)).astype(int)
    rows = ["# a curve", ",".join(("wanted", "lightness", *channels))]
    for value in wanted:
        sent = [round(65535 * (value / 65535) ** (power + 0.1 * number)) for number in range(len(channels))]
        rows.append(f"{value},{15 + 80 * value / 65535:.3f}," + ",".join(map(str, sent)))
    path.write_text("\n".join(rows) + "\n")
    return path


@pytest.mark.source("CIE-15-2018", "CIELAB lightness, by another engine call")
def test_even_steps_of_lightness_go_through_the_curve(tmp_path, colours):
    """Each pixel's L*, as the engine says it, looked up in the rows of the file, is what is written, within L* 0.15 of 100."""
    file = curve_file(tmp_path / "curve.csv")
    made = image_convert([tmp_path / "a.tif"], None, tone_curve=file, out=tmp_path / "b.tif")
    found = tifffile.imread(tmp_path / "b.tif")
    assert found.shape == (40, 60)
    assert found.dtype == np.uint16
    lab = imagecodecs.cms_transform(colours, SRGB, LAB4, colorspace="rgb", outcolorspace="lab", outdtype="float64", intent=1)
    rows = np.loadtxt(file, delimiter=",", skiprows=2)
    for shift, sign in ((-0.15, 1), (0.15, -1)):
        bound = np.interp(np.clip(lab[..., 0] + shift, 0, 100) / 100 * 65535, rows[:, 0], rows[:, 2])
        assert (sign * (found.astype(float) - bound) >= -1.5).all()
    with tifffile.TiffFile(tmp_path / "b.tif") as file:
        assert 34675 not in file.pages[0].tags  # its numbers belong to no profile
    assert not made.pictures[0].tagged
    assert made.pictures[0].channels == 1


@pytest.mark.common_practice("no source: a curve of three channels makes a tinted print of greys")
def test_a_toned_curve_makes_three_channels_and_eight_bits_are_rounded(tmp_path, colours):
    file = curve_file(tmp_path / "curve.csv", ("red", "green", "blue"))
    image_convert([tmp_path / "a.tif"], None, tone_curve=file, out=tmp_path / "b.tif")
    found = tifffile.imread(tmp_path / "b.tif").astype(float)
    assert found.shape == (40, 60, 3)
    rows = np.loadtxt(file, delimiter=",", skiprows=2)
    wanted = np.interp(found[..., 0], rows[:, 2], rows[:, 0])  # back through the first curve, on through the others
    for channel in (1, 2):
        np.testing.assert_allclose(found[..., channel], np.interp(wanted, rows[:, 0], rows[:, 2 + channel]), atol=200)
    image_convert([tmp_path / "a.tif"], None, tone_curve=file, out=tmp_path / "c.png", settings=PictureSettings(bits=8))
    eight = np.asarray(Image.open(tmp_path / "c.png")).astype(int)
    assert np.abs(eight - np.rint(found / 257)).max() == 0


@pytest.mark.common_practice("no source: a profile in place of the curve, and never two")
def test_a_profile_stands_in_place_of_the_curve_and_two_are_refused(tmp_path, colours, capsys):
    """A profile given as the curve is converted to; a profile and a curve follow each other; mistakes are said."""
    from spectro.icc.picture_profiles import even_grey_profile_bytes

    profile, curve = tmp_path / "grey.icc", curve_file(tmp_path / "curve.csv")
    profile.write_bytes(even_grey_profile_bytes())
    image_convert([tmp_path / "a.tif"], profile, out=tmp_path / "b.tif")
    image_convert([tmp_path / "a.tif"], None, tone_curve=profile, out=tmp_path / "c.tif")
    assert (tmp_path / "b.tif").read_bytes() == (tmp_path / "c.tif").read_bytes()
    image_convert([tmp_path / "a.tif"], profile, tone_curve=curve, out=tmp_path / "d.tif")
    image_convert([tmp_path / "a.tif"], None, tone_curve=curve, out=tmp_path / "e.tif")
    np.testing.assert_array_equal(tifffile.imread(tmp_path / "d.tif"), tifffile.imread(tmp_path / "e.tif"))
    with pytest.raises(InputError, match="two profiles"):
        image_convert([tmp_path / "a.tif"], profile, tone_curve=profile, out=tmp_path / "f.tif")
    (tmp_path / "bad.csv").write_text("wanted,grey\n0,0\n70000,3\n")
    with pytest.raises(MeasurementFileError, match="rise"):
        image_convert([tmp_path / "a.tif"], None, tone_curve=tmp_path / "bad.csv", out=tmp_path / "f.tif")
    assert run(["image", "convert", str(tmp_path / "a.tif"), "--out", str(tmp_path / "g.tif")]) == 2
    assert "--to" in capsys.readouterr().err
    words = ["image", "convert", str(tmp_path / "a.tif"), "--curve", str(curve), "--out", str(tmp_path / "g.tif"), "--json"]
    assert run(words) == 0
    said = json.loads(capsys.readouterr().out)
    assert "through the curve" in said["how_to_print"]
    before = curve.read_bytes()
    assert run([*words[:-2], str(curve), "--replace"]) == 2  # the curve is read, not written over
    assert curve.read_bytes() == before
