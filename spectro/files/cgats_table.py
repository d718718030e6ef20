"""One table of a CGATS.17 / ISO 28178 text file, as it stands in the file: words and cells, not yet numbers.

References: [ISO-28178] the ASCII form.
"""

from dataclasses import dataclass, field

from spectro.errors import ShapeError


@dataclass(frozen=True, slots=True)
class CgatsKeyword:
    """One line of the header."""

    keyword: str
    value: str  # without its quotes and without a comment behind it
    line: int = 0  # counted from 1; 0: not from a file


@dataclass(frozen=True, slots=True, kw_only=True)
class CgatsTable:
    """Signature, header, field names and rows of cells. The counts of the file are checked and not kept."""

    signature: str  # "" where the file has none
    header: tuple[CgatsKeyword, ...]
    fields: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    row_lines: tuple[int, ...]  # line of each row in the file, from 1; 0: not from a file
    fields_line: int = 0
    encoding: str = "utf-8"
    decimal_comma: bool = False  # numbers of this table are written 0,5
    notes: tuple[str, ...] = field(default=())  # one sentence for each oddity that was read over

    def __post_init__(self) -> None:
        """Check that each row has one cell a field and one line number."""
        if len(self.row_lines) != len(self.rows):
            raise ShapeError(f"{len(self.row_lines)} line numbers; expected {len(self.rows)}, one a row")
        width = len(self.fields)
        for row in self.rows:
            if len(row) != width:
                raise ShapeError(f"a row has {len(row)} cells; expected {width}, one a field")

    @property
    def row_fix(self) -> str:
        """What to do about a row that is wrong; files of CGATS text state how many rows they have."""
        plain = self.signature in ("CSV", "spreadsheet", "CxF3")
        return f"Measure this row again, or delete it{'' if plain else ' and correct NUMBER_OF_SETS'}."

    def values(self, *keywords: str) -> tuple[CgatsKeyword, ...]:
        """Return the header lines with one of these keywords, in file order, whatever their case."""
        wanted = {keyword.upper() for keyword in keywords}
        return tuple(entry for entry in self.header if entry.keyword.upper() in wanted)

    def column(self, *names: str) -> int | None:
        """Return the column of the first of these names that is a field; case and underscores do not count."""
        folded = [folded_name(name) for name in self.fields]
        for name in names:
            if folded_name(name) in folded:
                return folded.index(folded_name(name))
        return None

    def texts(self, column: int) -> tuple[str, ...]:
        """Return the cells of one column."""
        return tuple(row[column] for row in self.rows)


def folded_name(name: str) -> str:
    """Return a field name as names are compared: capitals, without underscores, hyphens and spaces.

    >>> folded_name("SampleID") == folded_name("SAMPLE_ID")
    True
    """
    return name.upper().replace("_", "").replace("-", "").replace(" ", "")
