"""Lines of a CGATS header to keyword and value: quotes, comments behind values, quotes that nothing closes."""

import re

from spectro.files.cgats_table import CgatsKeyword

STRUCTURE = frozenset(("BEGIN_DATA_FORMAT", "END_DATA_FORMAT", "BEGIN_DATA", "END_DATA", "NUMBER_OF_FIELDS", "NUMBER_OF_SETS"))
_LINE = re.compile(r"""([^\s"']+)\s*(.*)""", re.DOTALL)
_QUOTED = re.compile(r'"((?:[^"]|"")*)"\s*(?:#.*)?$', re.DOTALL)
_LOOSELY_QUOTED = re.compile(r'"(.*?)"\s*(?:#.*)?$', re.DOTALL)
_COMMENT = re.compile(r"(?:^|\s+)#.*$", re.DOTALL)


def first_word(text: str) -> str:
    """Return the first word of a line in capitals.

    >>> first_word("END_DATA\\t\\t"), first_word("  ")
    ('END_DATA', '')
    """
    parts = text.split(None, 1)
    return parts[0].upper() if parts else ""


def header_line(text: str, line: int) -> CgatsKeyword:
    """Return keyword and value of one header line, which is neither blank nor a comment.

    >>> header_line('CREATED "9/6/2014"  # Time: 08:48', 5).value
    '9/6/2014'
    >>> header_line('FILTER none # as it left the works', 7).value
    'none'
    >>> header_line('COMMENT "In "colour" no quote is closed', 1).value
    'In "colour" no quote is closed'
    """
    match = _LINE.match(text.strip())
    if match is None:  # the line begins with a quote
        return CgatsKeyword("", header_value(text), line)
    return CgatsKeyword(match.group(1), header_value(match.group(2)), line)


def header_value(text: str) -> str:
    """Return the value written behind a keyword."""
    text = text.strip()
    if text.startswith('"'):
        match = _QUOTED.fullmatch(text)
        if match:
            return match.group(1).replace('""', '"')
        match = _LOOSELY_QUOTED.fullmatch(text)
        return match.group(1) if match else text[1:]
    return _COMMENT.sub("", text)
