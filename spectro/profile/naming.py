"""The name of a profile as people see it in print dialogs, and the file name made from it."""

import re
import unicodedata
from datetime import datetime

_LONGEST = 120


def plain_ascii(text: str) -> str:
    """Return text with accents dropped and every other character outside ASCII as a hyphen or a question mark.

    >>> plain_ascii("Büttenpapier – 310 g/m²")
    'Buttenpapier - 310 g/m2'
    """
    text = re.sub("[‐‑‒–—−]", "-", text)
    decomposed = unicodedata.normalize("NFKD", text)
    kept = "".join(character for character in decomposed if not unicodedata.combining(character))
    return "".join(character if " " <= character <= "~" else "?" for character in kept)


def profile_name(parts: tuple[str, ...], fallback: str, date: datetime, *, ascii_only: bool) -> str:
    """Return "printer – paper – settings – date", the parts that are known, else fallback in their place.

    ascii_only: for version 2, with a hyphen for the dash and without accents.
    """
    known = [" ".join(part.split()) for part in parts if part.strip()] or [" ".join(fallback.split()) or "printer profile"]
    separator = " - " if ascii_only else " – "
    day = f"{date:%Y-%m-%d}"
    text = separator.join(known)[: _LONGEST - len(separator) - len(day)].rstrip(" -–") + separator + day
    return plain_ascii(text) if ascii_only else text


def file_name(name: str) -> str:
    """Return a file name for a profile of that name, safe on every common file system.

    >>> file_name("Matte paper, 720 dpi – 2026-01-02")
    'matte-paper-720-dpi-2026-01-02.icc'
    """
    return re.sub("[^a-z0-9]+", "-", plain_ascii(name).lower()).strip("-") + ".icc"
