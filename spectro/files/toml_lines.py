"""Where keys stand in a TOML text, for messages; the parser of the standard library does not tell."""

import re


def line_of_key(text: str, key: str) -> int:
    """Return the line, from 1, where a key or a table of that name first stands; 1 where it cannot be found.

    >>> line_of_key('a = 1\\n[limits.mean]\\nvalue = 2', "mean")
    2
    """
    named = re.compile(rf"\s*\[*\s*(?:[\w\"'-]+\s*\.\s*)*[\"']?{re.escape(key)}[\"']?\s*[=.\]]")
    return next((number for number, line in enumerate(text.splitlines(), 1) if named.match(line)), 1)


def line_in_table(text: str, table: str, key: str) -> int:
    """Return the line of a key below the header of a table, or of the table where the key stands inline or elsewhere.

    >>> line_in_table('[limits.mean]\\nvalue = 2\\n[limits.max]\\nvalue = 3', "max", "value")
    4
    """
    start = line_of_key(text, table)
    lines = text.splitlines()
    for number in range(start, len(lines)):
        if lines[number].lstrip().startswith("["):
            break
        if re.match(rf"\s*[\"']?{re.escape(key)}[\"']?\s*=", lines[number]):
            return number + 1
    return start


def toml_error(message: str, text: str) -> tuple[int, str]:
    """Return line and words of an error of the standard library's parser.

    >>> toml_error("Invalid value (at line 3, column 5)", "")
    (3, 'no TOML: Invalid value')
    """
    at = _AT_LINE.search(message)
    line = int(at[1]) if at else max(1, len(text.splitlines()))
    return line, f"no TOML: {_AT_LINE.sub('', message).strip()}"


_AT_LINE = re.compile(r"\(at line (\d+), column \d+\)")
