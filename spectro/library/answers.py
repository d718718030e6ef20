"""What every public function returns: a verdict, numbers, and reports that are written only when asked for."""

from dataclasses import dataclass
from enum import Enum
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from spectro.errors import InputError
from spectro.files.atomic import write_whole
from spectro.files.overwriting import check_not_read
from spectro.records.document import Document
from spectro.records.shown_text import text_bytes
from spectro.report.render_json import render_json
from spectro.report.render_text import render_text

if TYPE_CHECKING:
    import pandas

Place = str | Path
"""A file or folder, however it is named."""
Chosen = TypeVar("Chosen", bound=Enum)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class Answer:
    """What was found, as a document. `print(answer)` shows what the command line would."""

    document: Document
    read: tuple[Path, ...] = ()  # the files it rests on, which nothing is written over

    @property
    def verdict(self) -> str:
        """The first sentence: what was found, what to do next."""
        return self.document.verdict.text

    @property
    def level(self) -> str:
        """What the verdict comes to: good, attention, fault or unknown."""
        return str(self.document.verdict.level)

    @property
    def numbers(self) -> dict[str, Any]:
        """Every number as plain values, as the command's JSON has them."""
        return render_json(self.document)

    def report(self, path: Place, *, replace: bool = False) -> Path:
        """Write the report as one HTML file or, where the name ends in .pdf, as a PDF; return its path.

        replace: whether a file of that name may be overwritten. Raises OutputExistsError where it may not, InputError
        for another ending, or for a file that was read.
        """
        out = Path(path)
        if out.suffix.lower() == ".pdf":
            from spectro.report.render_pdf import render_pdf

            data = render_pdf(self.document)
        elif out.suffix.lower() in (".html", ".htm"):
            from spectro.report.render_html import render_html

            data = text_bytes(render_html(self.document))
        else:
            raise InputError(f"the report {out.name}", "a name that ends in .html or .pdf", "Correct `path`.")
        check_not_read(out, self.read, "path")
        write_whole(out, data, replace=replace)
        return out

    def to_frame(self, table: int = 0) -> "pandas.DataFrame":
        """Return one of the report's tables as a pandas DataFrame, texts as shown. table: which, from 0."""
        found = [block for section in self.document.sections for block in _tables(section.blocks)]
        if not 0 <= table < len(found):
            expected = f"0 to {len(found) - 1}" if found else "a report with tables"
            raise InputError(f"table {table}", expected, "Correct `table`.")
        from spectro.report.render_text import said_text

        chosen = found[table]
        names = [column.name for column in chosen.columns]
        return frame({name: [said_text(row[place]) for row in chosen.rows] for place, name in enumerate(names)})

    def __str__(self) -> str:
        """Return what the command line prints."""
        return render_text(self.document)

    def __repr__(self) -> str:
        """Return the kind and the verdict in one line."""
        return f"<{self.document.kind}: {self.verdict.split(chr(10))[0]}>"


def frame(columns: dict[str, Any]) -> "pandas.DataFrame":
    """Return columns as a pandas DataFrame; the library is loaded only here.

    Raises InputError where it is not installed.
    """
    try:
        import pandas
    except ImportError as error:
        raise InputError("no pandas", "pandas, installed with this package", "Install it: pip install pandas") from error
    return pandas.DataFrame(columns)


def _tables(blocks: Any) -> Any:
    from spectro.records.document import Beside, Folded, Table

    for block in blocks:
        if isinstance(block, Table):
            yield block
        elif isinstance(block, Beside | Folded):
            yield from _tables(block.blocks)


def places(given: Place | tuple[Place, ...] | list[Place]) -> tuple[Path, ...]:
    """Return one path or several as paths."""
    return (Path(given),) if isinstance(given, str | Path) else tuple(Path(one) for one in given)


def choice(kind: type[Chosen], given: str, argument: str) -> Chosen:
    """Return the member of an enumeration that a text names. Raises InputError naming the argument."""
    try:
        return kind(given)
    except ValueError as error:
        known = ", ".join(str(member.value) for member in kind)
        raise InputError(repr(given), f"one of {known}", f"Correct `{argument}`.") from error
