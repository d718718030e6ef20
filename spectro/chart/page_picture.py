"""Pictures of printed pages, opened with care: photos and scans as PNG, JPEG or TIFF, and the TIFF pages of a chart folder.

A picture is judged before it is unpacked: only these three kinds, not more bytes and pixels than a page can need.
"""

import importlib
import io
import warnings
from pathlib import Path
from typing import Any

import numpy as np

from spectro.errors import InputError
from spectro.files.text_lines import read_bytes
from spectro.records.arrays import AnyArray

MOST_PIXELS = 175_000_000
"""An A2 sheet at 600 dpi has 139 million (our choice; the library opens few more)."""

MOST_BYTES = 1024 * 1024 * 1024
_MOST_UNPACKED = 1_500_000_000
_STARTS = {b"\x89PNG\r\n\x1a\n": "PNG", b"\xff\xd8\xff": "JPEG", b"II*\0": "TIFF", b"MM\0*": "TIFF"}
_EXPECTED = "a photo or scan of a page as PNG, JPEG or TIFF"


def needed(module: str) -> Any:
    """Return a module of the extra `scan`. Raises InputError, with what to install, where it is missing."""
    try:
        return importlib.import_module(module)
    except ImportError:
        raise InputError(
            f"no {module.partition('.')[0]} in this installation", "what pictures of pages are read with",
            "Install it with the extra named scan: pip install 'spectro[scan]'. Or type the line next to the square instead.",
        ) from None  # fmt: skip


def page_picture(path: Path) -> AnyArray:
    """Return the picture of a file as grey values (rows, columns), uint8, 255 = white.

    Raises InputError for other kinds of files, pictures of too many pixels, and damaged ones; MeasurementFileError where
    the file cannot be read.
    """
    data = read_bytes(path, max_bytes=MOST_BYTES)
    kind = next((name for start, name in _STARTS.items() if data.startswith(start)), None)
    if kind is None:
        raise InputError(f"{path}, no PNG, JPEG or TIFF", _EXPECTED, "Save the picture as PNG or JPEG.")
    needed("PIL.Image")
    try:
        grey = _tiff(data, path) if kind == "TIFF" else None
        return np.ascontiguousarray(_opened(data, kind, path) if grey is None else grey)
    except InputError:
        raise
    except Exception as error:  # damaged pictures end in a dozen kinds of error
        raise InputError(
            f"{path}, a damaged {kind} ({type(error).__name__})", _EXPECTED, "Scan or photograph the page again."
        ) from error


def _opened(data: bytes, kind: str, path: Path) -> AnyArray:
    image_module = needed("PIL.Image")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of sizes, which are judged here; of odd metadata, which is not used
        try:
            opened = image_module.open(io.BytesIO(data), formats=[kind, "MPO"] if kind == "JPEG" else [kind])
        except image_module.DecompressionBombError:
            raise _too_large(path, "very many pixels") from None
        with opened as image:
            width, height = image.size
            _check_size(width, height, path)
            if kind == "JPEG":
                image.draft("L", image.size)
            if image.mode in ("RGBA", "LA", "PA", "P"):
                image = image.convert("RGBA")
                image = image_module.alpha_composite(image_module.new("RGBA", image.size, (255, 255, 255, 255)), image)
            if image.mode.startswith("I") or image.mode == "F":
                return _eight_bits(np.asarray(image))
            return np.asarray(image.convert("L"))


def _check_size(width: int, height: int, path: Path) -> None:
    if width * height > MOST_PIXELS:
        raise _too_large(path, f"{width} x {height} pixels")
    if min(width, height) < 20:
        raise InputError(f"{path}, {width} x {height} pixels", "a page", "Scan or photograph the page again.")


def _too_large(path: Path, size: str) -> InputError:
    return InputError(
        f"{path}, {size}", f"at most {MOST_PIXELS / 1e6:.0f} million",
        "Scan the page at 300 dpi or less, or cut out the square with the white around it.",
    )  # fmt: skip


def _tiff(data: bytes, path: Path) -> AnyArray | None:
    """Return the grey values of a TIFF that pillow may not know: 16 bits, many inks; None for what is left to it."""
    import tifffile

    with tifffile.TiffFile(io.BytesIO(data)) as file:
        page: Any = file.pages[0]
        _check_size(page.imagewidth, page.imagelength, path)
        if (
            page.bitspersample not in (8, 16)
            or page.compression not in (1, 8, 32946)
            or page.photometric not in (0, 1, 2, 5, 8)
        ):
            return None
        if page.samplesperpixel * page.imagewidth * page.imagelength * page.bitspersample // 8 > _MOST_UNPACKED:
            raise _too_large(path, f"{page.samplesperpixel} times {page.imagewidth} x {page.imagelength} pixels")
        values = page.asarray()
    if page.planarconfig == 2 and values.ndim == 3:
        values = np.moveaxis(values, 0, -1)
    values = _eight_bits(values)
    if page.photometric == 5:  # ink: the darkest of all
        return np.asarray(255 - values.max(axis=-1))
    if page.photometric == 8:  # L*, a*, b*
        return np.asarray(values[..., 0])
    if values.ndim == 3:
        values = values[..., :3].mean(axis=-1).astype(np.uint8) if values.shape[-1] >= 3 else values[..., 0]
    return np.asarray(255 - values if page.photometric == 0 else values)


def _eight_bits(values: AnyArray) -> AnyArray:
    """Return values of any depth as uint8; what is deeper than 16 bits is spread over its own range."""
    if values.dtype == np.uint8:
        return values
    if values.dtype in (np.uint16, np.int32) and 255 < values.max() <= 65535:
        return (values >> 8).astype(np.uint8)
    numbers = values.astype(np.float64)
    low, high = float(numbers.min()), float(numbers.max())
    return ((numbers - low) * (255 / max(high - low, 1e-12))).astype(np.uint8)
