"""Converted pictures have the colour engine's numbers, keep what they say of themselves, and are there whole or not at all."""

import json
import os
import struct
import warnings
import zlib

import imagecodecs
import numpy as np
import pytest
import tifffile
from pictures_made import (
    CMYK8,
    HEIGHT,
    IPTC,
    RGB8,
    RGB16,
    SRGB,
    WIDTH,
    XMP,
    campaign,
    exif,
    jpeg,
    png,
    read_back,
    resources,
    tiff,
)
from PIL import Image

from spectro.cli.main import run
from spectro.colour.lightening import lightened
from spectro.errors import Cancelled, InputError, OutputExistsError, PictureFileError, ProfileFileError
from spectro.icc.picture_profiles import oprgb_profile_bytes
from spectro.records.conditions import RenderingIntent
from spectro.records.image import PictureSettings
from spectro.workflow.image import convert as convert_module
from spectro.workflow.image.convert import image_convert

pytestmark = pytest.mark.common_practice("no source: another call of the colour engine, and other libraries' readers, decide")
BLACK = 0x2000
XMP_KEYWORD = bytes.fromhex("584d4c3a636f6d2e61646f62652e786d70").decode()
INTENTS = {"perceptual": 0, "relative": 1, "saturation": 2, "absolute": 3}


@pytest.fixture(scope="module")
def paper(tmp_path_factory):
    """An RGB profile that is not sRGB."""
    path = tmp_path_factory.mktemp("profile") / "paper.icc"
    path.write_bytes(oprgb_profile_bytes())
    return path


@pytest.fixture(scope="module")
def press(check_data):
    """A CMYK output profile with tables for its intents."""
    return check_data / "icc" / "eci-fogra51-v2.icc"


def asked(pixels, source, target, spaces, intent="perceptual", compensated=True, dtype=None):
    flags = BLACK if compensated and intent in ("perceptual", "relative") else 0
    return imagecodecs.cms_transform(
        pixels,
        source,
        target,
        colorspace=spaces[0],
        outcolorspace=spaces[1],
        outdtype=dtype,
        intent=INTENTS[intent],
        flags=flags,
    )


@pytest.mark.parametrize("intent", list(INTENTS))
@pytest.mark.parametrize("compensated", [True, False])
def test_pixels_are_those_of_one_call_of_the_engine(tmp_path, press, intent, compensated, monkeypatch):
    """In many bands on several threads the same numbers come out as in one piece."""
    monkeypatch.setattr(convert_module, "_MOST_BAND", 9000)
    source = tiff(tmp_path / "a.tif", iccprofile=SRGB)
    words = [
        "image",
        "convert",
        str(source),
        "--to",
        str(press),
        "--intent",
        intent,
        "--out",
        str(tmp_path / "b.tif"),
        "--json",
    ]
    assert run(words if compensated else [*words, "--no-black-compensation"]) == 0
    expected = asked(RGB16, SRGB, press.read_bytes(), ("rgb", "cmyk"), intent, compensated)
    np.testing.assert_array_equal(read_back(tmp_path / "b.tif"), expected)
    with tifffile.TiffFile(tmp_path / "b.tif") as file:
        assert file.pages[0].photometric == 5
        assert file.pages[0].iccprofile == press.read_bytes()


LAYOUTS = {
    "strips": {"rowsperstrip": 5},
    "big-endian": {"byteorder": ">"},
    "planes": {"planarconfig": "separate"},
    "lzw": {"compression": "lzw", "predictor": True, "rowsperstrip": 6},
    "deflate, one strip": {"compression": "zlib", "predictor": True, "rowsperstrip": HEIGHT},
    "tiles": {"tile": (16, 16)},
    "packed tiles": {"tile": (16, 32), "compression": "zlib"},
    "large": {"bigtiff": True},
    "packed planes": {"planarconfig": "separate", "compression": "lzw", "rowsperstrip": 6},
}


