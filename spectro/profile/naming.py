"""The name of a profile as people see it in print dialogs, and the file name made from it."""

import re
from datetime import UTC, datetime

from spectro.records.profile_settings import NO_DATE
from spectro.standards.scripts import plain_ascii

LONGEST_ASCII = 120
"""Letters of a name where only ASCII fits; its full text has room for more."""
_LONGEST = 500
_LONGEST_FILE = 100
UNDATED = "undated"
"""What stands in a name in place of a date that nothing tells."""


def profile_name(
    parts: tuple[str, ...], fallback: str, date: datetime, *, ascii_only: bool, separator: str | None = None
) -> str:
    """Return "printer – paper – settings – date", the parts that are known, else fallback in their place.

    ascii_only: as far as it fits into ASCII, with a hyphen for the dash and without accents. separator: between the parts;
    None: a hyphen or a dash with blanks, as fits. A date that is not known is said to be.

    >>> profile_name(("P", "写真"), "", NO_DATE, ascii_only=False), profile_name(("P", "写真"), "", NO_DATE, ascii_only=True)
    ('P – 写真 – undated', 'P - [CJK] - undated')
    """
    known = [" ".join(part.split()) for part in parts if part.strip()] or [" ".join(fallback.split()) or "printer profile"]
    between = separator or (" - " if ascii_only else " – ")
    moment = date if date.tzinfo else date.replace(tzinfo=UTC)
    day = UNDATED if moment == NO_DATE else f"{date:%Y-%m-%d}"
    joined = between.join(known)
    joined, most = (plain_ascii(joined), LONGEST_ASCII) if ascii_only else (joined, _LONGEST)
    return joined[: most - len(between) - len(day)].rstrip(" -–") + between + day


def ascii_name(name: str) -> str:
    """Return a profile's name as far as ASCII holds it: 120 letters at most, its date at the end kept."""
    plain = plain_ascii(name)
    if len(plain) <= LONGEST_ASCII:
        return plain
    end = plain[plain.rfind(" - ") :] if " - " in plain[-20:] else ""
    return plain[: LONGEST_ASCII - len(end)].rstrip(" -") + end


def file_name(name: str) -> str:
    """Return a file name for a profile of that name, safe and short enough on every common file system.

    >>> file_name("Matte paper, 720 dpi – 2026-01-02"), file_name("写真")
    ('matte-paper-720-dpi-2026-01-02.icc', 'cjk.icc')
    """
    stem = re.sub("[^a-z0-9]+", "-", plain_ascii(name).lower()).strip("-")
    if len(stem) > _LONGEST_FILE:
        end = re.search(r"-(\d{4}-\d{2}-\d{2}|undated)$", stem)
        tail = end[0] if end else ""
        stem = stem[: _LONGEST_FILE - len(tail)].rstrip("-") + tail
    return (stem or "profile") + ".icc"
