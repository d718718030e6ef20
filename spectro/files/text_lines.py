"""Bytes of a text file to lines, whatever its encoding and line ends. Files that are no text are refused.

Encodings: UTF-8 with or without a byte order mark, UTF-16 with a mark or recognised by its zero bytes, else Latin-1.
Line ends: LF, CR, CR LF, CR CR LF, also mixed; each of them ends one line.
"""

import codecs
import re
from dataclasses import dataclass
from pathlib import Path

from spectro.errors import MeasurementFileError

MAX_BYTES = 256 * 1024 * 1024
_LINE_END = re.compile(r"\r{0,2}\n|\r")
_CONTROL = re.compile(r"[\x00-\x08\x0e-\x1f]")
_END_OF_FILE_MARK = "\x1a"  # closes text files of very old systems


@dataclass(frozen=True, slots=True, kw_only=True)
class TextLines:
    """Lines of one file without their line ends; the encoding they were found in."""

    lines: tuple[str, ...]
    encoding: str
    ended: bool = True  # the last line has a line end


def is_there(path: Path) -> bool:
    """Whether a file or folder of that name is there; texts that no name can be, such as very long ones, are none.

    >>> is_there(Path("x" * 500))
    False
    """
    try:
        return path.exists()
    except (OSError, ValueError):
        return False


def read_bytes(path: Path, *, max_bytes: int = MAX_BYTES) -> bytes:
    """Return the bytes of a regular file of at most max_bytes, else raise MeasurementFileError."""
    try:
        if path.is_dir():
            raise MeasurementFileError(path, 0, "a folder", "a file of readings", "Name the files in it one by one.")
        if not path.exists():
            raise MeasurementFileError(path, 0, "no such file", "a file of readings", "Check the name and the folder.")
        if not path.is_file():
            raise MeasurementFileError(path, 0, "a device or pipe", "a file of readings", "Save it to a file first.")
        size = path.stat().st_size
        if size > max_bytes:
            raise MeasurementFileError(
                path,
                0,
                f"{size} bytes",
                f"at most {max_bytes} bytes",
                "A chart's readings are far smaller: check that this is the right file.",
            )
        return path.read_bytes()
    except OSError as error:
        raise MeasurementFileError(
            path, 0, error.strerror or "a read error", "a file that can be read", "Check its permissions and the disk."
        ) from error
    except ValueError as error:  # a zero byte in the name
        raise MeasurementFileError(path, 0, "an impossible file name", "a file of readings", "Check it.") from error


def text_lines(data: bytes, path: Path | str) -> TextLines:
    """Return the lines of a text file's bytes. Raises MeasurementFileError for an empty file and for no text."""
    if not data:
        raise MeasurementFileError(path, 0, "an empty file", "readings or a chart table", "Export the file again.")
    text, encoding = _decode(data, path)
    text = text.rstrip(_END_OF_FILE_MARK)
    wrong = _CONTROL.search(text)
    if wrong:
        line = len(_LINE_END.findall(text, 0, wrong.start())) + 1
        raise MeasurementFileError(
            path,
            line,
            f"the control character {ord(wrong.group()):#04x}",
            "text",
            "This is no text file, or it is damaged: export the readings as CGATS text (ISO 28178).",
        )
    lines = _LINE_END.split(text) if "\r" in text else text.split("\n")
    ended = not lines[-1]
    if ended:
        lines.pop()  # what stands behind the last line end is no line
    if not any(line.strip() for line in lines):
        raise MeasurementFileError(path, 0, "blank lines only", "readings or a chart table", "Export the file again.")
    return TextLines(lines=tuple(lines), encoding=encoding, ended=ended)


def _decode(data: bytes, path: Path | str) -> tuple[str, str]:
    if data.startswith((codecs.BOM_UTF32_LE, codecs.BOM_UTF32_BE)):
        raise MeasurementFileError(path, 1, "UTF-32 text", "UTF-8, UTF-16 or Latin-1", "Save the file as UTF-8.")
    wide = wide_encoding(data)
    if wide:
        mark = 2 if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)) else 0
        try:
            return data[mark:].decode(wide), wide
        except UnicodeDecodeError as error:
            raise MeasurementFileError(
                path, 0, f"damaged UTF-16 text after byte {error.start + mark}", "text", "Export the file again."
            ) from error
    try:
        if data.startswith(codecs.BOM_UTF8):
            return data[len(codecs.BOM_UTF8) :].decode("utf-8"), "utf-8-sig"
        return data.decode("utf-8"), "utf-8"
    except UnicodeDecodeError:
        return data.decode("latin-1"), "latin-1"


def wide_encoding(data: bytes) -> str | None:
    """Return the form of UTF-16 of a file's bytes: by its mark, else where every second byte of the beginning is zero."""
    if data.startswith(codecs.BOM_UTF16_LE):
        return "utf-16-le"
    if data.startswith(codecs.BOM_UTF16_BE):
        return "utf-16-be"
    start = data[: min(len(data), 64) // 2 * 2]
    if len(start) >= 8:
        if not any(start[1::2]) and all(start[0::2]):
            return "utf-16-le"
        if not any(start[0::2]) and all(start[1::2]):
            return "utf-16-be"
    return None
