"""CGATS.17 / ISO 28178 text, written: tabs, LF, UTF-8 without a mark, counts as they are, no clock."""

import re
from pathlib import Path

from spectro.errors import InputError, OutputExistsError, OutputFileError
from spectro.files.cgats_header import STRUCTURE
from spectro.files.cgats_table import CgatsTable

_NUMBER = re.compile(r"-?[0-9]+(\.[0-9]+)?(e[-+]?[0-9]+)?", re.ASCII).fullmatch


def pack_cgats(table: CgatsTable) -> str:
    """Return the text of a table. parse_cgats gives back signature, header, fields and rows.

    Raises InputError where a word holds a line break or another control character, or a name holds a blank.
    """
    lines = [_name(table.signature or "CGATS.17")]
    lines += [f"{_name(entry.keyword)}\t{_quoted(entry.value)}" for entry in table.header]
    lines += [f"NUMBER_OF_FIELDS\t{len(table.fields)}", "BEGIN_DATA_FORMAT"]
    lines += ["\t".join(_name(name) for name in table.fields), "END_DATA_FORMAT"]
    lines += [f"NUMBER_OF_SETS\t{len(table.rows)}", "BEGIN_DATA"]
    lines += ["\t".join(map(_cell, row)) for row in table.rows]
    lines += ["END_DATA", ""]
    return "\n".join(lines)


def write_cgats(table: CgatsTable, path: Path, *, replace: bool = False) -> None:
    """Write a table to path. Raises OutputExistsError for a file that is there already, unless replace is true."""
    data = pack_cgats(table).encode("utf-8")
    try:
        with path.open("wb" if replace else "xb") as stream:
            stream.write(data)
    except FileExistsError as error:
        raise OutputExistsError(path) from error
    except OSError as error:
        raise OutputFileError(path, error.strerror or "a write error") from error


def _checked(text: str) -> str:
    if any((character < " " and character != "\t") or "\ud800" <= character <= "\udfff" for character in text):
        raise InputError(f"a control character in {text!r}", "words on one line", "Take it out.")
    return text


def _quoted(text: str) -> str:
    return '"' + _checked(text).replace('"', '""') + '"'


def _name(text: str) -> str:
    if not text or '"' in text or "'" in text or text.startswith("#") or _checked(text).split() != [text]:
        raise InputError(f"the name {text!r}", "one word without blanks and quotes", "Rename it.")
    return text


def _cell(text: str) -> str:
    if _NUMBER(text):  # fast way for most cells
        return text
    plain = text and '"' not in text and not text.startswith("#") and text.split() == [text]
    return _checked(text) if plain and text.upper() not in STRUCTURE else _quoted(text)
