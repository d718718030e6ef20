"""Small pictures of every kind, with metadata written by general libraries, for tests of image commands."""

import io
import os
import struct

import imagecodecs
import numpy as np
import tifffile
from PIL import Image
from PIL.TiffImagePlugin import IFDRational

from spectro.errors import InputError, PictureFileError
from spectro.workflow.image.convert import image_convert

RNG = np.random.default_rng(11)
HEIGHT, WIDTH = 37, 53
RGB16 = RNG.integers(0, 65536, (HEIGHT, WIDTH, 3), dtype=np.uint16)
RGB8 = (RGB16 // 257).astype(np.uint8)
CMYK8 = RNG.integers(0, 256, (HEIGHT, WIDTH, 4), dtype=np.uint8)
XMP = b'<?xpacket begin="" id="W5M0MpCehiHzreSzNTczkc9d"?><x:xmpmeta xmlns:x="x"><a>Wer? \xc3\xa4</a></x:xmpmeta>'
IPTC = b"\x1c\x02\x78\x00\x07A caption"[:12]
SRGB = imagecodecs.cms_profile("srgb")


def exif() -> Image.Exif:
    """Exif with a maker, a lens, a place and an orientation."""
    made = Image.Exif()
    made[271], made[274], made[305] = "A maker", 6, "some program"
    made.get_ifd(34665)[42036] = "a lens 50 mm"
    made.get_ifd(34665)[40961] = 1
    made.get_ifd(34665)[33434] = IFDRational(1, 125)
    made.get_ifd(34853)[1] = "N"
    made.get_ifd(34853)[2] = (IFDRational(51), IFDRational(30), IFDRational(0))
    return made


def resources() -> bytes:
    """Resource blocks of which one is an IPTC record."""
    return b"8BIM" + struct.pack(">HHI", 0x0404, 0, len(IPTC)) + IPTC + b"\0" * (len(IPTC) % 2)


def tiff(path, pixels=RGB16, **options):
    """Write a TIFF with metadata by one library."""
    more = [
        (271, 2, 0, "A maker", True),
        (274, 3, 1, 6, True),
        (700, 1, len(XMP), XMP, True),
        (33723, 7, len(IPTC), IPTC, True),
    ]
    photometric = {1: "minisblack", 3: "rgb", 4: "separated"}[1 if pixels.ndim == 2 else pixels.shape[2]]
    named = {"photometric": photometric, "resolution": (240, 240), "resolutionunit": 2, "metadata": None} | options
    tifffile.imwrite(path, pixels, extratags=more, **named)
    return path


def jpeg(path, pixels=RGB8, mode="RGB", **options):
    """Write a JPEG with metadata by another library."""
    Image.fromarray(pixels, mode).save(
        path, "JPEG", quality=95, exif=exif(), xmp=XMP, dpi=(240, 240), icc_profile=options.pop("icc_profile", SRGB), **options
    )
    return path


def png(path, pixels=RGB8, **options):
    """Write a PNG with metadata by another library."""
    Image.fromarray(pixels).save(path, "PNG", exif=exif(), dpi=(240, 240), **options)
    return path


def read_back(path):
    """Pixels of a file as a general library reads them."""
    if path.suffix == ".tif":
        return tifffile.imread(path)
    if path.suffix == ".png":
        return imagecodecs.png_decode(path.read_bytes())
    return np.asarray(Image.open(io.BytesIO(path.read_bytes())))


def mutated(data, rng):
    """A file with some bytes changed, cut out or put in."""
    changed = bytearray(data)
    for _ in range(rng.integers(1, 6)):
        place = int(rng.integers(0, min(len(changed), 1200 if rng.random() < 0.7 else len(changed))))
        kind = rng.integers(0, 4)
        if kind == 0:
            changed[place] = int(rng.integers(0, 256))
        elif kind == 1:
            changed[place : place + 4] = rng.integers(0, 256, 4, dtype=np.uint8).tobytes()
        elif kind == 2:
            del changed[place : place + int(rng.integers(1, 64))]
        else:
            changed[place:place] = rng.integers(0, 256, int(rng.integers(1, 16)), dtype=np.uint8).tobytes()
        if not changed:
            return b""
    return bytes(changed[: int(rng.integers(1, len(changed) + 1))]) if rng.random() < 0.1 else bytes(changed)


def campaign(folder, paper, number, seed=5, press=None):
    """Convert mutated pictures; return how many were refused. What else is raised is a fault.

    press: the bytes of a CMYK profile, for pictures in inks and in CIELAB too.
    """
    rng = np.random.default_rng(seed)
    small16, small8 = RGB16[:14, :18], RGB8[:14, :18]
    sources = [
        tiff(folder / "s1.tif", small16, iccprofile=SRGB),
        tiff(folder / "s2.tif", small8, compression="lzw", predictor=True, rowsperstrip=4),
        tiff(folder / "s3.tif", small16, tile=(16, 16), compression="zlib"),
        jpeg(folder / "s4.jpg", small8),
        png(folder / "s5.png", small8, icc_profile=SRGB),
    ]
    if press is not None:
        inks = CMYK8[:14, :18]
        sources += [
            tiff(folder / "s6.tif", inks, iccprofile=press),
            tiff(folder / "s7.tif", inks, iccprofile=press, compression="lzw", predictor=True, rowsperstrip=4),
            jpeg(folder / "s8.jpg", inks, "CMYK", icc_profile=press),
            tiff(folder / "s9.tif", small16, photometric="cielab"),
        ]
    kept = [(path.suffix, path.read_bytes()) for path in sources]
    refused = 0
    for turn in range(number):
        suffix, data = kept[turn % len(kept)]
        path, out = folder / f"m{suffix}", folder / "out.tif"
        path.write_bytes(mutated(data, rng))
        try:
            done = image_convert([path], paper, out=out, replace=True).pictures[0]
        except (PictureFileError, InputError):
            refused += 1
            assert not out.exists()
        else:
            with tifffile.TiffFile(out) as file:
                assert file.pages[0].asarray().shape[:2] == (done.height, done.width)
            out.unlink()
        assert not [name for name in os.listdir(folder) if name.startswith(".")]
    return refused