@pytest.mark.parametrize("options", LAYOUTS.values(), ids=LAYOUTS)
@pytest.mark.parametrize("bits", [8, 16])
def test_tiffs_of_every_layout_give_the_same_pixels(tmp_path, paper, options, bits, monkeypatch):
    monkeypatch.setattr(convert_module, "_MOST_BAND", 9000)
    pixels = RGB16 if bits == 16 else RGB8
    planes = np.moveaxis(pixels, -1, 0) if "planarconfig" in options else pixels
    path = tmp_path / "a.tif"
    tifffile.imwrite(path, planes, photometric="rgb", iccprofile=SRGB, metadata=None, **options)
    done = image_convert([path], paper, out=tmp_path / "b.tif").pictures[0]
    assert (done.width, done.height, done.bits) == (WIDTH, HEIGHT, bits)
    np.testing.assert_array_equal(read_back(tmp_path / "b.tif"), asked(pixels, SRGB, paper.read_bytes(), ("rgb", "rgb")))
    with tifffile.TiffFile(tmp_path / "b.tif") as file:
        assert file.pages[0].compression == {"lzw": 5, "zlib": 8}.get(options.get("compression"), 1)


def test_png_and_jpeg_are_read_and_written(tmp_path, paper):
    target = paper.read_bytes()
    wide = tmp_path / "wide.png"
    wide.write_bytes(imagecodecs.png_encode(RGB16))
    image_convert([wide], paper, out=tmp_path / "wide-out.png")
    np.testing.assert_array_equal(read_back(tmp_path / "wide-out.png"), asked(RGB16, SRGB, target, ("rgb", "rgb")))
    source = jpeg(tmp_path / "a.jpg", icc_profile=target)
    pixels = np.asarray(Image.open(source))
    (tmp_path / "srgb.icc").write_bytes(SRGB)
    done = image_convert([source], tmp_path / "srgb.icc", out=tmp_path / "b.tif").pictures[0]
    assert "opRGB" in done.read_as
    np.testing.assert_array_equal(read_back(tmp_path / "b.tif"), asked(pixels, target, SRGB, ("rgb", "rgb")))
    image_convert([source], paper, out=tmp_path / "c.jpg")
    difference = read_back(tmp_path / "c.jpg").astype(int) - asked(pixels, target, target, ("rgb", "rgb"))
    assert np.abs(difference).mean() < 4  # noise is the hardest that a JPEG can be given


def test_grey_and_other_kinds_are_what_they_look_like(tmp_path, paper):
    target = paper.read_bytes()
    grey = RGB8[..., 0]
    expected = asked(np.repeat(grey[..., None], 3, 2), SRGB, target, ("rgb", "rgb"))
    files = {
        "grey.tif": lambda path: tifffile.imwrite(path, grey, photometric="minisblack"),
        "turned.tif": lambda path: tifffile.imwrite(path, 255 - grey, photometric="miniswhite"),
        "grey.png": lambda path: Image.fromarray(grey).save(path),
        "palette.png": lambda path: Image.fromarray(grey).convert("P").save(path),
        "palette.tif": lambda path: Image.fromarray(grey).convert("P").save(path),
    }
    for name, write in files.items():
        path = tmp_path / name
        write(path)
        image_convert([path], paper, out=tmp_path / f"out-{name}")
        np.testing.assert_array_equal(read_back(tmp_path / f"out-{name}"), expected, err_msg=name)
    profile = imagecodecs.cms_profile("gray", whitepoint=[0.3457, 0.3585, 1.0], gamma=1.8)
    tifffile.imwrite(tmp_path / "own.tif", grey, photometric="minisblack", iccprofile=profile)
    image_convert([tmp_path / "own.tif"], paper, out=tmp_path / "own-out.tif")
    np.testing.assert_array_equal(read_back(tmp_path / "own-out.tif"), asked(grey, profile, target, ("gray", "rgb")))
    bits = RGB8[..., 0] > 90
    Image.fromarray(bits).save(tmp_path / "bits.png")
    image_convert([tmp_path / "bits.png"], paper, out=tmp_path / "bits-out.png")
    assert {tuple(one) for one in read_back(tmp_path / "bits-out.png").reshape(-1, 3)} == {(0, 0, 0), (255, 255, 255)}
    assert (read_back(tmp_path / "bits-out.png")[..., 0] == 255 * bits).all()


