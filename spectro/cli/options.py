"""Options that several commands share, and how their values are told from text."""

import argparse
import math
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from spectro.cli.help_layers import earlier_name
from spectro.cli.shelf_names import NAMED
from spectro.cli.shelf_options import add_on_shelf_options, some_text, wanted_condition
from spectro.records.address import is_address

if TYPE_CHECKING:
    from spectro.records.reading_options import ReadingOptions

CONDITION = "which of several a file holds, or what a file does not state (ISO 13655); no default"
COLUMNS = "what a table's columns mean where their names do not tell, such as RGB_R=red"
CHART = "the chart's folder or table, where the readings have no device values"
JOIN = "how the same patch is found in two files (device values where all files have them, else row)"
ORDER = "how rows without the chart's ids run over it, such as rows or columns-back-and-forth (else their colours say)"
SCALE = "the number that means full device value, where the values do not tell it"
TOLERANCES = "your own limits instead of the shipped ones: TOML with a table for each subject"

PAGES = (
    "the paper: a5 a4 a3 a3+ a2 a1 letter 13x19in 17x22in 10x15cm roll-17in roll-24in roll-44in, "
    "or measures such as 8.5x11in or 200x250mm"
)
MODES = ("by-strip", "by-patch", "by-table")


def add_chart_folder_options(parser: argparse.ArgumentParser, title: str = "the title printed on the pages") -> None:
    """Add where a chart folder is made, its title, and whether an existing one may be overwritten. title: its help."""
    parser.add_argument(
        "--out", type=Path, metavar="FOLDER", help="the chart folder to make; without it: one in the current folder"
    )
    parser.add_argument("--title", metavar="TEXT", help=title)
    parser.add_argument("--replace", action="store_true", help="overwrite an existing chart folder")


def add_printed_words_options(parser: argparse.ArgumentParser) -> None:
    """Add the printing condition that is printed on pages: in words, or that of the shelf."""
    for word in ("printer", "paper", "settings"):
        parser.add_argument(f"--{word}", metavar="TEXT", help=f"printed on the pages as the {word} of the printing condition")
    add_on_shelf_options(parser, "whose printer, paper and settings are printed on the pages")


def printed_words(arguments: argparse.Namespace) -> dict[str, str | None]:
    """Return printer, paper and settings as given, else those of the condition on the shelf. Raises ShelfError."""
    words = {word: getattr(arguments, word) for word in ("printer", "paper", "settings")}
    if stored := wanted_condition(arguments):
        condition = stored.condition
        kept = {"printer": condition.printer, "paper": condition.paper, "settings": condition.driver_text}
        words = {word: text or kept[word] for word, text in words.items()}
    return words


def add_reading_options(parser: argparse.ArgumentParser, *, needed: bool = True, named: bool = False) -> None:
    """Add the files of readings and the options that say how to read them.

    needed: one file at least. named: the name of a condition on the shelf will do instead.
    """
    words = "readings of one printing condition" + (NAMED if named else "")
    parser.add_argument("readings", nargs="+" if needed else "*", type=Path, metavar="READINGS", help=words)
    add_how_read_options(parser)


def add_how_read_options(parser: argparse._ActionsContainer, chart: str = CHART) -> None:
    """Add the options that say how files of readings are read, without the files. chart: the help line of --chart."""
    add_chart_option(parser, chart)
    add_condition_option(parser)
    add_columns_option(parser)
    add_scale_option(parser)
    add_insist_option(parser)


def add_insist_option(parser: argparse._ActionsContainer) -> None:
    """Add --insist, the reason for using readings that break laws which every print obeys."""
    parser.add_argument(
        "--insist",
        type=some_text,
        metavar="REASON",
        help="use readings that look wrong all the same; the reason is kept",
    )


def add_questionable_option(parser: argparse._ActionsContainer) -> None:
    """Add --with-questionable: patches that were kept in doubt when they were read count."""
    parser.add_argument(
        "--with-questionable", action="store_true", help="use patches that were kept as questionable too; else they stay out"
    )


def add_chart_option(parser: argparse._ActionsContainer, words: str = CHART) -> None:
    """Add --chart to a parser or a group of it. words: its line of help."""
    parser.add_argument("--chart", type=Path, metavar="CHART", help=words)


def add_condition_option(parser: argparse._ActionsContainer, words: str = CONDITION) -> None:
    """Add --measurement-condition to a parser or a group of it. words: its line of help."""
    parser.add_argument("--measurement-condition", choices=["M0", "M1", "M2", "M3"], help=words)


def add_list_option(
    parser: argparse._ActionsContainer,
    name: str,
    metavar: str,
    words: str,
    *,
    kind: Callable[[str], object] | None = None,
    dest: str | None = None,
) -> argparse.Action:
    """Add an option that takes one or more values and may be given again; without it there are none.

    words: its line of help. kind: what tells a value from text; None: it stays text. dest: what a program calls it.
    """
    told: dict[str, Any] = {"type": kind, **({"dest": dest} if dest else {})}
    return parser.add_argument(name, action="extend", nargs="+", default=[], metavar=metavar, help=words, **told)


def add_columns_option(parser: argparse._ActionsContainer, words: str = COLUMNS) -> None:
    """Add --columns, which may be given again. words: its line of help."""
    add_list_option(parser, "--columns", "FIELD=COLUMN", words, kind=column_pair)


def add_scale_option(parser: argparse._ActionsContainer) -> None:
    """Add --device-scale."""
    parser.add_argument("--device-scale", type=int, choices=[1, 100, 255], help=SCALE)


