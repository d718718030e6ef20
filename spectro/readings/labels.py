"""Labels of patches, such as A1, AA12 or 2B7: letters are the column, the number the row, a number before them the page.

Also written as B-7, B07, 7B, or R7C2, with P1 before it for the page. After Z some charts go on with AA, others with single
characters: those that follow Z in ASCII, small letters beside capitals, or digits before rows of two digits.
"""

import re
from collections.abc import Sequence

import numpy as np

from spectro.records.arrays import IntArray

_AFTER_Z = r"\[\\\]^_`{|}~"
_FORMS = (
    re.compile(rf"(?P<page>\d{{0,2}})(?P<column>[A-Za-z]{{1,2}}|[{_AFTER_Z}])[-_. ]?(?P<row>\d{{1,3}})", re.ASCII),
    re.compile(r"(?:[Pp](?P<page>\d{1,2})[-_. ]?)?[Rr](?P<row>\d{1,3})[-_. ]?[Cc](?P<number>\d{1,3})", re.ASCII),
    re.compile(r"(?P<page>)(?P<row>\d{1,3})[-_. ]?(?P<column>[A-Za-z]{1,2})", re.ASCII),
)
_DIGIT_AFTER_Z = re.compile(r"(?P<page>)(?P<column>\d)(?P<row>\d{2})", re.ASCII)
_STRIP = re.compile(rf"(\d{{0,2}}(?:[A-Za-z]{{1,2}}|[{_AFTER_Z}]))[-_. ]?\d{{1,3}}", re.ASCII)
_NOWHERE = np.zeros((0, 3), dtype=np.int64)


def label_cells(labels: Sequence[str]) -> IntArray:
    """Return page (0: not said), row and column of labels (n, 3); (0, 3) unless every one of them is a label, in one form.

    >>> label_cells(["A1", "AB12", "2c07"]).tolist()
    [[0, 1, 1], [0, 12, 28], [2, 7, 3]]
    >>> label_cells(["Z01", "[01", "a01"]).tolist(), label_cells(["Z01", "201"]).tolist()
    ([[0, 1, 26], [0, 1, 27], [0, 1, 33]], [[0, 1, 26], [0, 1, 27]])
    """
    for form in _FORMS:
        found = [form.fullmatch(label) for label in labels]
        if form is _FORMS[0] and not all(found) and any(label.startswith("Z") for label in labels):
            found = [match or _DIGIT_AFTER_Z.fullmatch(label) for match, label in zip(found, labels, strict=True)]
        known = [match for match in found if match is not None]
        if known and len(known) == len(labels):
            return _cells([match.groupdict() for match in known])
    return _NOWHERE


def label_positions(labels: Sequence[str]) -> IntArray:
    """Return page, row, column of labels such as A1, AA12 or 2B7 (page 2), page 1 where none is said.

    Returns (n, 3), or (0, 3) unless every label is of this form, none comes twice, and they form more than one strip.

    >>> label_positions(["A1", "A2", "B1"]).tolist()
    [[1, 1, 1], [1, 2, 1], [1, 1, 2]]
    >>> label_positions(["A1", "red"]).shape
    (0, 3)
    """
    cells = label_cells(labels)
    if not len(cells):
        return _NOWHERE
    cells[:, 0] = np.maximum(cells[:, 0], 1)
    distinct = len(np.unique(cells, axis=0)) == len(cells) and len(np.unique(cells[:, [0, 2]], axis=0)) > 1
    return cells if len(cells) > 1 and distinct and (cells > 0).all() else _NOWHERE


def strip_label(label: str) -> str:
    """Return the strip that a label names, in capitals unless it stands after Z; "" where it is none.

    >>> strip_label("b7"), strip_label("2AA12"), strip_label("red")
    ('B', '2AA', '')
    """
    match = _STRIP.fullmatch(label)
    return match.group(1).upper() if match else ""


def column_number(letters: str) -> int:
    """Return the number of letters as spreadsheets letter their columns: A is 1, Z 26, AA 27.

    >>> column_number("b"), column_number("AB")
    (2, 28)
    """
    number = 0
    for letter in letters.upper():
        number = number * 26 + ord(letter) - ord("A") + 1
    return number


def _cells(labels: Sequence[dict[str, str | None]]) -> IntArray:
    columns = {label["column"] or "" for label in labels if label.get("column")}
    number = {column: column_number(column) for column in columns if column.isalpha()}
    single = {column for column in columns if len(column) == 1}
    if any(not column.isalnum() for column in columns):  # in the order of ASCII: A … Z [ \ ] ^ _ ` a …
        number |= {column: ord(column) - ord("A") + 1 for column in single}
    elif any(column.islower() and column.upper() in columns for column in single):
        number |= {column: 26 + number[column] for column in single if column.islower()}
    digits = sorted(column for column in columns if column.isdecimal())
    number |= {digit: 27 + int(digit) - int(digits[0]) for digit in digits}
    return np.array(
        [
            (int(label["page"] or 0), int(label["row"] or 0), int(label.get("number") or 0) or number[label["column"] or ""])
            for label in labels
        ],
        dtype=np.int64,
    )