def test_cmyk_comes_in_with_its_profile_also_where_a_program_stored_it_turned_round(tmp_path, press, paper):
    data, target = press.read_bytes(), paper.read_bytes()
    expected = asked(CMYK8, data, target, ("cmyk", "rgb"), "relative")
    tiff(tmp_path / "a.tif", CMYK8, iccprofile=data)
    settings = PictureSettings(intent=RenderingIntent.RELATIVE)
    image_convert([tmp_path / "a.tif"], paper, out=tmp_path / "b.tif", settings=settings)
    np.testing.assert_array_equal(read_back(tmp_path / "b.tif"), expected)
    flat = np.full((16, 16, 4), (20, 140, 200, 10), np.uint8)
    Image.fromarray(flat, "CMYK").save(tmp_path / "turned.jpg", quality=100, subsampling=0, icc_profile=data)
    stored = imagecodecs.jpeg8_decode((tmp_path / "turned.jpg").read_bytes(), colorspace="CMYK", outcolorspace="CMYK")
    assert abs(int(stored[8, 8, 0]) - (255 - 20)) < 3  # as it lies in the file
    image_convert([tmp_path / "turned.jpg"], paper, out=tmp_path / "c.tif", settings=settings)
    wanted = asked(flat, data, target, ("cmyk", "rgb"), "relative")[8, 8].astype(int)
    assert np.abs(read_back(tmp_path / "c.tif")[8, 8] - wanted).max() <= 3


def test_metadata_resolution_and_orientation_are_kept_for_other_readers(tmp_path, paper):
    sources = (tiff(tmp_path / "t.tif"), jpeg(tmp_path / "j.jpg"), png(tmp_path / "p.png"))
    for source in sources:
        for ending in (".tif", ".png", ".jpg"):
            out = tmp_path / f"{source.stem}-out{ending}"
            settings = PictureSettings(bits=8)
            image_convert([source], paper, out=out, settings=settings)
            with Image.open(out) as image:
                found = image.getexif()
                dpi = image.info["dpi"]
                assert image.info["icc_profile"] == paper.read_bytes()
                below, place = found.get_ifd(34665), found.get_ifd(34853)
                said = image.info.get("xmp") or image.info.get(XMP_KEYWORD, "").encode()
            assert [float(round(value, 1)) for value in dpi] == [240, 240]
            assert (found[271], found[274]) == ("A maker", 6), out
            if source.suffix != ".png":
                assert said.rstrip(b"\0") == XMP, out
            if source.suffix != ".tif":
                assert below[42036] == "a lens 50 mm"
                assert below[33434] == exif().get_ifd(34665)[33434]
                assert below[40961] == 65535  # no longer sRGB
                assert place[2] == (51, 30, 0)
    with tifffile.TiffFile(tmp_path / "t-out.tif") as file:
        assert bytes(file.pages[0].tags[33723].value) == IPTC


def test_iptc_of_a_jpeg_is_kept(tmp_path, paper):
    data = jpeg(tmp_path / "a.jpg").read_bytes()
    mark = bytes.fromhex("50686f746f73686f7020332e3000")
    segment = b"\xff\xed" + struct.pack(">H", 2 + len(mark) + len(resources())) + mark + resources()
    (tmp_path / "b.jpg").write_bytes(data[:2] + segment + data[2:])
    image_convert([tmp_path / "b.jpg"], paper, out=tmp_path / "c.tif")
    with tifffile.TiffFile(tmp_path / "c.tif") as file:
        assert bytes(file.pages[0].tags[33723].value) == IPTC
    image_convert([tmp_path / "b.jpg"], paper, out=tmp_path / "d.jpg")
    with Image.open(tmp_path / "d.jpg") as image:
        assert resources() in image.app["APP13"]


def test_large_profiles_in_png_are_read(tmp_path, paper):
    """Libraries stop at one megabyte of profile; ours of 33 grid points are larger."""
    from spectro.files.png_file import pack_chunk

    big = SRGB[:3] + SRGB[3:] + bytes(3_000_000)
    data = imagecodecs.png_encode(RGB8)
    chunk = pack_chunk(b"iCCP", b"a\0\0" + zlib.compress(big))
    (tmp_path / "a.png").write_bytes(data[:33] + chunk + data[33:])
    image_convert([tmp_path / "a.png"], paper, out=tmp_path / "b.png")
    np.testing.assert_array_equal(read_back(tmp_path / "b.png"), asked(RGB8, SRGB, paper.read_bytes(), ("rgb", "rgb")))


