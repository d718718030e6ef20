"""CGATS.17 / ISO 28178 text files, read.

Strict where a number could be wrong, lenient where only its dress differs. Taken: any of the encodings and line ends of
text_lines.py; tabs or blanks between cells; quoted cells; comments; decimal commas; a missing or odd signature; missing
counts; header lines behind the field names; several tables one after another. Refused, with the line: a table without
END_DATA (a file cut short); a row with more or fewer cells than fields; a cell that must be a number and is none;
NUMBER_OF_SETS that differs from the rows there, whichever way, since nothing in the file proves which of the two is
right. NUMBER_OF_FIELDS may differ from the names (noted): names and rows prove each other.

References: [ISO-28178] the ASCII form.

Written: tabs, LF, UTF-8 without a mark, counts as they are, no clock.
"""

import logging
import re
from dataclasses import dataclass, field, replace
from pathlib import Path

from spectro.errors import InputError, MeasurementFileError, OutputExistsError, OutputFileError
from spectro.files.cgats_header import STRUCTURE, first_word, header_line
from spectro.files.cgats_rows import cut_rows, quoted_open, words
from spectro.files.cgats_table import CgatsKeyword, CgatsTable, folded_name
from spectro.files.field_names import PAIR_NAMES, is_numeric_field
from spectro.files.numeric_cells import numeric_columns, uses_decimal_comma
from spectro.files.text_lines import MAX_BYTES, read_bytes, text_lines

__all__ = ["pack_cgats", "parse_cgats", "parse_cgats_tables", "read_cgats", "write_cgats"]

_LOG = logging.getLogger("spectro")
_SIGNATURE = re.compile(r"(CGATS|ISO|IT8|IS1)\S*", re.IGNORECASE)
_CUT = "The file is cut short or damaged: export it again."
_NUMBER = re.compile(r"-?[0-9]+(\.[0-9]+)?(e[-+]?[0-9]+)?", re.ASCII).fullmatch


@dataclass(slots=True)
class _Section:
    """What is known of a table while its lines are walked through."""

    header: list[CgatsKeyword] = field(default_factory=list)
    fields: tuple[str, ...] = ()
    fields_line: int = 0
    counts: dict[str, tuple[int, int]] = field(default_factory=dict)  # keyword: number, line
    notes: list[str] = field(default_factory=list)
    begun: bool = False  # field names were seen for this very table


def read_cgats(path: Path, *, max_bytes: int = MAX_BYTES) -> CgatsTable:
    """Read a file that holds one table. Raises MeasurementFileError; see the top of this module for what is taken."""
    return parse_cgats(read_bytes(path, max_bytes=max_bytes), path)


def parse_cgats(data: bytes, path: Path | str) -> CgatsTable:
    """Parse the bytes of a file that holds one table. path: for messages."""
    tables = parse_cgats_tables(data, path)
    if len(tables) > 1:
        raise MeasurementFileError(
            path, tables[1].fields_line, f"{len(tables)} tables", "one table", "Put each table into a file of its own."
        )
    return tables[0]


def parse_cgats_tables(data: bytes, path: Path | str) -> tuple[CgatsTable, ...]:
    """Parse the bytes of a file with one or more tables. path: for messages.

    A table without field names of its own has those of the table before; one that begins at its field names or its
    data, without header lines of its own, has the header of the table before.
    """
    text = text_lines(data, path)
    lines = text.lines
    signature, at = _signature(lines)
    section = _Section()
    if not signature:
        section.notes.append("no signature such as CGATS.17 in the first line")
    tables: list[CgatsTable] = []
    while at < len(lines):
        word = first_word(lines[at])
        if not word or word.startswith("#"):
            at += 1
        elif word == "BEGIN_DATA_FORMAT":
            at = _take_fields(lines, at, section, path)
        elif word == "BEGIN_DATA":
            rows, row_lines, at = _take_rows(lines, at, section, path)
            if tables and not section.header:
                section.header = list(tables[-1].header)
            table = CgatsTable(
                signature=signature,
                header=tuple(section.header),
                fields=section.fields,
                rows=rows,
                row_lines=row_lines,
                fields_line=section.fields_line,
                encoding=text.encoding,
                notes=tuple(section.notes),
            )
            tables.append(_with_numbers_checked(table, path))
            section = _Section(fields=section.fields, fields_line=section.fields_line)
        elif word in ("END_DATA", "END_DATA_FORMAT"):
            begin = word.replace("END", "BEGIN")
            raise MeasurementFileError(path, at + 1, f"{word} without {begin}", begin, _CUT)
        else:
            _take_header_line(lines[at], at + 1, section, path)
            at += 1
    if not tables:
        missing = "BEGIN_DATA" if section.fields else "BEGIN_DATA_FORMAT"
        raise MeasurementFileError(
            path, len(lines), f"the end of the file and no {missing}", "a CGATS table (ISO 28178)",
            "Export the readings as CGATS text with field names, BEGIN_DATA and END_DATA.",
        )  # fmt: skip
    if section.counts or section.begun or section.header:
        line = section.header[0].line if section.header else len(lines)
        raise MeasurementFileError(
            path, line, "lines behind END_DATA that lead to no BEGIN_DATA", "the end of the file or another table", _CUT
        )
    for table in tables:
        for note in table.notes:
            _LOG.info("%s: %s", path, note)
    return tuple(tables)


