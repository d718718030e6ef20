"""Pictures opened to be converted or judged, by what their bytes say they are.

TIFF and PNG are read band by band, so that size costs time and not memory; JPEG is decoded whole. Sizes are looked at
before anything is decoded. What is no picture of one of these kinds is refused with the way out: page descriptions, which
hold pictures at any size and in any space, must be turned into one first.
"""

from collections.abc import Sequence
from pathlib import Path

from spectro.errors import InputError, PictureFileError
from spectro.files.jpeg_file import open_jpeg
from spectro.files.picture_file import FIX, PictureFile, first_bytes
from spectro.files.png_file import open_png
from spectro.files.tiff_rows import open_tiff

SUFFIXES = {".tif": "tiff", ".tiff": "tiff", ".png": "png", ".jpg": "jpeg", ".jpeg": "jpeg"}
"""Endings of pictures and their kinds."""
_TIFF = (b"II*\0", b"MM\0*", b"II+\0", b"MM\0+")
_PNG, _JPEG = b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff"
_PAGES = ((b"%PDF", "PDF"), (b"%!", "PostScript"), (b"\xc5\xd0\xd3\xc6", "PostScript"))


def open_picture(path: Path) -> PictureFile:
    """Open an 8- or 16-bit TIFF, PNG or JPEG in RGB, grey or CMYK. Raises PictureFileError for damaged files and all others."""
    start = first_bytes(path, 1024)
    if start.startswith(_TIFF):
        return open_tiff(path)
    if start.startswith(_PNG):
        return open_png(path)
    if start.startswith(_JPEG):
        return open_jpeg(path)
    for mark, name in _PAGES:
        if mark in start[:1024] if name == "PDF" else start.startswith(mark):
            raise PictureFileError(
                path, f"a page description ({name})", "a picture made of pixels", "Export it as TIFF at the size of the print."
            )
    raise PictureFileError(path, "a file that is no TIFF, PNG or JPEG", "one of these", FIX)


def pictures_in(pictures: Sequence[Path]) -> list[Path]:
    """Return the files that are meant: those named, and of folders all that have a picture's ending, by name."""
    found: list[Path] = []
    for path in pictures:
        if path.is_dir():
            inside = sorted(one for one in path.iterdir() if one.suffix.lower() in SUFFIXES and one.is_file())
            if not inside:
                raise InputError(f"no picture in {path}", "TIFF, PNG or JPEG files", "Name another folder.")
            found += inside
        else:
            found.append(path)
    return found
