"""Pictures of many kinds give the colours that are in them; damaged and foreign ones give a message."""

import warnings
import zlib

import numpy as np
import pytest
import tifffile
from PIL import Image

from spectro.errors import PictureFileError
from spectro.files import picture as picture_module
from spectro.files.picture import LOOKED_AT, read_picture, step_for
from spectro.files.picture_tiff import read_tiff
from spectro.files.png_file import pack_chunk

PIXELS = np.random.default_rng(3).integers(0, 256, (37, 53, 3), dtype=np.uint8)
WIDE = PIXELS.astype(np.uint16) * 257


def colours_of(found):
    """The set of (red, green, blue, count) of a record."""
    rows = np.column_stack([np.round(found.values * 255), found.counts]).astype(int)
    return {tuple(row) for row in rows.tolist()}


def counted(pixels):
    values, counts = np.unique(pixels.reshape(-1, 3), axis=0, return_counts=True)
    return {(*value, count) for value, count in zip(values.tolist(), counts.tolist(), strict=True)}


@pytest.mark.parametrize("data", [PIXELS, WIDE], ids=["8", "16"])
@pytest.mark.parametrize(
    "options",
    [
        {},
        {"byteorder": ">"},
        {"compression": "zlib", "predictor": True, "rowsperstrip": 5},
        {"compression": "zlib", "tile": (16, 32)},
        {"tile": (16, 16)},
        {"rowsperstrip": 7},
        {"bigtiff": True},
        {"compression": "packbits"},
        {"compression": "lzw"},
    ],
    ids=lambda options: "-".join(map(str, options)) or "plain",
)
@pytest.mark.parametrize("planar", ["contig", "separate"])
def test_tiffs(tmp_path, data, options, planar):
    path = tmp_path / "a.tif"
    values = data if planar == "contig" else np.moveaxis(data, -1, 0)
    tifffile.imwrite(path, values, photometric="rgb", planarconfig=planar, iccprofile=b"profile", **options)
    found = read_picture(path)
    assert colours_of(found) == counted(PIXELS)
    assert (found.width, found.height, found.bits) == (53, 37, 8 * data.itemsize)
    assert found.profile == b"profile"


@pytest.mark.parametrize("options", [{}, {"compression": "zlib", "rowsperstrip": 5}, {"tile": (16, 16)}])
def test_a_large_tiff_is_looked_at_on_an_even_grid(tmp_path, options):
    tifffile.imwrite(tmp_path / "a.tif", PIXELS, photometric="rgb", **options)
    width, height, _, pixels, _ = read_tiff(tmp_path / "a.tif", 200)
    assert (width, height) == (53, 37)
    np.testing.assert_array_equal(pixels, PIXELS[::4, ::4].reshape(-1, 3))
    assert step_for(53, 37, 200) == 4
    assert step_for(10_000, 10_000) == 10
    assert LOOKED_AT == 1_000_000


@pytest.mark.parametrize("white_is_zero", [False, True])
@pytest.mark.parametrize("kind", [np.uint8, np.uint16])
def test_grey_tiffs(tmp_path, white_is_zero, kind):
    grey = PIXELS[..., 0].astype(kind) * (1 if kind is np.uint8 else 257)
    tifffile.imwrite(tmp_path / "a.tif", grey, photometric="miniswhite" if white_is_zero else "minisblack")
    wanted = np.repeat((255 - PIXELS[..., :1]) if white_is_zero else PIXELS[..., :1], 3, axis=-1)
    assert colours_of(read_picture(tmp_path / "a.tif")) == counted(wanted)


@pytest.mark.parametrize("kind", ["unassalpha", "assocalpha"])
def test_transparent_pixels_do_not_count(tmp_path, kind):
    data = np.dstack([PIXELS, np.zeros_like(PIXELS[..., 0])])
    data[:10, :, 3] = 255
    data[10:15, :, 3] = 100
    tifffile.imwrite(tmp_path / "a.tif", data, photometric="rgb", extrasamples=[kind])
    wanted = PIXELS[:15] if kind == "unassalpha" else PIXELS[:10]
    assert colours_of(read_picture(tmp_path / "a.tif")) == counted(wanted)
    Image.fromarray(data, "RGBA").save(tmp_path / "a.png")
    assert colours_of(read_picture(tmp_path / "a.png")) == counted(PIXELS[:15])
    Image.fromarray(np.zeros((4, 4, 4), dtype=np.uint8), "RGBA").save(tmp_path / "b.png")
    with pytest.raises(PictureFileError, match="transparent"):
        read_picture(tmp_path / "b.png")


def test_png_and_jpeg_with_their_profile(tmp_path):
    Image.fromarray(PIXELS).save(tmp_path / "a.png", icc_profile=b"one")
    found = read_picture(tmp_path / "a.png")
    assert colours_of(found) == counted(PIXELS)
    assert found.profile == b"one"
    flat = np.full((32, 32, 3), (200, 90, 40), dtype=np.uint8)
    Image.fromarray(flat).save(tmp_path / "a.jpg", quality=95, icc_profile=b"two")
    found = read_picture(tmp_path / "a.jpg")
    np.testing.assert_allclose(found.values * 255, [[200, 90, 40]], atol=2)
    assert found.profile == b"two"