def add_join_option(parser: argparse._ActionsContainer) -> None:
    """Add --join."""
    parser.add_argument("--join", choices=["row", "id", "device"], help=JOIN)


def add_order_option(parser: argparse._ActionsContainer) -> None:
    """Add --row-order."""
    parser.add_argument("--row-order", default="", metavar="ORDER", help=ORDER)


def reading_options(arguments: argparse.Namespace) -> "ReadingOptions":
    """Return how readings are to be read, from those of the options above that the command has."""
    from spectro.records.conditions import MeasurementCondition
    from spectro.records.reading_options import Join, ReadingOptions

    condition, join = getattr(arguments, "measurement_condition", None), getattr(arguments, "join", None)
    return ReadingOptions(
        chart=getattr(arguments, "chart", None),
        condition=MeasurementCondition(condition) if condition else None,
        device_scale=getattr(arguments, "device_scale", None),
        columns=dict(getattr(arguments, "columns", ())),
        join=Join(join) if join else None,
        row_order=getattr(arguments, "row_order", ""),
        insist=getattr(arguments, "insist", None) or "",
        another_sheet=tuple(getattr(arguments, "another_sheet", ())),
        with_questionable=getattr(arguments, "with_questionable", False),
    )


def add_tolerances_option(parser: argparse._ActionsContainer) -> None:
    """Add --tolerances, a person's own limits."""
    parser.add_argument("--tolerances", type=Path, metavar="FILE.toml", help=TOLERANCES)


def add_report_options(parser: argparse._ActionsContainer, what: str = "the report") -> None:
    """Add --report and --pdf. what: what is written, in words."""
    parser.add_argument("--report", type=Path, metavar="FILE.html", help=f"write {what} as one HTML file")
    parser.add_argument("--pdf", type=Path, metavar="FILE.pdf", help=f"write {what} as a PDF")


def add_profile_options(parser: argparse._ActionsContainer) -> None:
    """Add what decides a profile's file: its version, grid, date and name."""
    parser.add_argument("--icc-version", type=int, choices=[2, 4], default=2, help="2 is read everywhere (2)")
    parser.add_argument(
        "--grid", type=int, default=33, metavar="N", help="grid points per axis, 9 to 65 (33); tables from inks have fewer"
    )
    add_name_options(parser)


def add_name_options(parser: argparse._ActionsContainer) -> None:
    """Add what a profile is named by: its date, printer, paper and settings."""
    parser.add_argument("--date", type=iso_date, metavar="ISO", help="profile date (the newest date of the readings)")
    parser.add_argument("--printer", default="", metavar="TEXT", help="printer, for the profile's name")
    parser.add_argument("--paper", default="", metavar="TEXT", help="paper, for the profile's name")
    parser.add_argument("--settings", default="", metavar="TEXT", help="driver settings, for the profile's name")


def add_profile_out_option(parser: argparse._ActionsContainer) -> None:
    """Add --out, the profile that is written."""
    parser.add_argument(
        "--out", type=Path, metavar="FILE.icc", help="the profile to write (else in this folder, named by condition and date)"
    )


def add_light_option(parser: argparse._ActionsContainer, words: str) -> None:
    """Add --illuminant, D50 without it. words: its line of help."""
    parser.add_argument("--illuminant", default="D50", metavar="LIGHT", help=words)


def add_sheet_option(parser: argparse.ArgumentParser, words: str) -> None:
    """Add --sheet-difference, what sheets differ by. words: its line of help."""
    sheet = parser.add_argument("--sheet-difference", dest="sheet", type=number(0, 100), metavar="DE", help=words)
    earlier_name(parser, sheet, "--sheet")


def place(text: str) -> Path | str:
    """Return the path that a word names, or the address, as it is."""
    return text if is_address(text) else Path(text)


def number(low: float, high: float, *, above: bool = False) -> Callable[[str], float]:
    """Return what tells a number from low to high (above: low itself is none) from text; its errors become messages.

    >>> number(0, 100)("2.5")
    2.5
    """

    def value(text: str) -> float:
        try:
            found = float(text)
        except ValueError:
            found = math.nan
        if not (low < found if above else low <= found) or not found <= high:
            least = f"above {low:g}" if above else f"from {low:g}"
            raise argparse.ArgumentTypeError(f"{text!r} is no number {least} to {high:g}")
        return found

    return value


def column_pair(text: str) -> tuple[str, str]:
    """Return field and column name of `FIELD=COLUMN`."""
    field, equals, column = text.partition("=")
    if not (field and equals and column):
        raise argparse.ArgumentTypeError(f"{text!r} is not FIELD=COLUMN, such as RGB_R=red")
    return field.strip(), column.strip()


def setting_pair(text: str) -> tuple[str, str]:
    """Return name and value of `NAME=VALUE`."""
    name, equals, value = text.partition("=")
    if not (name and equals):
        raise argparse.ArgumentTypeError(f"{text!r} is not NAME=VALUE, such as seed=2")
    return name.strip(), value.strip()


def iso_date(text: str) -> datetime:
    """Return the date of an ISO 8601 text, in UTC; UTC is taken where it names no zone."""
    try:
        date = datetime.fromisoformat(text)
    except ValueError as error:
        raise argparse.ArgumentTypeError(f"{text!r} is no ISO 8601 date such as 2026-01-31 or 2026-01-31T12:00:00Z") from error
    return date.replace(tzinfo=UTC) if date.tzinfo is None else date.astimezone(UTC)