def test_what_is_there_of_a_pixel_stays(tmp_path, paper):
    cover = (RGB8[..., :1] // 2) + 3
    for pixels, name in ((np.concatenate([RGB8, cover], 2), "a.png"), (np.concatenate([RGB8, cover], 2), "a.tif")):
        path = tmp_path / name
        if name.endswith("png"):
            Image.fromarray(pixels).save(path)
        else:
            tifffile.imwrite(path, pixels, photometric="rgb", extrasamples=["unassalpha"])
        image_convert([path], paper, out=tmp_path / f"out-{name}")
        found = read_back(tmp_path / f"out-{name}")
        np.testing.assert_array_equal(found[..., 3:], cover)
        np.testing.assert_array_equal(found[..., :3], asked(RGB8, SRGB, paper.read_bytes(), ("rgb", "rgb")))


def test_dither_keeps_the_mean_of_a_ramp_and_leaves_white_alone(tmp_path, paper):
    """A ramp finer than 8 bits: without dither it stands in steps, with it every column's mean follows the finer numbers."""
    ramp = np.linspace(20000, 22000, 200).astype(np.uint16)
    pixels = np.repeat(np.repeat(ramp[None, :, None], 400, 0), 3, 2)
    pixels[:, :20] = 65535
    tifffile.imwrite(tmp_path / "a.tif", pixels, photometric="rgb")
    fine = asked(pixels, SRGB, paper.read_bytes(), ("rgb", "rgb")).astype(float)[..., 0].mean(axis=0) / 257
    error = {}
    for dither in (False, True):
        out = tmp_path / f"{dither}.tif"
        image_convert([tmp_path / "a.tif"], paper, out=out, settings=PictureSettings(bits=8, dither=dither))
        found = read_back(out)
        assert found.dtype == np.uint8
        assert (found[:, :20] == 255).all()
        error[dither] = np.abs(found[..., 0].mean(axis=0) - fine)[20:].mean()
    assert error[False] > 0.2
    assert error[True] < 0.04


def test_another_condition_is_shown_with_its_paper_or_without(tmp_path, press, paper):
    white = np.full((4, 4, 3), 65535, np.uint16)
    tifffile.imwrite(tmp_path / "a.tif", white, photometric="rgb")
    for tint, name in ((True, "tint.tif"), (False, "plain.tif")):
        image_convert(
            [tmp_path / "a.tif"], paper, as_printed_by=press, out=tmp_path / name, settings=PictureSettings(paper_tint=tint)
        )
    assert (read_back(tmp_path / "plain.tif") >= 65500).all()
    between = asked(white, SRGB, press.read_bytes(), ("rgb", "cmyk"))
    expected = asked(between, press.read_bytes(), paper.read_bytes(), ("cmyk", "rgb"), "absolute")
    assert (expected < 65000).any()
    np.testing.assert_array_equal(read_back(tmp_path / "tint.tif"), expected)


def test_many_pictures_go_on_without_the_faulty_one(tmp_path, paper, capsys, monkeypatch):
    monkeypatch.chdir(tmp_path)
    folder = tmp_path / "in"
    folder.mkdir()
    tiff(folder / "a.tif")
    png(folder / "b.png")
    (folder / "c.tif").write_bytes(b"II*\0 nothing")
    assert run(["image", "convert", str(folder), "--to", str(paper), "--out", str(tmp_path / "done"), "--json"]) == 2
    told = json.loads(capsys.readouterr().out)
    assert len(told["pictures"]) == 2
    assert {"source", "written", "width", "height", "bits", "intent", "seconds"} <= set(told["pictures"][0])
    assert "c.tif" in told["refused"][0]["source"]
    assert sorted(os.listdir(tmp_path / "done")) == sorted(os.path.basename(one["written"]) for one in told["pictures"])
    assert all("perceptual" in name for name in os.listdir(tmp_path / "done"))


def test_nothing_is_overwritten_or_left_half_written(tmp_path, paper):
    source = tiff(tmp_path / "a.tif")
    before = source.read_bytes()
    with pytest.raises(InputError, match="read"):
        image_convert([source], paper, out=source, replace=True)
    with pytest.raises(InputError, match="folder"):
        image_convert([source, tiff(tmp_path / "second.tif")], paper, out=tmp_path / "both.tif")
    (tmp_path / "second.tif").unlink()
    (tmp_path / "b.tif").write_bytes(b"mine")
    with pytest.raises(OutputExistsError):
        image_convert([source], paper, out=tmp_path / "b.tif")
    assert (tmp_path / "b.tif").read_bytes() == b"mine"

    def stop(what, done):
        if what.endswith("converting"):
            raise Cancelled

    with pytest.raises(Cancelled):
        image_convert([source], paper, out=tmp_path / "b.tif", replace=True, progress=stop)
    assert (tmp_path / "b.tif").read_bytes() == b"mine"
    assert source.read_bytes() == before
    assert sorted(os.listdir(tmp_path)) == ["a.tif", "b.tif"]


def test_the_shelf_gives_the_profile_and_the_settings(tmp_path, paper, capsys, monkeypatch):
    monkeypatch.setenv("SPECTRO_SHELF", str(tmp_path / "shelf"))
    monkeypatch.chdir(tmp_path)
    words = ["shelf", "new", "--printer", "Studio", "--paper", "Rag", "--media-setting", "Matte thick", "--json"]
    assert run(words) == 0
    name = json.loads(capsys.readouterr().out)["name"]
    from spectro.records.shelf import EntryKind
    from spectro.workflow.steps.shelf import add_to_shelf

    add_to_shelf(tmp_path / "shelf", name, EntryKind.PROFILE, paper.read_bytes(), name="paper.icc")
    tiff(tmp_path / "a.tif")
    assert run(["image", "convert", "a.tif", "--to", name, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert name in told["pictures"][0]["written"]
    assert told["settings"] == "" or "Matte thick" in told["settings"]
    assert "Matte thick" in told["how_to_print"] or not told["for_print"]


def hostile(press_bytes):
    """Files that must be refused with a sentence, by name."""
    good = imagecodecs.png_encode(RGB8)
    huge = bytearray(good)
    huge[16:24] = struct.pack(">II", 400_000, 400_000)
    huge[29:33] = struct.pack(">I", zlib.crc32(bytes(huge[12:29])))
    return {
        "empty.tif": b"",
        "cut.png": good[: len(good) // 2],
        "huge.png": bytes(huge),
        "words.jpg": b"\xff\xd8\xff\xe0 nothing",
        "page.pdf": b"%PDF-1.4\n",
        "page.tif": b"%!PS",
        "other.tif": b"GIF89a",
    }


def test_hostile_files_are_refused_in_a_sentence(tmp_path, paper, press):
    for name, data in hostile(press.read_bytes()).items():
        (tmp_path / name).write_bytes(data)
        with pytest.raises(PictureFileError, match=r"expected") as refused:
            image_convert([tmp_path / name], paper, out=tmp_path / "out.tif")
        assert "Traceback" not in str(refused.value)
    faulty = {
        "float.tif": {"data": RGB16.astype(np.float32), "photometric": "rgb"},
        "twelve.tif": {"data": RGB16[..., 0].astype(np.uint32), "photometric": "minisblack"},
        "pages.tif": {"data": np.stack([RGB8, RGB8]), "photometric": "rgb"},
        "lab.tif": {"data": RGB8, "photometric": 10},
        "inks.tif": {"data": np.concatenate([CMYK8, RGB8[..., :2]], axis=2), "photometric": "separated"},
        "space.tif": {"data": RGB8, "photometric": "rgb", "iccprofile": press.read_bytes()},
        "bare.tif": {"data": CMYK8, "photometric": "separated"},
    }
    for name, options in faulty.items():
        tifffile.imwrite(tmp_path / name, **options)
        with pytest.raises(PictureFileError, match="expected"):
            image_convert([tmp_path / name], paper, out=tmp_path / "out.tif")
    good = tiff(tmp_path / "good.tif").read_bytes()
    (tmp_path / "short.tif").write_bytes(good[:-2000])
    with pytest.raises(PictureFileError):
        image_convert([tmp_path / "short.tif"], paper, out=tmp_path / "out.tif")
    assert not (tmp_path / "out.tif").exists()
    assert [name for name in os.listdir(tmp_path) if name.startswith(".")] == []


def test_mutated_pictures_are_refused_or_converted(tmp_path, paper, press):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # readers of the results warn of odd metadata
        refused = campaign(tmp_path, paper, 150, press=press.read_bytes())
    assert 20 < refused < 150


def test_a_dim_place_lightens_midtones_and_leaves_the_ends(tmp_path, paper):
    ramp = np.repeat(np.repeat(np.arange(256, dtype=np.uint8)[None, :, None], 9, 0), 3, 2)
    Image.fromarray(ramp).save(tmp_path / "a.png")
    power = (50 / 500) ** 0.08
    bright = np.rint(255 * (ramp / 255.0) ** power).astype(np.uint8)
    image_convert([tmp_path / "a.png"], paper, out=tmp_path / "b.png", settings=PictureSettings(wall_lux=50))
    found = read_back(tmp_path / "b.png")
    np.testing.assert_array_equal(found, asked(bright, SRGB, paper.read_bytes(), ("rgb", "rgb")))
    assert found[0, 0].tolist() == [0, 0, 0]
    assert found[0, 255].tolist() == [255, 255, 255]
    with pytest.raises(InputError, match="lux"):
        image_convert([tmp_path / "a.png"], paper, out=tmp_path / "c.png", settings=PictureSettings(wall_lux=5))


@pytest.mark.source("TIFF-6.0", "CIE L*a*b* pictures: a* and b* signed, of 16 bits 256 to a unit")
@pytest.mark.parametrize("bits", [8, 16])
@pytest.mark.parametrize("packed", [False, True])
def test_pictures_in_cielab_come_in(tmp_path, paper, bits, packed):
    """Written as the standard says, from Lab that the engine made of an RGB picture, they convert as that picture does."""
    lab = imagecodecs.cms_transform(
        RGB16, SRGB, imagecodecs.cms_profile("lab4"), colorspace="rgb", outcolorspace="lab", outdtype="float64", intent=1
    )
    full, unit = 2**bits - 1, 2 ** (bits - 8)
    stored = np.concatenate([np.rint(lab[..., :1] / 100 * full), np.rint(lab[..., 1:] * unit) % (full + 1)], axis=-1)
    dtype = np.uint8 if bits == 8 else np.uint16
    named = {"photometric": "cielab", "compression": "zlib", "rowsperstrip": 5} if packed else {"photometric": "cielab"}
    tifffile.imwrite(tmp_path / "lab.tif", stored.astype(dtype), resolution=(240, 240), resolutionunit=2, **named)
    settings = PictureSettings(intent=RenderingIntent.RELATIVE)
    done = image_convert([tmp_path / "lab.tif"], paper, out=tmp_path / "a.tif", settings=settings).pictures[0]
    assert (done.read_as, done.bits) == ("CIELAB, D50, relative to its white", 16)
    tiff(tmp_path / "rgb.tif")
    image_convert([tmp_path / "rgb.tif"], paper, out=tmp_path / "b.tif", settings=settings)
    found, wanted = (
        imagecodecs.cms_transform(
            read_back(tmp_path / name), paper.read_bytes(), imagecodecs.cms_profile("lab4"),
            colorspace="rgb", outcolorspace="lab", outdtype="float64", intent=1,
        )
        for name in ("a.tif", "b.tif")
    )  # fmt: skip
    apart = np.abs(found - wanted)
    assert np.percentile(apart, 90) < (0.55 if bits == 8 else 0.03)  # half a unit of what is stored
    assert apart.max() < 2  # at the edge of the gamut, where a channel near 0 is steep


@pytest.mark.common_practice("no source: lightening leaves tints alone")
def test_cielab_is_lightened_in_lightness_alone():
    pixels = np.array([[[30000, 20000, 45000]]], np.uint16)
    found = lightened(pixels, 50, space="lab")
    assert found[0, 0, 0] > 30000
    assert found[0, 0, 1:].tolist() == [20000, 45000]


@pytest.mark.common_practice("no source: what the colour engine cannot do is said")
def test_profiles_of_many_inks_are_refused_with_the_reason(tmp_path):
    header = bytearray(oprgb_profile_bytes())
    header[16:20] = b"6CLR"
    (tmp_path / "six.icc").write_bytes(bytes(header))
    tiff(tmp_path / "a.tif")
    with pytest.raises(ProfileFileError, match="6 inks; the colour engine"):
        image_convert([tmp_path / "a.tif"], tmp_path / "six.icc", out=tmp_path / "b.tif")
