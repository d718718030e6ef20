"""What tells an address in storage from the name of a file."""

import re

_ADDRESS = re.compile(r"[A-Za-z][A-Za-z0-9+.-]+(::|://)")  # two letters at least: C:\ is a drive


def is_address(text: object) -> bool:
    """Return whether a text is an address rather than the name of a file.

    >>> is_address("s3://prints/march.txt"), is_address("C://prints"), is_address("prints/march.txt")
    (True, False, False)
    """
    return isinstance(text, str) and _ADDRESS.match(text) is not None
