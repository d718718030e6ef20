"""An open picture: its pixels in bands of rows as they are stored, and all that it says of itself."""

import threading
from abc import ABC, abstractmethod
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from spectro.errors import PictureFileError
from spectro.files.tiff_directory import Directory
from spectro.records.arrays import AnyArray

LARGEST_PIXELS = 1_000_000_000
LARGEST_DECODED = 1_300_000_000  # bytes of a picture that must be decoded whole
FIX = "Open it and save it again as 8- or 16-bit TIFF, PNG or JPEG, in RGB, grey or CMYK."
SPACES = {"grey": 1, "rgb": 3, "cmyk": 4, "lab": 3}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PictureFile:
    """An open picture. Nothing of it has been decoded yet, or all of it where its kind allows nothing else."""

    path: Path
    kind: str  # "TIFF", "PNG" or "JPEG"
    width: int
    height: int
    bits: int  # a channel, 8 or 16
    space: str  # "grey", "rgb", "cmyk", or "lab": CIELAB in 16 bits as [ICC.1-2022] has it, whatever the file holds
    alpha: bool  # a further channel says how much of each pixel is there
    tags: Directory  # all it says of itself, as tags of a TIFF
    profile: bytes  # embedded ICC profile; empty: none
    rows_together: int  # bands begin at multiples of this where nothing is to be decoded twice
    read: Callable[[int, int], AnyArray]  # rows from, to → (rows, width, channels), uint8 or uint16,
    # which hold until the same thread reads again
    compression: int = 1  # of a TIFF, its number
    notes: tuple[str, ...] = ()  # what was left out of it
    chunks: tuple[tuple[bytes, bytes], ...] = ()  # further texts of a PNG, as they stand there

    @property
    def channels(self) -> int:
        """Number of colour channels."""
        return SPACES[self.space]


class WholePicture(ABC):
    """The pixels of a picture, decoded whole when they are first asked for."""

    def __init__(self, path: Path, shape: tuple[int, int, int]) -> None:
        self.path, self.shape = path, shape
        self._pixels: AnyArray | None = None
        self._lock = threading.Lock()

    def read(self, start: int, stop: int) -> AnyArray:
        """Return rows start to stop."""
        with self._lock:
            if self._pixels is None:
                self._pixels = self.decoded()
        return self._pixels[start:stop]

    @abstractmethod
    def decoded(self) -> AnyArray:
        """Return the pixels, `shape`; asked once. Raises PictureFileError for a damaged file."""


def first_bytes(path: Path, count: int) -> bytes:
    """Return the first bytes of a picture's file, which tell its kind. Raises PictureFileError where it cannot be read."""
    try:
        if not path.is_file():
            found = "no such file" if not path.exists() else "a folder or device"
            raise PictureFileError(path, found, "a TIFF, PNG or JPEG picture", "Check the name.")
        with path.open("rb") as file:
            return file.read(count)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "an impossible file name"
        raise PictureFileError(path, reason, "a readable picture", "Check the name.") from error


def check_size(path: Path, width: int, height: int, sample_bytes: int) -> None:
    """Raise PictureFileError where a picture that is decoded whole would not fit. sample_bytes: of a pixel, all channels."""
    if width < 1 or height < 1:
        raise PictureFileError(path, f"{width} × {height} pixels", "a picture with pixels", "Get or save it again.")
    if width * height * sample_bytes > LARGEST_DECODED:
        most = LARGEST_DECODED // sample_bytes // 1_000_000
        raise PictureFileError(
            path, f"{width} × {height} pixels", f"at most {most} million in this kind of file", "Save it as TIFF."
        )


def damaged(path: Path, what: str) -> PictureFileError:
    """Return the error for a damaged file. what: a few words, such as "a cut PNG"."""
    return PictureFileError(path, what, "an undamaged picture", "Get or save it again.")