def test_other_modes(tmp_path):
    Image.fromarray(PIXELS).quantize(16).save(tmp_path / "palette.png")
    assert len(read_picture(tmp_path / "palette.png").values) == 16
    Image.fromarray(PIXELS[..., 0]).save(tmp_path / "grey.png")
    assert colours_of(read_picture(tmp_path / "grey.png")) == counted(np.repeat(PIXELS[..., :1], 3, axis=-1))
    Image.fromarray(WIDE[..., 0]).save(tmp_path / "grey16.png")
    found = read_picture(tmp_path / "grey16.png")
    assert colours_of(found) == counted(np.repeat(PIXELS[..., :1], 3, axis=-1))
    assert found.bits == 16


@pytest.mark.parametrize("end", ["tif", "jpg"])
def test_pictures_in_other_colour_spaces_are_refused(tmp_path, end):
    Image.new("CMYK", (8, 8)).save(tmp_path / f"a.{end}")
    with pytest.raises(PictureFileError, match="RGB or grey"):
        read_picture(tmp_path / f"a.{end}")


def test_floating_point_is_refused(tmp_path):
    tifffile.imwrite(tmp_path / "a.tif", PIXELS.astype(np.float32), photometric="rgb")
    with pytest.raises(PictureFileError, match="8 or 16 bits"):
        read_picture(tmp_path / "a.tif")


def test_files_that_are_no_pictures(tmp_path):
    (tmp_path / "a.txt").write_text("no picture")
    (tmp_path / "empty.png").write_bytes(b"")
    for name, words in (("a.txt", "no TIFF, PNG or JPEG"), ("empty.png", "no TIFF"), ("none", "no such file"), (".", "folder")):
        with pytest.raises(PictureFileError, match=words):
            read_picture(tmp_path / name)


def test_a_large_png_is_looked_at_on_a_grid(tmp_path, monkeypatch):
    monkeypatch.setattr(picture_module, "LOOKED_AT", 200)
    Image.fromarray(PIXELS).save(tmp_path / "a.png")
    found = read_picture(tmp_path / "a.png")
    assert (found.width, found.height) == (53, 37)
    assert found.counts.sum() == 14 * 10
    assert {row[:3] for row in colours_of(found)} <= {row[:3] for row in counted(PIXELS)}


def test_more_pixels_than_the_limit(tmp_path, monkeypatch):
    monkeypatch.setattr(picture_module, "LARGEST_PIXELS", 1000)
    Image.fromarray(PIXELS).save(tmp_path / "a.png")
    with pytest.raises(PictureFileError, match="53 × 37 pixels"):
        read_picture(tmp_path / "a.png")


@pytest.mark.parametrize("end", ["tif", "zip.tif", "png", "jpg"])
def test_cut_and_changed_pictures_give_a_message_or_a_picture(tmp_path, end):
    """Whatever happens to the bytes: a record of the right shape, or our error."""
    whole = tmp_path / f"whole.{end}"
    if end.endswith("tif"):
        compression = "zlib" if "zip" in end else None
        tifffile.imwrite(whole, PIXELS, photometric="rgb", compression=compression, rowsperstrip=8)
    else:
        Image.fromarray(PIXELS).save(whole)
    data = whole.read_bytes()
    random = np.random.default_rng(8)
    refused = 0
    for number in range(120):
        changed = bytearray(data)
        if number % 3 == 0:
            del changed[int(random.integers(1, len(data))) :]
        for place in random.integers(0, min(len(changed), 400), number % 5):
            changed[place] = int(random.integers(0, 256))
        path = tmp_path / f"{number}.{end}"
        path.write_bytes(changed)
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore", ResourceWarning)
                found = read_picture(path)
        except PictureFileError as error:
            refused += str(path) in str(error)
        else:
            assert found.values.shape == (len(found.counts), 3)
    assert refused > 20


def test_a_cut_picture_is_called_so(tmp_path):
    tifffile.imwrite(tmp_path / "a.tif", PIXELS, photometric="rgb", compression="zlib")
    Image.fromarray(PIXELS).save(tmp_path / "a.png")
    for name in ("a.tif", "a.png"):
        path = tmp_path / name
        path.write_bytes(path.read_bytes()[:2000])
        with pytest.raises(PictureFileError, match="damaged or cut"):
            read_picture(path)


@pytest.mark.common_practice("no source: a PNG may carry a profile of any size")
def test_a_png_with_a_large_profile_is_read(tmp_path):
    """The general library stops at one megabyte of profile; a profile of 33 grid points is larger."""
    profile = bytes(128) + np.random.default_rng(1).bytes(1_400_000)
    plain = tmp_path / "plain.png"
    Image.fromarray(PIXELS).save(plain)
    data = plain.read_bytes()
    chunk = pack_chunk(b"iCCP", b"a\0\0" + zlib.compress(profile))
    (tmp_path / "large.png").write_bytes(data[:33] + chunk + data[33:])
    found = read_picture(tmp_path / "large.png")
    assert found.profile == profile
    assert colours_of(found) == counted(PIXELS)
