"""`spectro drift`"""

import argparse
import tempfile
from pathlib import Path

from spectro.cli.options import (
    add_chart_option,
    add_columns_option,
    add_condition_option,
    add_insist_option,
    add_join_option,
    add_report_options,
    add_scale_option,
    add_sheet_option,
    add_tolerances_option,
    number,
    reading_options,
)
from spectro.cli.printing import print_document, progress_line
from spectro.cli.shelf_names import NAMED
from spectro.cli.shelf_options import add_on_shelf_options, with_kept
from spectro.errors import InputError


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("reference", type=Path, metavar="REFERENCE", help=f"readings of the reference print{NAMED}")
    parser.add_argument(
        "new",
        nargs="*",
        type=Path,
        metavar="NEW",
        help="readings of the same chart since; the newest is judged; with --on-shelf all that are new may be given alone",
    )
    parser.add_argument("--history", type=Path, metavar="FOLDER", help="a folder of earlier dated readings of the chart")
    parser.add_argument("--profile", type=Path, metavar="FILE", help="compare the newest check with this profile too")
    add_chart_option(parser)
    add_condition_option(parser)
    add_columns_option(parser)
    add_scale_option(parser)
    add_tolerances_option(parser)
    add_insist_option(parser)
    add_join_option(parser)
    parser.add_argument("--events", type=Path, metavar="FILE", help="what was done when: a date and words on each line")
    parser.add_argument(
        "--event", action="append", default=[], metavar="DATE=WORDS", help="one event, such as '2026-01-31=head clean'"
    )
    parser.add_argument(
        "--tile",
        nargs=2,
        type=Path,
        metavar=("THEN", "NOW"),
        help="readings of the tile, or of anchors kept in the dark, of the reference's day and of the newest check's",
    )
    parser.add_argument(
        "--instrument-agreement",
        type=number(0, 100),
        metavar="DE",
        help="two instruments read them, which differ by this ΔE00 on average (0.7 is usual); without it: one instrument",
    )
    parser.add_argument("--noise", type=number(0, 100), metavar="DE", help="mean ΔE00 of a reading from its mean (0.15)")
    add_sheet_option(parser, "mean ΔE00 of a sheet from its mean (0.18)")
    parser.add_argument("--warn", type=number(0, 100), metavar="DE", help="mean ΔE00 worth acting on (1.0)")
    parser.add_argument(
        "--act", type=number(0, 100), metavar="DE", help="mean ΔE00 from which the profile no longer serves (2.0)"
    )
    parser.add_argument(
        "--interval",
        type=int,
        metavar="WEEKS",
        help="weeks to the next check; 1 to 4 are usual (the condition's reminder on the shelf, else 4)",
    )
    add_on_shelf_options(
        parser, "that the print is of: earlier checks, events and the profile come from there, and new ones are kept"
    )
    add_report_options(parser, "the control chart")
    parser.add_argument("--replace", action="store_true", help="overwrite an existing report")


def run(arguments: argparse.Namespace) -> int:
    """Run the command. Returns 3 where the printer, the paper or the instrument drifted, else 0."""
    from spectro.report.drift_document import first_check_document
    from spectro.words.next_step import READINGS, command
    from spectro.workflow.steps.condition_files import condition_files
    from spectro.workflow.steps.shelved_checks import is_first_check, keep_first_check

    if not arguments.on_shelf:
        with condition_files(arguments.shelf) as files:
            arguments.on_shelf = files.named(arguments.reference) or None
        given = list(arguments.new) if arguments.on_shelf else [arguments.reference, *arguments.new]
    else:
        given = [arguments.reference, *arguments.new]
    if arguments.on_shelf and is_first_check(arguments.shelf, arguments.on_shelf, given):
        kept = keep_first_check(arguments.shelf, arguments.on_shelf, given[0])
        document = with_kept(first_check_document(arguments.on_shelf, given[0].name), arguments.on_shelf, kept)
        return print_document(document, arguments, following=command("drift", arguments.on_shelf, READINGS))
    return _check(arguments, given)


def _check(arguments: argparse.Namespace, given: list[Path]) -> int:
    from spectro.checks.drift_advice import drift_settings
    from spectro.checks.drift_chart import USUAL_WEEKS
    from spectro.files.event_list import parse_event
    from spectro.files.tolerance_file import read_tolerances
    from spectro.report.drift_document import drift_document
    from spectro.words.next_step import after_drift
    from spectro.workflow.drift import drift
    from spectro.workflow.steps.shelved_checks import keep_check, shelved_checks

    tolerances = read_tolerances(arguments.tolerances)
    settings = drift_settings(
        tolerances.of("drift"),
        noise_limits=tolerances.of("noise"),
        noise=arguments.noise,
        sheet=arguments.sheet,
        instrument_agreement=arguments.instrument_agreement,
        warn=arguments.warn,
        act=arguments.act,
    )
    events = [parse_event(text) for text in arguments.event]
    if len(given) < 2 and not arguments.on_shelf:
        raise InputError("one file", "readings of the reference print and newer ones", "Name both, or use --on-shelf.")
    with tempfile.TemporaryDirectory() as folder, progress_line(arguments) as progress:
        shelved = None
        if arguments.on_shelf:
            shelved = shelved_checks(arguments.shelf, arguments.on_shelf, given, Path(folder))
        result = drift(
            shelved.reference if shelved else arguments.reference,
            shelved.new if shelved else arguments.new,
            profile=arguments.profile or (shelved.profile if shelved else None),
            history=arguments.history,
            options=reading_options(arguments),
            events=[*events, *(shelved.events if shelved else ())],
            events_file=arguments.events,
            tile=tuple(arguments.tile) if arguments.tile else None,
            interval_weeks=arguments.interval or (shelved.reminder_weeks if shelved else 0) or USUAL_WEEKS,
            settings=settings,
            tolerances=tolerances,
            report=arguments.report,
            pdf=arguments.pdf,
            replace=arguments.replace,
            progress=progress,
        )
    kept = None
    if arguments.on_shelf:
        kept = keep_check(arguments.shelf, arguments.on_shelf, result, given, events, arguments.report)
    document = drift_document(result)
    if kept is not None:
        document = with_kept(document, arguments.on_shelf, kept)
    following = after_drift(
        result.advice, arguments.reference, arguments.new, profile=arguments.profile, shelved=arguments.on_shelf or ""
    )
    return print_document(document, arguments, following=following, Report=arguments.report, PDF=arguments.pdf)
