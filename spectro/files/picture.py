"""Pictures as the colours they hold: TIFF with 8 or 16 bits, PNG and JPEG, with their embedded profile.

Large pictures are looked at in an even grid of pixels, about a million of them; a TIFF is read strip by strip. Colours are
counted in 8-bit steps, far finer than what is asked of them. Pixels that are wholly transparent do not count.
References: [TIFF-6.0].
"""

import warnings
from pathlib import Path
from typing import Any

import numpy as np

from spectro.errors import PictureFileError
from spectro.files.picture_file import first_bytes
from spectro.files.picture_sample import grid_of, pixels_of
from spectro.files.picture_tiff import read_tiff
from spectro.files.png_file import open_png
from spectro.records.arrays import AnyArray
from spectro.records.picture import PictureColours

LARGEST_PIXELS = 100_000_000  # of PNG and JPEG, which are decoded whole: 400 MB
LOOKED_AT = 1_000_000
_FIX = "Open and save the picture again as 8- or 16-bit RGB TIFF, PNG or JPEG."


def read_picture(path: Path) -> PictureColours:
    """Return the colours of an RGB or grey picture. Raises PictureFileError for damaged files and all other kinds."""
    start = first_bytes(path, 8)
    if start[:4] in (b"II*\0", b"MM\0*", b"II+\0", b"MM\0+"):
        pixels = read_tiff(path, LOOKED_AT)
        return _with_pillow(path, ("TIFF",)) if pixels is None else _counted(path, *pixels)
    if start.startswith(b"\x89PNG\r\n\x1a\n"):
        return _from_png(path)
    if start.startswith(b"\xff\xd8\xff"):
        return _with_pillow(path, ("JPEG",))
    raise PictureFileError(path, "a file that is no TIFF, PNG or JPEG", "one of these", _FIX)


def step_for(width: int, height: int, looked_at: int = LOOKED_AT) -> int:
    """Return the step of the grid that leaves about looked_at pixels.

    >>> step_for(800, 600), step_for(6000, 4000)
    (1, 5)
    """
    return max(1, int(np.ceil(np.sqrt(width * height / looked_at))))


def _from_png(path: Path) -> PictureColours:
    """Return the colours of a PNG, whatever the size of its profile; the general library stops at one megabyte."""
    picture = open_png(path)
    if picture.width * picture.height > LARGEST_PIXELS:
        found = f"{picture.width} × {picture.height} pixels"
        raise PictureFileError(path, found, f"at most {LARGEST_PIXELS}", "Save it as TIFF or make it smaller.")
    values = pixels_of(grid_of(picture, LOOKED_AT), picture)
    if picture.bits == 16:
        values = ((values.astype(np.uint32) + 128) // 257).astype(np.uint8)
    pixels = np.repeat(values, 3, axis=1) if values.shape[1] == 1 else values
    return _counted(path, picture.width, picture.height, picture.bits, pixels, picture.profile)


def _with_pillow(path: Path, formats: tuple[str, ...]) -> PictureColours:
    from PIL import Image

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # the library warns of large pictures and odd metadata; the limit here is ours
            with Image.open(path, formats=formats) as image:
                width, height = image.size
                if width * height > LARGEST_PIXELS:
                    raise PictureFileError(
                        path, f"{width} × {height} pixels", f"at most {LARGEST_PIXELS}", "Save it as TIFF or make it smaller."
                    )
                profile = image.info.get("icc_profile") or b""
                pixels, bits = _pixels(path, image)
    except PictureFileError:
        raise
    except Image.DecompressionBombError as error:  # the library's own limit, above ours
        raise PictureFileError(
            path, "far too many pixels", f"at most {LARGEST_PIXELS}", "Save it as TIFF or make it smaller."
        ) from error
    except Exception as error:  # the decoders raise anything on hostile bytes; all of it is the file's fault
        raise PictureFileError(path, "a damaged or cut picture", "a whole one", "Get or save it again.") from error
    return _counted(path, width, height, bits, pixels, profile if isinstance(profile, bytes) else b"")


def _pixels(path: Path, image: Any) -> tuple[AnyArray, int]:
    """Return pixels (n, 3), uint8, of an open picture, and the bits they were stored with."""
    if image.mode in ("CMYK", "LAB", "YCbCr", "HSV", "F"):
        raise PictureFileError(path, f"a picture in {image.mode}", "RGB or grey", _FIX)
    from PIL import Image

    step = step_for(image.width, image.height, LOOKED_AT)
    if step > 1:  # whole pixels are taken, without a second copy of the picture
        image = image.resize((image.width // step or 1, image.height // step or 1), Image.Resampling.NEAREST)
    if image.mode.startswith("I"):
        grey = np.asarray(image).astype(np.int64).ravel()
        return np.repeat(np.clip(grey // 257, 0, 255).astype(np.uint8)[:, None], 3, axis=1), 16
    if "A" in image.mode or "a" in image.mode or "transparency" in image.info:
        pixels = np.asarray(image.convert("RGBA")).reshape(-1, 4)
        return pixels[pixels[:, 3] > 0, :3], 8
    return np.asarray(image.convert("RGB")).reshape(-1, 3), 8


def _counted(path: Path, width: int, height: int, bits: int, pixels: AnyArray, profile: bytes) -> PictureColours:
    """Return the record of pixels (n, 3), uint8."""
    if not len(pixels):
        raise PictureFileError(path, "only transparent pixels", "a picture with colours", "Choose another picture.")
    wide = pixels.astype(np.int64)
    codes, counts = np.unique(wide[:, 0] << 16 | wide[:, 1] << 8 | wide[:, 2], return_counts=True)
    values = np.stack([codes >> 16, codes >> 8 & 255, codes & 255], axis=-1) / 255
    return PictureColours(path=str(path), width=width, height=height, bits=bits, values=values, counts=counts, profile=profile)
