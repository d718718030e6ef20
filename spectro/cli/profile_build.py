"""`spectro profile build`"""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from spectro.cli.inks_options import add_separation_options
from spectro.cli.options import (
    add_light_option,
    add_profile_options,
    add_profile_out_option,
    add_questionable_option,
    add_reading_options,
    add_report_options,
    add_sheet_option,
    add_tolerances_option,
    number,
    reading_options,
)
from spectro.cli.printing import listened_to, print_document, progress_line
from spectro.cli.shelf_names import working_from_shelf
from spectro.cli.shelf_options import add_on_shelf_options, wanted_condition, with_kept, with_reminder

if TYPE_CHECKING:
    from spectro.records.profile_settings import ProfileSettings


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    add_reading_options(parser, named=True)
    parser.add_argument(
        "--another-sheet",
        type=Path,
        action="append",
        default=[],
        metavar="FILE",
        help="readings of a further sheet of the same printing condition, where files do not tell it themselves; may be given "
        "several times",
    )
    add_profile_out_option(parser)
    add_light_option(parser, "a CIE illuminant, daylight such as 5500K, or a file of a light's spectrum (D50; the ICC's own)")
    parser.add_argument("--observer", type=int, choices=[2, 10], default=2, help="degrees (2)")
    add_profile_options(parser)
    parser.add_argument(
        "--source-gamut",
        metavar="GAMUT",
        help="the colours pictures come with, for which the perceptual table makes room: sRGB, opRGB, P3-D65, ROMM or "
        "the profile of another printer (opRGB)",
    )
    parser.add_argument(
        "--for-image",
        type=Path,
        action="append",
        default=[],
        metavar="FILE",
        help="make room for the colours of this picture instead (TIFF, PNG, JPEG); may be given several times",
    )
    parser.add_argument(
        "--grey-aim",
        default="paper",
        metavar="AIM",
        help="tint of greys in the perceptual and saturation tables: paper (its hue), neutral (true neutral below the "
        "lightest greys), or a CSV file with the columns lightness, a, b (paper)",
    )
    parser.add_argument(
        "--grey-arrives",
        type=number(0, 100),
        default=80.0,
        metavar="L",
        help="L* from which --grey-aim neutral is neutral (80)",
    )
    add_separation_options(parser)
    add_sheet_option(parser, "mean ΔE00 by which another sheet differs, for the forecast (from the readings, else 0.26)")
    parser.add_argument(
        "--thorough",
        action="store_true",
        help="search the device model on all patches, up to 4500: takes five times as long or more, seldom gains much",
    )
    add_questionable_option(parser)
    add_report_options(parser, "what is to be expected, with pictures of a separation's settings")
    add_tolerances_option(parser)
    add_on_shelf_options(parser, "that was printed with: it names the profile, and keeps readings and profile")
    parser.add_argument("--replace", action="store_true", help="overwrite an existing file")


def run(arguments: argparse.Namespace) -> int:
    """Build the profile, from the readings of a condition on the shelf where one is named. Returns 0."""
    with working_from_shelf(arguments, arguments.readings[0] if len(arguments.readings) == 1 else None) as (files, name):
        if name:
            arguments.readings = [files.readings(name)]
        return _build(arguments)


def _build(arguments: argparse.Namespace) -> int:
    from spectro.files.tolerance_file import read_tolerances
    from spectro.maths.row_blocks import keep_memory
    from spectro.report.profile_document import build_document
    from spectro.words.next_step import after_profile
    from spectro.words.shelf import settings_reminder
    from spectro.workflow.profile.build import profile_build
    from spectro.workflow.steps.shelf import keep_build, settings_of_condition

    keep_memory()
    settings, tolerances = _settings(arguments), read_tolerances(arguments.tolerances)
    stored = wanted_condition(arguments)
    if stored:
        settings = settings_of_condition(settings, stored.condition)
    with progress_line(arguments) as progress:
        result = profile_build(
            arguments.readings,
            arguments.out,
            options=reading_options(arguments),
            settings=settings,
            for_image=arguments.for_image,
            report=arguments.report,
            pdf=arguments.pdf,
            tolerances=tolerances,
            replace=arguments.replace,
            progress=progress,
        )
    files = [*arguments.readings, *arguments.another_sheet]
    document = build_document(result)
    if stored:
        document = with_kept(document, stored.name, keep_build(arguments.shelf, stored.name, result, files))
        document = with_reminder(document, settings_reminder(stored))
    following = after_profile(result.profile, shelved=stored.name if stored else "")
    return print_document(document, arguments, following=following, Report=arguments.report, PDF=arguments.pdf)


def _settings(arguments: argparse.Namespace) -> "ProfileSettings":
    """Return how the profile is to be built. Raises InputError for options that exclude each other."""
    from spectro.errors import InputError
    from spectro.records.profile_settings import ProfileSettings

    if arguments.for_image and arguments.source_gamut:
        raise InputError("both --source-gamut and --for-image", "one of them", "Leave one out: each names the source gamut.")
    return ProfileSettings(
        illuminant=arguments.illuminant,
        observer=arguments.observer,
        icc_version=arguments.icc_version,
        grid=arguments.grid,
        source_gamut=arguments.source_gamut or "opRGB",
        grey_aim=arguments.grey_aim,
        grey_arrives=arguments.grey_arrives,
        sheet=arguments.sheet,
        total_area=arguments.total_area,
        black_share=arguments.black_share,
        black_ceiling=arguments.black_ceiling,
        lean=arguments.lean,
        other_separations=listened_to(),
        stages=arguments.stages,
        on=tuple(arguments.on),
        thorough=arguments.thorough,
        date=arguments.date,
        printer=arguments.printer,
        paper=arguments.paper,
        driver_settings=arguments.settings,
    )
