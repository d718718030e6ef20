"""Small pictures of every kind, with metadata written by general libraries, for tests of image commands."""

import io
import struct

import imagecodecs
import numpy as np
import tifffile
from PIL import Image
from PIL.TiffImagePlugin import IFDRational

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
