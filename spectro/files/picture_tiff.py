"""Pixels of a TIFF on an even grid, read strip by strip or tile by tile, so that size costs time and not memory. [TIFF-6.0]"""

from itertools import islice
from pathlib import Path
from typing import Any, TypeAlias

import numpy as np

from spectro.errors import PictureFileError
from spectro.records.arrays import AnyArray

LARGEST_PIXELS = 1_000_000_000
_LARGEST_PART = 400 * 1024 * 1024  # bytes of one strip or tile once decoded
_PAGES = 16  # looked through for one that is no reduced copy
_PROFILE = 34675  # tag of the embedded profile; [ICC.1-2022] embedding in TIFF files
_FIX = "Save it as RGB TIFF with 8 or 16 bits a channel, uncompressed or with Deflate."
_WHITE_IS_ZERO, _BLACK_IS_ZERO, _RGB = 0, 1, 2
_ELSEWHERE = (3, 6)  # palette, luminance with chroma: another reader decodes these

Pixels: TypeAlias = tuple[int, int, int, AnyArray, bytes]


def read_tiff(path: Path, looked_at: int) -> Pixels | None:
    """Return width, height, bits, about looked_at pixels (n, 3) as uint8, and the embedded profile of a TIFF's first picture.

    Returns None for 8-bit kinds whose decoder is elsewhere: palettes, luminance with chroma, other compressions.
    Raises PictureFileError for damaged and for other pictures.
    """
    import logging

    import tifffile

    logging.getLogger("tifffile").setLevel(logging.CRITICAL)  # what it would log is said by our error
    try:
        with tifffile.TiffFile(path) as file:
            return _first(path, file, looked_at)
    except PictureFileError:
        raise
    except Exception as error:  # the decoders raise anything on hostile bytes; all of it is the file's fault
        raise PictureFileError(path, "a damaged or cut TIFF", "a whole one", "Get or save it again.") from error


def _first(path: Path, file: Any, looked_at: int) -> Pixels | None:
    page = next((page for page in islice(file.pages, _PAGES) if not page.is_reduced), None)
    if page is None:
        raise PictureFileError(path, "a TIFF without a picture", "one picture", _FIX)
    width, height, samples = page.imagewidth, page.imagelength, page.samplesperpixel
    if width * height < 1 or not 0 < samples <= 16 or page.imagedepth > 1:
        raise PictureFileError(path, "a TIFF that holds no flat picture", "RGB or grey", _FIX)
    if width * height > LARGEST_PIXELS:
        raise PictureFileError(path, f"{width} × {height} pixels", f"at most {LARGEST_PIXELS}", "Make it smaller.")
    eight = page.bitspersample == 8 and page.sampleformat == 1
    if page.photometric in _ELSEWHERE and eight:
        return None
    wanted = {_RGB: 3, _BLACK_IS_ZERO: 1, _WHITE_IS_ZERO: 1}.get(int(page.photometric))
    if wanted is None or samples < wanted:
        raise PictureFileError(path, f"a TIFF in colour kind {int(page.photometric)}", "RGB or grey", _FIX)
    if page.dtype not in (np.uint8, np.uint16):
        raise PictureFileError(path, f"{page.bitspersample}-bit samples of kind {page.sampleformat}", "8 or 16 bits", _FIX)
    if page.compression not in (1, 8, 32773, 32946, 34925) and not _decoders_installed():
        if eight:
            return None
        raise PictureFileError(path, f"16 bits with compression {int(page.compression)}", "none or Deflate", _FIX)
    step = max(1, int(np.ceil(np.sqrt(width * height / looked_at))))
    grid = _whole(page, step) if page.is_memmappable else _parts(path, page, step)
    tag = page.tags.get(_PROFILE)
    profile = bytes(tag.value) if tag is not None and isinstance(tag.value, bytes) else b""
    return width, height, 8 * page.dtype.itemsize, _rgb(page, grid, wanted), profile


def _decoders_installed() -> bool:
    import importlib.util

    return importlib.util.find_spec("imagecodecs") is not None


def _whole(page: Any, step: int) -> AnyArray:
    """Return the grid (rows, columns, samples) of a picture that lies open in the file."""
    mapped = page.asarray(out="memmap")
    planes = mapped.reshape((page.samplesperpixel, page.imagelength, page.imagewidth) if page.planarconfig == 2 else
                            (page.imagelength, page.imagewidth, page.samplesperpixel))  # fmt: skip
    grid: AnyArray = np.moveaxis(planes[:, ::step, ::step], 0, -1) if page.planarconfig == 2 else planes[::step, ::step]
    return np.array(grid, dtype=grid.dtype.newbyteorder("="))


def _parts(path: Path, page: Any, step: int) -> AnyArray:
    """Return the grid (rows, columns, samples) of a picture in strips or tiles, decoded one by one."""
    if int(np.prod([max(1, side) for side in page.chunks])) * page.dtype.itemsize > _LARGEST_PART:
        raise PictureFileError(
            path, "one strip larger than 400 MB", "strips or tiles", "Save it uncompressed, or with smaller strips."
        )
    rows, columns = -(-page.imagelength // step), -(-page.imagewidth // step)
    grid = np.zeros((rows, columns, page.samplesperpixel), dtype=page.dtype.newbyteorder("="))
    for part, (plane, _, top, left, _), _ in page.segments(maxworkers=1):
        if part is None:
            continue
        first, side = -(-top // step), -(-left // step)
        taken = part[0, first * step - top :: step, side * step - left :: step]
        taken = taken[: rows - first, : columns - side]
        place = grid[first : first + taken.shape[0], side : side + taken.shape[1]]
        if page.planarconfig == 2:
            place[..., plane] = taken[..., 0]
        else:
            place[...] = taken
    return grid


def _rgb(page: Any, grid: AnyArray, wanted: int) -> AnyArray:
    """Return RGB (n, 3), uint8, of a grid of samples, without what is transparent."""
    flat = grid.reshape(-1, grid.shape[-1])
    full = int(np.iinfo(flat.dtype).max)
    kinds = tuple(int(kind) for kind in page.extrasamples or ())
    for channel, kind in enumerate(kinds, start=wanted):
        if channel < flat.shape[1] and kind in (1, 2):  # 1: colours are scaled by it, so only full cover keeps them
            flat = flat[flat[:, channel] == full] if kind == 1 else flat[flat[:, channel] > 0]
    colours = flat[:, :wanted]
    if colours.dtype == np.uint16:
        colours = ((colours.astype(np.uint32) + 128) // 257).astype(np.uint8)
    if int(page.photometric) == _WHITE_IS_ZERO:
        colours = 255 - colours
    return np.repeat(colours, 3, axis=1) if wanted == 1 else colours
