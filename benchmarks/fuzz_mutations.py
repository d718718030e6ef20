"""What is done to a file before it is read: bytes, lines, cells, numbers, words. Everything from one random source."""

import random
import re
import struct
import zlib

from fuzz_corpus import profile, zipped

NUMBERS = (
    "", "0", "-0", "1", "255", "256", "100", "0.5", "0,5", ".5", "5.", "1e3", "1e400", "nan", "inf", "-inf", "0x10", "1_000",
    "--1", "1 2", "٣", "1e-5", "99999999999999999999", "0.1234567890123456789", "1.2.3", "+0.5", "2.5", "-0.2", "M1",
)  # fmt: skip
WORDS = (
    b"BEGIN_DATA", b"END_DATA", b"BEGIN_DATA_FORMAT", b"END_DATA_FORMAT", b"NUMBER_OF_SETS 5", b"NUMBER_OF_FIELDS 3",
    b"SAMPLE_ID", b"RGB_R", b"SPECTRAL_NM400", b"#", b'"', b"<!DOCTYPE a [<!ENTITY b 'c'>]>", b"&b;", b"<!--", b"-->",
    b"<![CDATA[", b"]]>", b"<Object>", b"\xff\xfe", b"\xef\xbb\xbf", b"\0", b"\x1a", b"\r", b"\n", b"\r\r\n", b"\t", b";",
    b",", b"../", b"M2",
)  # fmt: skip


def mutated(name: str, data: bytes, parts: dict[str, bytes], source: random.Random) -> bytes:
    """Return a mutated copy of a seed. parts: of the spreadsheet seed, to be mutated before they are packed."""
    for _ in range(source.choice((1, 1, 1, 2, 3, 6))):
        if name == "xlsx" and source.random() < 0.7:
            part = source.choice([key for key in parts if key.endswith(".xml")] + ["xl/worksheets/sheet1.xml"] * 4)
            parts = {**parts, part: _once(parts[part], source)}
            data = zipped(parts)
        elif name == "profile cxf" and source.random() < 0.7:
            at = data.find(b"ZXML")
            try:
                text = zlib.decompress(data[at + 12 :])
            except zlib.error:
                return data
            data = profile({b"CxF ": data[at : at + 12] + zlib.compress(_once(text, source))})
        else:
            data = _once(data, source)
    return data


def _once(data: bytes, source: random.Random) -> bytes:
    return source.choice(_WAYS)(data, source)


def _place(data: bytes, source: random.Random) -> int:
    return source.randrange(len(data)) if data else 0


def _flip(data, source):
    at = _place(data, source)
    return data[:at] + bytes([data[at] ^ (1 << source.randrange(8))]) + data[at + 1 :] if data else data


def _replace_byte(data, source):
    at = _place(data, source)
    return data[:at] + bytes([source.randrange(256)]) + data[at + 1 :]


def _digit(data, source):
    places = [match.start() for match in re.finditer(rb"[0-9.,]", data)]
    if not places:
        return data
    at = source.choice(places)
    return data[:at] + source.choice([b"0", b"1", b"9", b".", b",", b"-", b"e", b" ", b"", b"\t"]) + data[at + 1 :]


def _delete(data, source):
    at = _place(data, source)
    return data[:at] + data[at + source.choice((1, 1, 2, 5, 20, 100)) :]


def _insert(data, source):
    at = _place(data, source)
    return data[:at] + source.choice((*WORDS, bytes([source.randrange(256)]))) + data[at:]


def _double(data, source):
    at = _place(data, source)
    end = at + source.choice((1, 3, 10, 50, 300))
    return data[:end] + data[at:end] + data[end:]


def _cut(data, source):
    return data[: _place(data, source)]


def _swap(data, source):
    first, second = sorted((_place(data, source), _place(data, source)))
    size = source.choice((1, 4, 20))
    return (
        data[:first]
        + data[second : second + size]
        + data[first + size : second]
        + data[first : first + size]
        + data[second + size :]
    )


def _rearranged(parts, source):
    """Take one part out, double it or exchange it with another; or return the place where something else is to be done."""
    at = source.randrange(len(parts))
    way = source.randrange(4)
    if way == 0:
        del parts[at]
    elif way == 1:
        parts.insert(at, parts[at])
    elif way == 2:
        other = source.randrange(len(parts))
        parts[at], parts[other] = parts[other], parts[at]
    return at if way == 3 else None


def _lines(data, source):
    lines = data.split(b"\n")
    at = _rearranged(lines, source)
    if at is not None:
        lines.insert(at, b"")
    return b"\n".join(lines)


def _cells(data, source):
    lines = data.split(b"\n")
    k = source.randrange(len(lines))
    separator = source.choice((b"\t", b" ", b",", b";"))
    cells = lines[k].split(separator)
    at = _rearranged(cells, source)
    if at is not None:
        cells[at] = source.choice(NUMBERS).encode()
    lines[k] = separator.join(cells)
    return b"\n".join(lines)


def _number(data, source):
    numbers = list(re.finditer(rb"[0-9]+(?:[.,][0-9]+)?", data))
    if not numbers:
        return data
    match = source.choice(numbers)
    return data[: match.start()] + source.choice(NUMBERS).encode() + data[match.end() :]


def _length(data, source):
    """Change four bytes as an archive's or a profile's sizes are written."""
    at = _place(data, source)
    return data[:at] + struct.pack(source.choice((">I", "<I")), source.choice((0, 1, 255, 2**31, 2**32 - 1))) + data[at + 4 :]


_WAYS = (
    _flip, _replace_byte, _digit, _digit, _digit, _delete, _insert, _insert, _double, _cut, _swap, _lines, _lines, _cells,
    _cells, _number, _number, _length,
)  # fmt: skip
