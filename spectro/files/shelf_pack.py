"""Folder names and people's names taken out of files that are given away.

A path that begins at the root of a disk is cut down to its last part; what header lines say of people is taken out.
Nothing else changes. Text is told by its bytes: UTF-16 with a mark, else any form in which ASCII stands for itself.

The pack itself is a .zip: the same files give the same bytes.
"""

import codecs
import io
import re
import zipfile
from collections.abc import Sequence

_PART = r"[^/\\\n\r\t\"'<>|*?:;,&]+"
_LAST = r"[^/\\\s\"'<>|*?:;,&)\]]*"
_PATH = re.compile(
    r"(?P<kept>data:[^\s\"'<>]+|\b(?!file:)[a-z][a-z0-9+.-]*://[^\s\"'<>]*)"
    r"|(?:file:/{1,3})?(?<![A-Za-z0-9])[A-Za-z]:(?:\\+|/+)(?:" + _PART + r"(?:\\+|/))*(?P<drive>" + _LAST + ")"
    r"|(?<![\w\\.])\\\\+" + _PART + r"\\+(?:" + _PART + r"\\+)*(?P<share>" + _LAST + ")"
    r"|(?:file://[^/\s]*)?(?<![\w./+<°%)-])/(?=[^\s/\d])(?:" + _PART + r"/)+(?P<root>" + _LAST + ")"
    r"|file:/+(?:" + _PART + r"/)*(?P<url>" + _LAST + ")"
    r"|~/(?:" + _PART + r"/)*(?P<home>" + _LAST + ")",
    re.ASCII | re.IGNORECASE,
)
_PERSON = re.compile(r"[\\/](?:home|users)[\\/]+$", re.IGNORECASE)  # a folder that is named by a person follows
_PEOPLE_LINE = re.compile(
    r"^([ \t]*(?:KEYWORD[ \t]+)?\"?(?:ORIGINATOR|OPERATOR|USER|USER_NAME|AUTHOR|CREATOR|CONTACT|COMPUTER|HOST)\"?[ \t]+)"
    r"(\"[^\"\r\n]*\"|[^\r\n]+)",
    re.ASCII | re.IGNORECASE | re.MULTILINE,
)
_PEOPLE_ELEMENT = re.compile(
    r"(<(?P<tag>(?:\w+:)?(?:Creator|Author|Operator|User|lastModifiedBy|Manager|Company))\b[^<>]*>)[^<>]*(</(?P=tag)>)",
    re.ASCII | re.IGNORECASE,
)
_OWN = '"spectro"'
_PARTS = "[Content_Types].xml"
_ZIP_DATE = (1980, 1, 1, 0, 0, 0)  # the oldest a .zip can hold; no clock
_LEVEL = 9
_MODE = 0o644 << 16
_UNIX = 3


def without_private_words(data: bytes) -> tuple[bytes, bool]:
    """Return the bytes of a text file without folders and people's names, and whether anything was taken out."""
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        encoding = "utf-16-le" if data.startswith(codecs.BOM_UTF16_LE) else "utf-16-be"
        try:
            text, mark = data[2:].decode(encoding), data[:2]
        except UnicodeDecodeError:
            text, mark, encoding = data.decode("latin-1"), b"", "latin-1"
    else:
        text, mark, encoding = data.decode("latin-1"), b"", "latin-1"
    found = without_private_text(text)
    return (data, False) if found == text else (mark + found.encode(encoding), True)


def without_private_text(text: str) -> str:
    """Return text without folders and people's names.

    >>> without_private_text('from /home/ann/prints/matte one.txt and C:\\\\Users\\\\Ann\\\\x.icc')
    'from matte one.txt and x.icc'
    >>> without_private_text('ORIGINATOR\\t"Ann Other"'), without_private_text("1/2/2026, D50/2, https://color.org/a/b")
    ('ORIGINATOR\\t"withheld"', '1/2/2026, D50/2, https://color.org/a/b')
    """
    text = _PATH.sub(_last_part, text)
    text = _PEOPLE_LINE.sub(lambda match: match[0] if match[2] == _OWN else f'{match[1]}"withheld"', text)
    return _PEOPLE_ELEMENT.sub(r"\1withheld\3", text)


def _last_part(match: re.Match[str]) -> str:
    if match["kept"] is not None:
        return match[0]
    last = next((match[name] for name in ("drive", "share", "root", "url", "home") if match[name] is not None), "")
    return "(a folder)" if _PERSON.search(match[0][: len(match[0]) - len(last)]) or not last else last


def spreadsheet_without_private_words(data: bytes) -> tuple[bytes, bool]:
    """Return the bytes of an .xlsx file without folders and people's names. Raises ValueError where it is damaged."""
    packed, changed = io.BytesIO(), False
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as source, zipfile.ZipFile(packed, "w") as target:
            for name in source.namelist():
                part, cut = source.read(name), False
                if name.endswith(".xml") and name != _PARTS:  # it and .rels hold paths within the file itself
                    part, cut = without_private_words(part)
                changed = changed or cut
                target.writestr(zipfile.ZipInfo(name, _ZIP_DATE), part, zipfile.ZIP_DEFLATED, 9)
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError, EOFError) as error:
        raise ValueError(str(error)) from error
    return (packed.getvalue(), True) if changed else (data, False)


def zip_bytes(files: Sequence[tuple[str, bytes]]) -> bytes:
    """Return a .zip of files, name and content each, in the order given."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as pack:
        for name, data in files:
            info = zipfile.ZipInfo(name, _ZIP_DATE)
            info.create_system, info.external_attr = _UNIX, _MODE
            pack.writestr(info, data, zipfile.ZIP_DEFLATED, _LEVEL)
    return buffer.getvalue()
