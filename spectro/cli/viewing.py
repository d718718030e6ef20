"""`spectro viewing`"""

import argparse
from collections.abc import Sequence
from pathlib import Path

from spectro.cli.help_layers import earlier_name
from spectro.cli.options import (
    add_chart_option,
    add_columns_option,
    add_condition_option,
    add_report_options,
    add_scale_option,
    add_tolerances_option,
    number,
    reading_options,
)
from spectro.cli.printing import print_document, progress_line


def lab_values(text: str) -> tuple[float, float, float]:
    """Return three numbers of `L,a,b`."""
    try:
        lightness, a, b = (float(part) for part in text.split(","))
    except ValueError as error:
        raise argparse.ArgumentTypeError(f"{text!r} is not L,a,b such as 95,1.5,-6") from error
    return lightness, a, b


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument(
        "sources",
        nargs="*",
        type=Path,
        metavar="READINGS|PROFILE",
        help="readings of the paper or of a chart on it, or one output profile: they tell white and black",
    )
    parser.add_argument(
        "--paper-white", type=lab_values, metavar="L,a,b", help="the paper's white in place of readings (D50, 2°)"
    )
    place = parser.add_argument_group("the place")
    place.add_argument("--lux", type=number(0, 1e6, above=True), metavar="N", help="illuminance measured at the print")
    place.add_argument("--viewing", choices=["P1", "P2"], help="in its place: ISO 3664 P1 (2000 lx) or P2 (500 lx)")
    place.add_argument(
        "--illuminant",
        metavar="LIGHT",
        help="the light there: a CIE illuminant, 5500K, or a file of its spectrum, which is judged (D50)",
    )
    place.add_argument(
        "--screen-luminance", type=number(0, 1e6, above=True), metavar="CD", help="what the screen's white has now, cd/m²"
    )
    display = parser.add_argument_group("a display's readings")
    display.add_argument(
        "--display", type=Path, metavar="FILE", help="RGB and XYZ of white, black, greys, primaries (CGATS, CSV)"
    )
    space = display.add_argument(
        "--aim-space", dest="aim", metavar="SPACE", help="the aim: sRGB, BT.709, P3-D65, BT.2020 or opRGB (compared with sRGB)"
    )
    earlier_name(parser, space, "--aim")
    display.add_argument(
        "--aim-luminance", type=number(0, 1e6, above=True), metavar="CD", help="cd/m² of white (the print's; else 100 to 120)"
    )
    display.add_argument(
        "--aim-white", metavar="WHITE", help="paper, light, a CIE illuminant, 6000K or x,y (the paper's; else the space's)"
    )
    display.add_argument("--aim-gamma", metavar="CURVE", help="sRGB, BT.1886 or a power such as 2.2 (the space's)")
    display.add_argument(
        "--white-luminance",
        type=number(0, 1e6, above=True),
        metavar="CD",
        help="cd/m² of white, where the file's XYZ are relative",
    )
    reading = parser.add_argument_group("how files are read")
    add_columns_option(reading, "what the display file's columns mean, such as XYY_CAPY=luminance")
    add_chart_option(reading)
    add_condition_option(reading)
    add_scale_option(reading)
    add_tolerances_option(parser)
    parser.add_argument(
        "--white-field", type=Path, metavar="FILE.html", help="write a white page to match by eye against blank paper"
    )
    add_report_options(parser, "what was found")
    parser.add_argument("--replace", action="store_true", help="overwrite existing files")


def run(arguments: argparse.Namespace) -> int:
    """Run the command. Returns 3 where a display has something to change."""
    from spectro.files.tolerance_file import read_tolerances
    from spectro.records.display_check import AimWishes
    from spectro.report.viewing_document import viewing_document
    from spectro.words.next_step import command
    from spectro.workflow.viewing import viewing

    with progress_line(arguments) as progress:
        plan = viewing(
            arguments.sources,
            paper=arguments.paper_white,
            lux=arguments.lux,
            condition=arguments.viewing,
            light=arguments.illuminant,
            screen_luminance=arguments.screen_luminance,
            display=arguments.display,
            aim=AimWishes(
                space=arguments.aim,
                luminance=arguments.aim_luminance,
                white=arguments.aim_white,
                gamma=arguments.aim_gamma,
            ),
            white_luminance=arguments.white_luminance,
            options=reading_options(arguments),
            tolerances=read_tolerances(arguments.tolerances),
            white_field=arguments.white_field,
            report=arguments.report,
            pdf=arguments.pdf,
            replace=arguments.replace,
            progress=progress,
        )
    written = {"White field": arguments.white_field, "Report": arguments.report, "PDF": arguments.pdf}
    following = command(*arguments.command_line, "--white-field", "white.html")
    if arguments.white_field:  # what the screen shows of it, once it is set
        following = "" if arguments.display else command(*_without_field(arguments.command_line), "--display", "DISPLAY.txt")
    return print_document(viewing_document(plan), arguments, following=following, **written)


def _without_field(words: Sequence[str]) -> list[str]:
    """Return the words of a command without the white field that was written."""
    at = next((place for place, word in enumerate(words) if word.startswith("--white-field")), len(words))
    behind = at + (1 if "=" in "".join(words[at : at + 1]) else 2)
    return [word for word in (*words[:at], *words[behind:]) if word != "--replace"]
