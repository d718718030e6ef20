"""`spectro drift`"""

import argparse
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from spectro.cli.options import (
    add_chart_option,
    add_columns_option,
    add_condition_option,
    add_join_option,
    add_scale_option,
    add_tolerances_option,
    reading_options,
)
from spectro.cli.printing import difference_text, print_json, print_text, progress_line
from spectro.cli.shelf_options import add_on_shelf_options, kept_lines
from spectro.errors import InputError

if TYPE_CHECKING:
    from spectro.records.drift import DriftResult


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("reference", type=Path, metavar="REFERENCE", help="readings of the reference print")
    parser.add_argument(
        "new",
        nargs="*",
        type=Path,
        metavar="NEW",
        help="readings of the same chart since; the newest is judged; with --on-shelf all that are new may be given alone",
    )
    parser.add_argument("--history", type=Path, metavar="FOLDER", help="a folder of earlier dated readings of the chart")
    parser.add_argument("--profile", type=Path, metavar="FILE", help="hold the newest check against this profile too")
    add_chart_option(parser)
    add_condition_option(parser)
    add_columns_option(parser)
    add_scale_option(parser)
    add_tolerances_option(parser)
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
        type=float,
        metavar="DE",
        help="two instruments read them, which differ by this ΔE00 in the mean (0.7 is usual); without it: one instrument",
    )
    parser.add_argument("--noise", type=float, metavar="DE", help="mean ΔE00 of a reading from its mean (0.15)")
    parser.add_argument("--sheet", type=float, metavar="DE", help="mean ΔE00 of a sheet from its mean (0.18)")
    parser.add_argument("--warn", type=float, metavar="DE", help="mean ΔE00 worth acting on (1.0)")
    parser.add_argument("--act", type=float, metavar="DE", help="mean ΔE00 a profile does not survive (2.0)")
    parser.add_argument(
        "--interval",
        type=int,
        metavar="WEEKS",
        help="weeks to the next check; 1 to 4 are usual (the condition's reminder on the shelf, else 4)",
    )
    add_on_shelf_options(
        parser, "that the print is of: earlier checks, events and the profile come from there, and new ones are kept"
    )
    parser.add_argument("--report", type=Path, metavar="FILE.html", help="write the control chart as one HTML file")
    parser.add_argument("--pdf", type=Path, metavar="FILE.pdf", help="write the control chart as a PDF")
    parser.add_argument("--replace", action="store_true", help="overwrite an existing report")


def run(arguments: argparse.Namespace) -> int:
    """Run the command. Returns 3 where the printer, the paper or the instrument drifted, else 0."""
    from spectro.checks.drift_advice import drift_settings
    from spectro.checks.drift_chart import USUAL_WEEKS
    from spectro.files.event_list import parse_event
    from spectro.files.tolerance_file import read_tolerances
    from spectro.records.drift import DriftState
    from spectro.report.drift_numbers import drift_numbers
    from spectro.workflow.drift import drift
    from spectro.workflow.steps.shelved_checks import keep_check, shelved_checks

    options = reading_options(arguments)
    settings = drift_settings(
        read_tolerances(arguments.tolerances).of("drift"),
        noise=arguments.noise,
        sheet=arguments.sheet,
        instrument_agreement=arguments.instrument_agreement,
        warn=arguments.warn,
        act=arguments.act,
    )
    events = [parse_event(text) for text in arguments.event]
    given = [arguments.reference, *arguments.new]
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
            chart=options.chart,
            measurement_condition=options.condition,
            device_scale=options.device_scale,
            columns=options.columns,
            join=options.join,
            events=[*events, *(shelved.events if shelved else ())],
            events_file=arguments.events,
            tile=tuple(arguments.tile) if arguments.tile else None,
            interval_weeks=arguments.interval or (shelved.reminder_weeks if shelved else 0) or USUAL_WEEKS,
            settings=settings,
            report=arguments.report,
            pdf=arguments.pdf,
            replace=arguments.replace,
            progress=progress,
        )
    kept = None
    if arguments.on_shelf:
        kept = keep_check(arguments.shelf, arguments.on_shelf, result, given, events, arguments.report)
    if arguments.json:
        print_json(drift_numbers(result))
    else:
        lines = _lines(result)
        if arguments.report:
            lines += ["", f"Report: {arguments.report}"]
        if arguments.pdf:
            lines += ["", f"PDF: {arguments.pdf}"]
        if kept is not None:
            lines += kept_lines(arguments.on_shelf, kept)
        print_text("\n".join(lines))
    return 3 if result.state is DriftState.DRIFT else 0


def _lines(result: "DriftResult") -> list[str]:
    from spectro.words.drift import cause_text
    from spectro.words.numbers import day, number, probability

    newest = result.points[-1]
    lines = [
        result.verdict,
        result.advice_words,
        "",
        f"  reference       {result.reference}, {day(result.reference_date)}, {result.patches} patches; "
        f"{result.measurement_condition}; {result.light}",
        f"  newest check    {newest.origin}, {day(newest.date)}: {difference_text(newest.difference)}",
        f"  limits          centre {result.centre:.2f}, upper {result.upper:.2f}; from {result.limits_from}",
    ]
    if result.trend is not None:
        soon = "" if result.trend.weeks_to_limit is None else f"; at the limit in {result.trend.weeks_to_limit:.0f} weeks"
        sure = "certain" if result.trend.certain else "not certain"
        lines.append(f"  trend           ΔE00 {result.trend.per_week:+.3f} a week, {sure}{soon}".replace("-", "−"))
    if len(result.points) > 1:
        lines.append(f"  {'checks':<36}{'date':<12}mean  limit")
        for point in result.points:
            mark = "  beyond" if point.beyond else ""
            after = f"  after {'; '.join(point.events)}" if point.events else ""
            lines.append(
                f"    {point.origin[:32]:<34}{day(point.date)}  {point.difference.mean:.2f}  {point.upper:.2f}{mark}{after}"
            )
    lines.append("  direction")
    for region in result.regions:
        changes = zip(("ΔL*", "Δa*", "Δb*"), (region.lightness, region.a, region.b), strict=True)
        shift = ", ".join(f"{name} {number(value, 2, sign=True)}" for name, value in changes)
        lines.append(f"    {region.name:<16}{shift}: {region.words} ({region.patches})")
    if result.inks:
        lines.append("  inks")
        for ink in result.inks:
            sure = "" if ink.certain else ", not certain"
            lines.append(f"    {ink.name:<22}{ink.percent:+.1f} ± {ink.error:.1f} %{sure}".replace("-", "−"))
    if result.causes:
        likely = ", ".join(f"{cause_text(cause)} {probability(cause.share)}" for cause in result.causes if cause.share >= 0.01)
        lines.append(f"  causes          {likely}")
    if result.tile is not None:
        moved = "moved" if result.tile.moved else "steady"
        lines.append(
            f"  tile            ΔE00 {result.tile.delta_e_2000:.2f}, instrument {moved} (limit {result.tile.limit:.2f})"
        )
    if result.profile_difference is not None and result.profile_before is not None:
        lines.append(
            f"  profile         {result.profile}: ΔE00 {result.profile_difference.mean:.2f} in the mean, "
            f"{result.profile_before.mean:.2f} with the reference"
        )
    if result.next_check is not None:
        lines.append(f"  next check      {day(result.next_check)}")
    return [*lines, "", "Mind:", *(f"  {caution}" for caution in result.cautions)]
