"""`spectro profile refresh`"""

import argparse
from pathlib import Path

from spectro.cli.inks_options import add_separation_options
from spectro.cli.options import (
    add_how_read_options,
    add_profile_options,
    add_profile_out_option,
    add_tolerances_option,
    reading_options,
)
from spectro.cli.printing import print_document, progress_line
from spectro.cli.shelf_names import NAMED, first_chart, working_from_shelf
from spectro.cli.shelf_options import add_on_shelf_options, wanted_condition, with_kept

CHECKED = ("dry", "settings", "nozzles")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument(
        "old", type=Path, metavar="OLD_READINGS", help=f"readings of the whole chart, or a profile that has them{NAMED}"
    )
    parser.add_argument("fresh", nargs="?", type=Path, metavar="FRESH", help="readings of 40 to 80 patches printed now")
    add_profile_out_option(parser)
    parser.add_argument("--chart-out", type=Path, metavar="FOLDER", help="instead: choose patches to print and write a recipe")
    parser.add_argument("--patches", type=int, metavar="N", help="with --chart-out: how many (60)")
    add_how_read_options(parser, "the fresh chart's folder or table, where its readings have no device values")
    add_profile_options(parser)
    add_separation_options(parser, kept=True)
    parser.add_argument(
        "--recipe",
        metavar="RECIPE|CHART",
        help="with --chart-out: whose page and reading are taken, the folder of the first chart or a recipe",
    )
    parser.add_argument(
        "--checked",
        nargs="+",
        action="extend",
        choices=CHECKED,
        default=[],
        help="what was looked at and is right, where fresh readings look as if it was not: dry settings nozzles",
    )
    add_tolerances_option(parser)
    add_on_shelf_options(parser, "that keeps the fresh readings and the profile")
    parser.add_argument("--replace", action="store_true", help="overwrite existing files")


def run(arguments: argparse.Namespace) -> int:
    """Refresh a profile, or choose the patches to print for it. Returns 3 where a refresh is not enough."""
    with working_from_shelf(arguments, arguments.old) as (files, name):
        if name:
            arguments.before = files.profile(name) if files.has_profile(name) else None
            arguments.old = files.readings(name)
        arguments.like = first_chart(files, arguments) or "rgb-control-patch"
        return _either(arguments)


def _either(arguments: argparse.Namespace) -> int:
    from spectro.errors import InputError

    if (arguments.fresh is None) == (arguments.chart_out is None):
        raise InputError(
            "fresh readings and --chart-out" if arguments.fresh else "neither fresh readings nor --chart-out",
            "one of them",
            "First choose and print patches with --chart-out FOLDER, then give their readings.",
        )
    if arguments.patches is not None and arguments.chart_out is None:
        raise InputError("--patches without --chart-out", "a folder to write their recipe to", "Add --chart-out FOLDER.")
    return _refresh(arguments) if arguments.chart_out is None else _choose(arguments)


def _choose(arguments: argparse.Namespace) -> int:
    from spectro.report.profile_document import refresh_chart_document
    from spectro.words.next_step import pages_of_recipe
    from spectro.workflow.profile.refresh import USUAL_PATCHES, refresh_chart

    chart = refresh_chart(
        arguments.old,
        arguments.chart_out,
        patches=USUAL_PATCHES if arguments.patches is None else arguments.patches,
        like=arguments.recipe or arguments.like,
        options=reading_options(arguments),
        replace=arguments.replace,
    )
    return print_document(
        refresh_chart_document(chart), arguments, following=pages_of_recipe(chart.recipe, shelved=arguments.on_shelf or "")
    )


def _refresh(arguments: argparse.Namespace) -> int:
    from spectro.files.tolerance_file import read_tolerances
    from spectro.records.chart import ChartPurpose
    from spectro.records.profile_settings import ProfileSettings
    from spectro.report.profile_document import refresh_document
    from spectro.words.next_step import after_refresh
    from spectro.workflow.profile.refresh import profile_refresh
    from spectro.workflow.steps.condition_files import role_of
    from spectro.workflow.steps.shelf import keep_build, settings_of_condition

    tolerances = read_tolerances(arguments.tolerances)
    stored = wanted_condition(arguments)
    settings = ProfileSettings(
        icc_version=arguments.icc_version,
        grid=arguments.grid,
        date=arguments.date,
        printer=arguments.printer,
        paper=arguments.paper,
        driver_settings=arguments.settings,
        total_area=arguments.total_area,
        black_share=arguments.black_share or "usual",
        black_ceiling=arguments.black_ceiling,
        lean=arguments.lean,
        stages=arguments.stages,
        on=tuple(arguments.on),
    )
    with progress_line(arguments) as progress:
        result = profile_refresh(
            arguments.old,
            arguments.fresh,
            arguments.out,
            options=reading_options(arguments),
            settings=settings_of_condition(settings, stored.condition) if stored else settings,
            tolerances=tolerances,
            replace=arguments.replace,
            checked=arguments.checked,
            before=getattr(arguments, "before", None),
            chosen=("black_share",) if arguments.black_share else (),
            progress=progress,
        )
    enough = result.enough or result.open
    following = after_refresh(result.build.profile, enough=enough, shelved=stored.name if stored else "")
    document = refresh_document(result)
    if stored:
        kept = keep_build(arguments.shelf, stored.name, result.build, [arguments.fresh], role=role_of(ChartPurpose.REFRESH))
        document = with_kept(document, stored.name, kept)
    return print_document(document, arguments, following=following)
