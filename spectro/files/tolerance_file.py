"""A person's own limits: the file named with `tolerances`."""

from pathlib import Path

from spectro.errors import InputError
from spectro.files.text_lines import read_bytes
from spectro.files.toml_lines import line_in_table, line_of_key
from spectro.standards.limits import Tolerances, parse_tolerances

_MAX_BYTES = 1024 * 1024


def read_tolerances(path: Path | None) -> Tolerances:
    """Return the limits in force: the shipped ones, with those of a person's file over them where one is named.

    Raises InputError for a file that cannot be read or breaks the rules of `parse_tolerances`, with every mistake and its line.
    """
    if path is None:
        return Tolerances()
    try:
        text = read_bytes(path, max_bytes=_MAX_BYTES).decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise InputError(f"{path}: bytes that are no UTF-8 text", "a TOML file", "Save it as UTF-8.") from error

    def line_of(table: str, key: str) -> int:
        return line_in_table(text, table, key) if key else line_of_key(text, table)

    return parse_tolerances(text, str(path), line_of)
