"""The page code: a square that machines read and a line that people read; it ties a printed page to its chart for ever.

The text: SPECTRO and the format number, chart id, page, check sum, joined by colons. The square is a QR code of version
2, error correction Q [ISO-18004]. The check sum is the CRC-16 (polynomial 1021h) of all before it, four hexadecimal
digits: it finds every slip of one or two neighbouring letters. Blanks and small letters do not matter.
"""

import binascii
import functools
import re
from dataclasses import dataclass

from spectro.errors import InputError

CODE_FORMAT = 1
MODULE_MM = 0.6  # 3.5 pixels at 150 dpi (no source)
QUIET_MODULES = 4  # kept white around the square [ISO-18004]
MODULES = 25  # of version 2
SIZE_MM = MODULES * MODULE_MM

_TEXT = re.compile(r"SPECTRO(\d+):([0-9A-F]{8}):(\d{1,4}):([0-9A-F]{4})")


@dataclass(frozen=True, slots=True)
class PageCode:
    """What a page says of itself."""

    chart_id: str
    page: int  # from 1


def _check_sum(text: str) -> str:
    return f"{binascii.crc_hqx(text.encode('ascii'), 0xFFFF):04X}"


def page_code_text(chart_id: str, page: int) -> str:
    """Return the text of a page's code.

    >>> page_code_text("0a1b2c3d", 12)
    'SPECTRO1:0A1B2C3D:12:CC75'
    """
    text = f"SPECTRO{CODE_FORMAT}:{chart_id.upper()}:{page}"
    return f"{text}:{_check_sum(text)}"


def parse_page_code(text: str) -> PageCode:
    """Return what a page's code says. Raises InputError where it is none, of a newer format, or damaged.

    >>> parse_page_code("spectro1:0a1b2c3d:12:cc75")
    PageCode(chart_id='0a1b2c3d', page=12)
    """
    words = "".join(text.upper().split())
    match = _TEXT.fullmatch(words)
    expected = "a page code such as SPECTRO1:0A1B2C3D:1:EA86"
    if match is None:
        raise InputError(f"{text!r}", expected, "Type the line that is printed next to the square.")
    if int(match[1]) != CODE_FORMAT:
        raise InputError(f"page code format {match[1]}", f"format {CODE_FORMAT}", "Install a newer version to read it.")
    if _check_sum(words.rpartition(":")[0]) != match[4]:
        raise InputError(f"{text!r}, whose check sum does not fit", expected, "Compare it with the page letter by letter.")
    return PageCode(match[2].lower(), int(match[3]))


@functools.lru_cache(maxsize=512)
def code_runs(text: str) -> tuple[tuple[int, int, int], ...]:
    """Return the dark parts of the square of a text: row, first module, modules side by side."""
    import segno

    square = segno.make_qr(text, error="q", version=2, boost_error=False)
    runs = []
    for row, modules in enumerate(square.matrix):
        start = None
        for column, dark in enumerate([*modules, 0]):
            if dark and start is None:
                start = column
            elif not dark and start is not None:
                runs.append((row, start, column - start))
                start = None
    return tuple(runs)
