"""Options that several commands share, and how their values are told from text."""

import argparse
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from spectro.records.reading_options import ReadingOptions

CONDITION = "which of several a file holds, or what a file does not state (ISO 13655); no default"
COLUMNS = "what a table's columns mean where their names do not tell, such as RGB_R=red"
CHART = "the chart's folder or table, where the readings have no device values"
JOIN = "how patches are told to be the same (device values where all files have them, else row)"
SCALE = "the number that means full device value, where the values do not tell it"

TOLERANCES = "your own limits instead of the shipped ones: TOML with a table for each subject"


def add_reading_options(parser: argparse.ArgumentParser, *, needed: bool = True) -> None:
    """Add the files of readings and the options that say how to read them. needed: one file at least."""
    parser.add_argument(
        "readings", nargs="+" if needed else "*", type=Path, metavar="READINGS", help="readings of one printing condition"
    )
    add_chart_option(parser)
    add_condition_option(parser)
    add_columns_option(parser)
    add_scale_option(parser)


def add_chart_option(parser: argparse._ActionsContainer, words: str = CHART) -> None:
    """Add --chart to a parser or a group of it. words: its line of help."""
    parser.add_argument("--chart", type=Path, metavar="CHART", help=words)


def add_condition_option(parser: argparse._ActionsContainer, words: str = CONDITION) -> None:
    """Add --measurement-condition to a parser or a group of it. words: its line of help."""
    parser.add_argument("--measurement-condition", choices=["M0", "M1", "M2", "M3"], help=words)


def add_columns_option(parser: argparse._ActionsContainer, words: str = COLUMNS) -> None:
    """Add --columns, which may be given again. words: its line of help."""
    parser.add_argument(
        "--columns", action="extend", nargs="+", type=column_pair, default=[], metavar="FIELD=COLUMN", help=words
    )


def add_scale_option(parser: argparse._ActionsContainer) -> None:
    """Add --device-scale."""
    parser.add_argument("--device-scale", type=int, choices=[1, 100, 255], help=SCALE)


def add_join_option(parser: argparse._ActionsContainer) -> None:
    """Add --join."""
    parser.add_argument("--join", choices=["row", "id", "device"], help=JOIN)


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
    )


def add_tolerances_option(parser: argparse._ActionsContainer) -> None:
    """Add --tolerances, a person's own limits."""
    parser.add_argument("--tolerances", type=Path, metavar="FILE.toml", help=TOLERANCES)


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
