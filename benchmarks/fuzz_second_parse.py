"""A second, independently written parse of readings, for the fuzzing campaign: it shares no line with the package.

It walks bytes and characters by itself and uses no table, regular expression or rule of the first one. It knows only what
the seeds need. Returns the tables of a file, each (device, spectra, wavelengths) as lists of floats; None: not understood.
"""

import struct
import xml.sax
import zipfile
import zlib

from fuzz_second_xml import exchange, spreadsheet

DIGITS = set("0123456789")
Table = tuple[list[list[float]], list[list[float]], list[float]]


def second_parse(data: bytes) -> list[Table] | None:
    try:
        return _parse(data)
    except (ValueError, IndexError, KeyError, struct.error, zlib.error, zipfile.BadZipFile, EOFError, OverflowError):
        return None
    except (NotImplementedError, RuntimeError, xml.sax.SAXException):
        return None


def _parse(data: bytes):
    if data[:2] == b"PK":
        return spreadsheet(data, _table)
    if data[36:40] == b"acsp":
        return _profile(data)
    text = _text(data)
    if text.lstrip().startswith("<"):
        return exchange(data, _float)
    lines = _lines(text)
    if any(line.upper().split()[:1] == ["BEGIN_DATA"] for line in lines):
        return _cgats(lines)
    return _delimited(lines)


def _text(data: bytes) -> str:
    if data[:2] == b"\xff\xfe":
        return data[2:].decode("utf-16-le")
    if data[:2] == b"\xfe\xff":
        return data[2:].decode("utf-16-be")
    if data[:3] == b"\xef\xbb\xbf":
        data = data[3:]
    if len(data) > 8 and not any(data[1:16:2]):
        return data.decode("utf-16-le")
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        return data.decode("latin-1")


def _lines(text: str) -> list[str]:
    lines, line = [], ""
    for at, character in enumerate(text):
        if character == "\n" or (character == "\r" and text[at + 1 : at + 2] not in ("\n", "\r")):
            lines.append(line)
            line = ""
        elif character == "\r":
            if text[at + 1 : at + 2] == "\r" and text[at + 2 : at + 3] != "\n" and text[at - 1 : at] != "\r":
                lines.append(line)
                line = ""
        else:
            line += character
    return [*lines, line]


def _float(cell: str, comma: bool) -> float:
    cell = cell.strip()
    if comma:
        if "." in cell:
            raise ValueError
        cell = cell.replace(",", ".", 1)
    if not cell or any(character not in "0123456789.eE+-" for character in cell):
        raise ValueError(cell)
    value = float(cell)
    if value != value or value in (float("inf"), float("-inf")):
        raise ValueError(cell)
    return value


def _table(names: list[str], rows: list[list[str]]) -> Table:
    device, bands = {}, {}
    pairs = []
    for at, name in enumerate(names):
        name = name.strip().lower().replace("_", "")
        if name in ("rgbr", "red", "rgbg", "green", "rgbb", "blue"):
            device["rgb".index(name[3] if name.startswith("rgb") else name[0])] = at
        elif name in ("cmykc", "cmykm", "cmyky", "cmykk"):
            device["cmyk".index(name[4])] = at
        elif name == "spectralnm":
            pairs.append(at)
        else:
            number = "".join(character for character in name if character in DIGITS)
            letters = "".join(character for character in name if character not in DIGITS)
            if (
                letters.strip() in ("spectralnm", "spectral", "spectralpct", "nm", "")
                and len(number) in (3, 4)
                and 300 <= float(number) < 1200
            ):
                bands[float(number)] = at
    used = [*device.values(), *bands.values(), *(at + 1 for at in pairs), *pairs]
    cells = [row[at] for row in rows for at in used]
    comma = any("," in cell for cell in cells) and not any("." in cell for cell in cells)
    if pairs:
        bands = {_float(rows[0][at], comma): at + 1 for at in pairs}
        for row in rows:
            if [_float(row[at], comma) for at in pairs] != list(bands):
                raise ValueError("wavelengths that change")
    nm = sorted(bands)
    order = sorted(device)
    return (
        [[_float(row[device[k]], comma) for k in order] for row in rows],
        [[_float(row[bands[w]], comma) for w in nm] for row in rows],
        nm,
    )