def _signature(lines: tuple[str, ...]) -> tuple[str, int]:
    """Return the signature and the index of the first line behind it; "" where the first words are no signature."""
    for at, line in enumerate(lines):
        text = line.strip()
        if not text or text.startswith("#"):
            continue
        word = first_word(text)
        if word in STRUCTURE:
            return "", at
        if _SIGNATURE.fullmatch(word) or len(text.split()) == 1:
            return text.split()[0], at + 1
        return "", at
    return "", len(lines)


def _take_header_line(text: str, line: int, section: _Section, path: Path | str) -> None:
    entry = header_line(text, line)
    keyword = entry.keyword.upper()
    if _SIGNATURE.fullmatch(keyword) and not entry.value:
        return  # files put one behind the other keep their signatures
    if keyword not in STRUCTURE:
        section.header.append(entry)
        return
    digits = entry.value.split()[0] if entry.value.split() else ""
    if not (digits.isascii() and digits.isdecimal()) or len(digits) > 9:
        raise MeasurementFileError(path, line, f"{keyword} {digits!r}", "a whole number", "Correct the count.")
    if keyword in section.counts and section.counts[keyword][0] != int(digits):
        raise MeasurementFileError(
            path, line, f"{keyword} {int(digits)} after {section.counts[keyword][0]}", "one count", "Correct the count."
        )
    section.counts[keyword] = (int(digits), line)


def _take_fields(lines: tuple[str, ...], at: int, section: _Section, path: Path | str) -> int:
    """Take the field names between BEGIN_DATA_FORMAT and END_DATA_FORMAT; return the index behind them."""
    begin = at
    by_blanks: list[str] = []
    by_tabs: list[str] = []
    for at in range(begin + 1, len(lines)):
        word = first_word(lines[at])
        if word == "END_DATA_FORMAT":
            break
        if word in STRUCTURE:
            raise MeasurementFileError(path, at + 1, word, "END_DATA_FORMAT before it", _CUT)
        if word and not word.startswith("#"):
            by_blanks += words(lines[at])
            by_tabs += [name.strip().strip('"') for name in lines[at].split("\t") if name.strip()]
    else:
        raise MeasurementFileError(path, len(lines), "the end of the file", "END_DATA_FORMAT", _CUT)
    stated = section.counts.get("NUMBER_OF_FIELDS", (0, 0))[0]
    names = by_tabs if len(by_tabs) == stated and len(by_blanks) != stated else by_blanks
    if not names:
        raise MeasurementFileError(path, begin + 1, "no field names", "field names such as SAMPLE_ID", _CUT)
    seen: set[str] = set()
    for name in names:
        if folded_name(name) in seen and folded_name(name) not in PAIR_NAMES:
            raise MeasurementFileError(
                path, begin + 2, f"the field {name} twice", "each field once", "Delete one of the two columns."
            )
        seen.add(folded_name(name))
    section.fields, section.fields_line, section.begun = tuple(names), begin + 2, True
    return at + 1


