"""Text that comes from outside, made fit to be shown: nothing in it moves a terminal's cursor, hides or turns words around.

Names of files may hold any byte but a slash and zero, texts of files any letter. What a terminal would obey and not print
is written as an escape: control characters beside tabs and line ends, marks that turn the direction of
writing (Unicode's bidirectional formatting characters), and bytes of names that are no UTF-8.
"""

import re
from pathlib import Path

_UNSAFE = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u200e\u200f\u202a-\u202e\u2066-\u2069\ud800-\udfff]")
_NEGATIVE = re.compile(r"(?<![^\s(\[])-(?=\.?\d+(?:\.\d+)?(?![\w-]))")
_UNSAFE_ON_ONE_LINE = re.compile(rf"[\n\t\u2028\u2029]|{_UNSAFE.pattern}")


def shown_text(text: str) -> str:
    r"""Return text with escapes for what must not reach a terminal; line ends and tabs stay.

    >>> shown_text("one\ttwo\nthree"), shown_text("\x1b[2Jgone"), shown_text("caf\udce9.txt")
    ('one\ttwo\nthree', '\\x1b[2Jgone', 'caf\\xe9.txt')
    """
    return _UNSAFE.sub(_escape, text)


def shown_name(path: Path | str) -> str:
    r"""Return the name of a file as one line of text that every form of output can hold.

    >>> shown_name("folder/caf\udce9\n.txt"), shown_name("chart.txt")
    ('caf\\xe9\\x0a.txt', 'chart.txt')
    """
    return _UNSAFE_ON_ONE_LINE.sub(_escape, Path(path).name)


def short_name(name: str, most: int = 60) -> str:
    """Return a name of at most so many letters: of a longer one its beginning and its end.

    >>> short_name("Rag 310"), short_name("a name that is longer than anyone wants", 20)
    ('Rag 310', 'a name tha…ne wants')
    """
    if len(name) <= most:
        return name
    return f"{name[: most // 2].rstrip()}…{name[-(most // 2 - 2) :].lstrip()}"


def shown_json(text: str) -> str:
    r"""Return JSON text with JSON's own escapes for what must not reach a terminal: its meaning stays.

    >>> shown_json('{"name": "\x9b2J"}')
    '{"name": "\\u009b2J"}'
    """
    return _UNSAFE.sub(lambda match: f"\\u{ord(match.group()):04x}", text)


def true_minus(text: str) -> str:
    """Return text whose negative numbers have the sign that sentences and tables have; names, dates and options stay.

    >>> true_minus("Lab 96.1 1.8 -7.5 (-0.1), page-01.tif, 2026-01-31, a -5x, 95,-1")
    'Lab 96.1 1.8 −7.5 (−0.1), page-01.tif, 2026-01-31, a -5x, 95,-1'
    """
    return _NEGATIVE.sub("−", text)


def text_bytes(text: str) -> bytes:
    """Return the bytes of a text file, UTF-8. Bytes of file names that are no UTF-8 are written as escapes."""
    try:
        return text.encode("utf-8")
    except UnicodeEncodeError:
        return shown_text(text).encode("utf-8")


def _escape(match: re.Match[str]) -> str:
    code = ord(match.group())
    if 0xDC80 <= code <= 0xDCFF:  # how Python holds a byte of a name that is no UTF-8
        return f"\\x{code - 0xDC00:02x}"
    return f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}"