def _cut(line: str, separator: str | None) -> list[str]:
    """Cut a line at a separator, or at blanks and tabs; a cell may stand in quotes."""
    cells, cell, quoted, begun = [], "", False, False
    at = 0
    while at < len(line):
        character = line[at]
        if quoted:
            if character == '"' and line[at + 1 : at + 2] == '"':
                cell += '"'
                at += 1
            elif character == '"':
                quoted = False
            else:
                cell += character
        elif character == '"' and not cell.strip():
            quoted, begun, cell = True, True, ""
        elif (separator and character == separator) or (not separator and character.isspace()):
            if separator or begun or cell:
                cells.append(cell)
            cell, begun = "", False
        else:
            cell += character
            begun = True
        at += 1
    if quoted:
        raise ValueError("open quote")
    if separator or begun or cell:
        cells.append(cell)
    return cells


def _cgats(lines: list[str]) -> list[Table]:
    tables: list[Table] = []
    names: list[str] = []
    wide: list[str] = []
    stated = ""
    at = 0
    while at < len(lines):
        word = (lines[at].split() or [""])[0].upper()
        if word == "BEGIN_DATA_FORMAT":
            names, wide = [], []
            at += 1
            while (lines[at].split() or [""])[0].upper() != "END_DATA_FORMAT":
                if not lines[at].lstrip().startswith("#"):
                    even = lines[at].count('"') % 2 == 0
                    names += _cut(lines[at] if even else lines[at].replace('"', ""), None)
                    wide += [name.strip() for name in lines[at].split("\t") if name.strip()]
                at += 1
        elif word == "NUMBER_OF_FIELDS":
            stated = lines[at].split()[1].strip('"')
        elif word == "BEGIN_DATA":
            rows = []
            if len(wide) != len(names) and stated == str(len(wide)):
                names = wide
            at += 1
            while (lines[at].split() or [""])[0].upper() != "END_DATA":
                if lines[at].strip() and not lines[at].lstrip().startswith("#"):
                    rows.append(_row(lines[at], len(names)))
                at += 1
            tables.append(_table(names, rows))
        at += 1
    return tables


def _row(line: str, width: int) -> list[str]:
    for cells in (_cut(line, "\t"), _cut(line, None), [cell for cell in _cut(line, "\t") if cell.strip()]):
        while len(cells) > width and not cells[-1].strip():
            cells = cells[:-1]
        if len(cells) == width:
            return cells
    raise ValueError("cells")


def _delimited(lines: list[str]) -> list[Table]:
    lines = [line for line in lines if line.strip()]
    for separator in ";\t,|":
        rows = [_cut(line, separator) for line in lines]
        for k, row in enumerate(rows):
            known = {cell.strip().lower().replace("_", "") for cell in row}
            if {"red", "green", "blue"} <= known or {"rgbr", "rgbg", "rgbb"} <= known:
                names = row
                while names and not names[-1].strip():
                    names = names[:-1]
                below = []
                for cells in rows[k + 1 :]:
                    if not any(cell.strip() for cell in cells):
                        continue
                    while len(cells) > len(names) and not cells[-1].strip():
                        cells = cells[:-1]
                    if len(cells) != len(names):
                        raise ValueError("cells")
                    below.append(cells)
                return [_table(names, below)]
    raise ValueError("no names")


def _profile(data: bytes) -> list[Table]:
    count = struct.unpack(">I", data[128:132])[0]
    for k in range(count):
        signature, start, size = struct.unpack(">4sII", data[132 + 12 * k : 144 + 12 * k])
        body = data[start : start + size]
        if signature == b"targ":
            return _cgats(_lines(body[8:].split(b"\0")[0].decode("latin-1")))
        if signature == b"CxF ":
            return exchange(zlib.decompress(body[12:]) if body[:4] == b"ZXML" else body[8:].split(b"\0")[0], _float)
    raise ValueError("no data")
