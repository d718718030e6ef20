"""`spectro profile assess`"""

import argparse
from pathlib import Path

from spectro.cli.options import add_reading_options
from spectro.cli.printing import print_json, print_text, progress_line
from spectro.cli.shelf_options import add_on_shelf_options, kept_lines
from spectro.words.numbers import difference_text


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("profile", type=Path, metavar="PROFILE", help="the ICC profile")
    add_reading_options(parser, needed=False)
    parser.add_argument(
        "--proof",
        action="extend",
        nargs="+",
        type=Path,
        metavar="READINGS",
        help="readings of a proof page instead, with its folder as --chart: what came out against what was asked for",
    )
    parser.add_argument(
        "--intent", choices=["absolute", "relative"], default="absolute", help="absolute, or relative to the paper (absolute)"
    )
    parser.add_argument("--report", type=Path, metavar="FILE.html", help="write the report as one HTML file")
    parser.add_argument("--pdf", type=Path, metavar="FILE.pdf", help="write the report as a PDF")
    parser.add_argument("--replace", action="store_true", help="overwrite an existing report")
    add_on_shelf_options(parser, "that keeps the readings and the report")


def run(arguments: argparse.Namespace) -> int:
    """Run the command."""
    if arguments.proof:
        from spectro.cli.profile_proof import run_proof

        return run_proof(arguments)
    from dataclasses import asdict

    from spectro.errors import InputError
    from spectro.records.conditions import MeasurementCondition, RenderingIntent
    from spectro.records.shelf import ShelfEntry
    from spectro.report.assessment_numbers import assessment_numbers
    from spectro.workflow.profile.assess import profile_assess
    from spectro.workflow.steps.shelf import keep_assessment, stored_condition

    if not arguments.readings:
        raise InputError("no readings", "READINGS, or --proof READINGS with --chart", "Name the files.")
    condition = arguments.measurement_condition
    kept: tuple[ShelfEntry, ...] = ()
    if arguments.on_shelf:
        shelved = stored_condition(arguments.shelf, arguments.on_shelf).name
    with progress_line(arguments) as progress:
        result = profile_assess(
            arguments.profile,
            arguments.readings,
            chart=arguments.chart,
            measurement_condition=MeasurementCondition(condition) if condition else None,
            device_scale=arguments.device_scale,
            columns=dict(arguments.columns) or None,
            intent=RenderingIntent(arguments.intent),
            report=arguments.report,
            pdf=arguments.pdf,
            replace=arguments.replace,
            progress=progress,
        )
    if arguments.on_shelf:
        kept = keep_assessment(arguments.shelf, shelved, result, arguments.profile, arguments.readings)
    if arguments.json:
        numbers = assessment_numbers(result)
        if kept:
            numbers["on_shelf"] = [asdict(entry) for entry in kept]
        print_json(numbers)
        return 0
    overall, budget = result.delta_e_2000, result.budget
    lines = [
        result.verdict,
        "",
        f"  profile         {result.profile_name or result.profile_file}",
        f"  readings        {result.readings_origin}, {overall.n} patches; {result.measurement_condition}; {result.light}",
        f"  against them    {difference_text(overall)} ({result.intent})",
    ]
    for name, group in result.groups.items():
        figures = "no such patch" if group is None else f"mean {group.mean:.2f}, largest {group.max:.2f} ({group.n} patches)"
        lines.append(f"    {name:<16}{figures}")
    lines.append(f"  round trip      {difference_text(result.round_trip, 3)}: the tables, not a print")
    if budget.total is not None:
        lines.append(
            f"  expect in print ΔE00 {budget.total:.2f} in the mean: repeat noise {budget.repeat_noise:.2f} "
            f"({budget.repeat_noise_from}), model {budget.model:.2f}, tables {budget.table:.2f};"
            " another sheet or day adds to it"
        )
    if result.light_note:
        lines += ["", result.light_note]
    lines += ["", "Worst patches:"]
    for patch in result.worst:
        place = "" if patch.position is None else ", page {}, row {}, column {}".format(*patch.position)
        lines.append(f"  {patch.id}{f' ({patch.name})' if patch.name else ''}: ΔE00 {patch.delta_e_2000:.2f}{place}")
    if arguments.report:
        lines += ["", f"Report: {arguments.report}"]
    if kept:
        lines += kept_lines(shelved, kept)
    if arguments.pdf:
        lines += ["", f"PDF: {arguments.pdf}"]
    print_text("\n".join(lines))
    return 0
