"""`spectro profile refresh`"""

import argparse
from pathlib import Path

from spectro.cli.options import add_chart_option, add_columns_option, add_condition_option, add_scale_option, iso_date
from spectro.cli.printing import lab_text, print_json, print_text, progress_line
from spectro.words.numbers import difference_text


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument(
        "old", type=Path, metavar="OLD_READINGS", help="readings of the whole chart, or a profile that has them"
    )
    parser.add_argument("fresh", nargs="?", type=Path, metavar="FRESH", help="readings of 40 to 80 patches printed now")
    parser.add_argument("--out", type=Path, help="the profile to write (else in this folder, named by condition and date)")
    parser.add_argument("--chart-out", type=Path, metavar="FOLDER", help="instead: choose patches to print and write a recipe")
    parser.add_argument("--patches", type=int, metavar="N", help="with --chart-out: how many (60)")
    add_chart_option(parser, "the fresh chart's folder or table, where its readings have no device values")
    add_condition_option(parser)
    add_columns_option(parser)
    add_scale_option(parser)
    parser.add_argument("--icc-version", type=int, choices=[2, 4], default=2, help="2 is read everywhere (2)")
    parser.add_argument("--grid", type=int, default=33, metavar="N", help="nodes an axis of A2B and B2A, 9 to 65 (33)")
    parser.add_argument("--date", type=iso_date, metavar="ISO", help="profile date (the newest date of the readings)")
    parser.add_argument("--printer", default="", help="printer, for the profile's name")
    parser.add_argument("--paper", default="", help="paper, for the profile's name")
    parser.add_argument("--settings", default="", help="driver settings, for the profile's name")
    parser.add_argument("--replace", action="store_true", help="overwrite existing files")


def run(arguments: argparse.Namespace) -> int:
    """Run the command. Returns 3 where a refresh is not enough."""
    from dataclasses import asdict

    from spectro.errors import InputError
    from spectro.records.conditions import MeasurementCondition
    from spectro.records.profile_settings import ProfileSettings
    from spectro.workflow.profile.refresh import USUAL_PATCHES, profile_refresh, refresh_chart

    stated = arguments.measurement_condition
    condition = MeasurementCondition(stated) if stated else None
    if (arguments.fresh is None) == (arguments.chart_out is None):
        raise InputError(
            "fresh readings and --chart-out" if arguments.fresh else "neither fresh readings nor --chart-out",
            "one of them",
            "First choose and print patches with --chart-out FOLDER, then give their readings.",
        )
    if arguments.patches is not None and arguments.chart_out is None:
        raise InputError("--patches without --chart-out", "a folder to write their recipe to", "Add --chart-out FOLDER.")
    if arguments.chart_out is not None:
        chart = refresh_chart(
            arguments.old,
            arguments.chart_out,
            patches=USUAL_PATCHES if arguments.patches is None else arguments.patches,
            measurement_condition=condition,
            device_scale=arguments.device_scale,
            columns=dict(arguments.columns) or None,
            replace=arguments.replace,
        )
        if arguments.json:
            print_json(asdict(chart))
        else:
            print_text(f"{chart.verdict}\n\n  recipe    {chart.recipe}\n  patches   {chart.patches_file}")
        return 0
    with progress_line(arguments) as progress:
        result = profile_refresh(
            arguments.old,
            arguments.fresh,
            arguments.out,
            chart=arguments.chart,
            measurement_condition=condition,
            device_scale=arguments.device_scale,
            columns=dict(arguments.columns) or None,
            settings=ProfileSettings(
                icc_version=arguments.icc_version,
                grid=arguments.grid,
                date=arguments.date,
                printer=arguments.printer,
                paper=arguments.paper,
                driver_settings=arguments.settings,
            ),
            replace=arguments.replace,
            progress=progress,
        )
    if arguments.json:
        print_json({**asdict(result), "percentile_method": "linear interpolation"})
    else:
        build = result.build
        lines = [
            result.verdict,
            "",
            f"  profile           {build.profile} (ICC {build.icc_version}, {build.grid} nodes an axis)",
            f"  name              {build.name}",
            f"  readings          {result.old_patches} old, moved by ΔE00 {result.moved:.2f} in the mean; "
            f"{result.fresh_patches} fresh; {build.measurement_condition}",
            f"  light             {build.light}",
            f"  white, black      Lab {lab_text(build.white_lab)}, {lab_text(build.black_lab)}",
            f"  fresh, as it was  {difference_text(result.before)}",
            f"  fresh, left out   {difference_text(result.left_out)}",
            f"  a new chart       {difference_text(result.new_chart)}, as the old chart's left-out patches",
            f"  round trip        {difference_text(build.round_trip, 3)}: the tables, not a print",
            f"  time              {build.seconds:.1f} s",
            "",
            "Mind:",
            *(f"  {caution}" for caution in result.cautions),
        ]
        print_text("\n".join(lines))
    return 0 if result.enough else 3
