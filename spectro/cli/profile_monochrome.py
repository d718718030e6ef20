"""`spectro profile monochrome`"""

import argparse
from dataclasses import replace
from pathlib import Path

from spectro.cli.help_layers import earlier_name
from spectro.cli.options import (
    add_light_option,
    add_name_options,
    add_reading_options,
    add_report_options,
    add_tolerances_option,
    number,
    reading_options,
)
from spectro.cli.printing import print_document, progress_line


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    add_reading_options(parser)
    aim = parser.add_argument(
        "--grey-aim",
        dest="aim",
        default="",
        metavar="AIM",
        help="tint aimed at: paper (its hue), neutral (true neutral below the lightest greys), or a CSV file with the columns "
        "lightness, a, b (the tint that is printed)",
    )
    arrives = parser.add_argument(
        "--grey-arrives",
        dest="arrives",
        type=number(0, 100),
        default=80.0,
        metavar="L",
        help="L* from which --grey-aim neutral is neutral (80)",
    )
    earlier_name(parser, aim, "--aim")
    earlier_name(parser, arrives, "--arrives")
    parser.add_argument(
        "--tones",
        type=Path,
        metavar="FILE",
        help="tone curve aimed at: a CSV file with the columns value (0 to 1) and lightness (even steps of L*)",
    )
    add_light_option(
        parser,
        "where prints will hang, judged as well as D50, A and LED-B3 (a white LED): a CIE illuminant, daylight such as "
        "5500K, or a file of the light's spectrum",
    )
    parser.add_argument("--curve", type=Path, metavar="FILE.csv", help="write the linearising curve, 16-bit numbers")
    parser.add_argument("--entries", type=int, choices=[256, 1024, 4096, 65536], default=256, help="entries of the curve (256)")
    parser.add_argument("--out", type=Path, metavar="FILE.icc", help="write a grey output profile")
    parser.add_argument("--icc-version", type=int, choices=[2, 4], default=2, help="2 is read everywhere (2)")
    parser.add_argument(
        "--through-curve",
        action="store_true",
        help="the profile describes what is printed through the curve (else the bare printer; then never use both)",
    )
    add_report_options(parser, "a report")
    add_name_options(parser)
    add_tolerances_option(parser)
    parser.add_argument("--replace", action="store_true", help="overwrite existing files")


def run(arguments: argparse.Namespace) -> int:
    """Run the command."""
    from spectro.files.tolerance_file import read_tolerances
    from spectro.records.document import Section, Shown, Words
    from spectro.records.monochrome_settings import MonochromeSettings
    from spectro.report.monochrome_document import monochrome_document
    from spectro.words.next_step import command
    from spectro.workflow.profile.monochrome import profile_monochrome

    with progress_line(arguments) as progress:
        found = profile_monochrome(
            arguments.readings,
            options=reading_options(arguments),
            settings=MonochromeSettings(
                aim=arguments.aim,
                arrives=arguments.arrives,
                tones=arguments.tones,
                entries=arguments.entries,
                illuminant=arguments.illuminant,
                icc_version=arguments.icc_version,
                through_curve=arguments.through_curve,
                date=arguments.date,
                printer=arguments.printer,
                paper=arguments.paper,
                driver_settings=arguments.settings,
            ),
            out=arguments.out,
            curve=arguments.curve,
            report=arguments.report,
            pdf=arguments.pdf,
            replace=arguments.replace,
            tolerances=read_tolerances(arguments.tolerances),
            progress=progress,
        )
    document = monochrome_document(found)
    files = {"Curve": found.curve_file, "Profile": found.profile_file, "Report": arguments.report, "PDF": arguments.pdf}
    written = "\n".join(f"{word}: {name}" for word, name in files.items() if name)
    words = Words(text=written or "Nothing was written: --curve, --out, --report and --pdf name files.")
    told = Section(key="written", heading="", shown=Shown.TEXT, blocks=(words,))
    if found.curve_file and not arguments.through_curve:
        following = command("image", "convert", "PICTURE.tif", "--curve", found.curve_file)
    elif found.profile_file:
        following = command("profile", "install", found.profile_file)
    else:
        curve = () if arguments.curve else ("--curve", "curve.csv")
        following = command(*arguments.command_line, *curve, "--out", "greys.icc")
    return print_document(replace(document, sections=(*document.sections, told)), arguments, following=following)