def _take_rows(
    lines: tuple[str, ...], at: int, section: _Section, path: Path | str
) -> tuple[tuple[tuple[str, ...], ...], tuple[int, ...], int]:
    """Take the rows between BEGIN_DATA and END_DATA; return rows, their lines and the index behind them."""
    begin = at
    if not section.fields:
        raise MeasurementFileError(
            path, begin + 1, "BEGIN_DATA without field names", "BEGIN_DATA_FORMAT before it",
            "Export the readings with their field names.",
        )  # fmt: skip
    block: list[tuple[int, str]] = []
    comments: list[tuple[int, str]] = []
    for at in range(begin + 1, len(lines)):
        text = lines[at]
        word = first_word(text)
        if word == "END_DATA":
            break
        if word in STRUCTURE:
            raise MeasurementFileError(path, at + 1, f"{word} among the rows", "END_DATA before it", _CUT)
        if word.startswith("#"):
            comments.append((at + 1, text))
        elif word:
            block.append((at + 1, text))
            if '"' in text and quoted_open(text):
                raise MeasurementFileError(path, at + 1, "a quote that nothing closes", "a second quote", "Add it.")
    else:
        raise MeasurementFileError(path, len(lines), f"the end of the file after {len(block)} rows", "END_DATA", _CUT)
    if not block:
        raise MeasurementFileError(path, begin + 1, "no rows", "at least one row of readings", _CUT)
    rows = cut_rows(block, len(section.fields), path)
    _check_counts(len(rows), begin + 1, section, path)
    if "NUMBER_OF_SETS" not in section.counts:
        section.notes.append("NUMBER_OF_SETS is missing")
        for number, text in comments:
            if len(text.split("\t")) == len(section.fields) > 1 or len(text.split()) == len(section.fields) > 1:
                raise MeasurementFileError(
                    path, number, "a comment that may be a row", "NUMBER_OF_SETS, which would tell",
                    "Add NUMBER_OF_SETS, or quote the cell that begins with #.",
                )  # fmt: skip
    return rows, tuple(number for number, _ in block), at + 1


def _check_counts(rows: int, line: int, section: _Section, path: Path | str) -> None:
    sets, sets_line = section.counts.get("NUMBER_OF_SETS", (rows, line))
    if sets != rows:
        raise MeasurementFileError(
            path, sets_line, f"NUMBER_OF_SETS {sets} and {rows} rows", "the same number",
            f"If all {rows} rows belong to the table, correct NUMBER_OF_SETS; else export it again.",
        )  # fmt: skip
    names, names_line = section.counts.get("NUMBER_OF_FIELDS", (len(section.fields), line))
    if names != len(section.fields):
        section.notes.append(
            f"line {names_line}: NUMBER_OF_FIELDS is {names}, but there are {len(section.fields)} names, "
            "and every row has as many cells"
        )


def _with_numbers_checked(table: CgatsTable, path: Path | str) -> CgatsTable:
    """Return the table with its decimal sign found, after every cell that must be a number was seen to be one."""
    columns = [column for column, name in enumerate(table.fields) if is_numeric_field(name)]
    cells = [row[column] for row in table.rows for column in columns]
    if uses_decimal_comma(cells):
        table = replace(table, decimal_comma=True, notes=(*table.notes, "numbers are written with a decimal comma"))
    numeric_columns(table, columns, path)
    return table


def pack_cgats(table: CgatsTable) -> str:
    """Return the text of a table. parse_cgats gives back signature, header, fields and rows.

    Raises InputError where a word holds a line break or another control character, or a name holds a blank.
    """
    lines = [_name(table.signature or "CGATS.17")]
    lines += [f"{_name(entry.keyword)}\t{_quoted(entry.value)}" for entry in table.header]
    lines += [f"NUMBER_OF_FIELDS\t{len(table.fields)}", "BEGIN_DATA_FORMAT"]
    lines += ["\t".join(_name(name) for name in table.fields), "END_DATA_FORMAT"]
    lines += [f"NUMBER_OF_SETS\t{len(table.rows)}", "BEGIN_DATA"]
    cells = _Cells()
    lines += ["\t".join(map(cells.__getitem__, row)) for row in table.rows]
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


class _Cells(dict[str, str]):
    """Cells as they are written, each text looked at once."""

    def __missing__(self, text: str) -> str:
        self[text] = packed = _cell(text)
        return packed


def _cell(text: str) -> str:
    if _NUMBER(text):  # fast way for most cells
        return text
    plain = text and '"' not in text and not text.startswith("#") and text.split() == [text]
    return _checked(text) if plain and text.upper() not in STRUCTURE else _quoted(text)
