"""`spectro profile substitutes`"""

import argparse
from pathlib import Path

from spectro.cli.options import add_report_options, add_tolerances_option
from spectro.cli.printing import print_document, reporting
from spectro.cli.shelf_names import NAMED, working_from_shelf
from spectro.cli.shelf_options import add_shelf_option


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument(
        "profiles",
        nargs="*",
        metavar="PROFILE",
        help=f"two or more output profiles{NAMED}; where none is named, all conditions on the shelf that have a profile",
    )
    parser.add_argument(
        "--common-gamut", type=Path, metavar="FILE.icc", help="write a profile of the gamut that all of them hold"
    )
    parser.add_argument("--out", type=Path, metavar="FILE.csv", help="write all pairs as a table")
    add_shelf_option(parser)
    add_report_options(parser)
    add_tolerances_option(parser)
    parser.add_argument("--replace", action="store_true", help="overwrite existing files")
    parser.set_defaults(on_shelf=None)


def run(arguments: argparse.Namespace) -> int:
    """Compare the profiles. Returns 0; that one cannot stand in for another is no fault."""
    from spectro.files.tolerance_file import read_tolerances
    from spectro.report.substitutes_document import substitutes_document
    from spectro.standards.limits import Tolerances
    from spectro.words.next_step import command
    from spectro.workflow.profile.substitutes import profile_substitutes

    tolerances = read_tolerances(arguments.tolerances)
    with working_from_shelf(arguments, None) as (files, _), reporting(arguments) as (progress, report):
        words = arguments.profiles or files.with_profile()
        kept = [files.named(word) for word in words]
        found = profile_substitutes(
            [files.profile(name) if name else Path(word) for name, word in zip(kept, words, strict=True)],
            names=kept,
            common_gamut=arguments.common_gamut,
            out=arguments.out,
            replace=arguments.replace,
            tolerances=tolerances,
            progress=progress,
        )
        document = report(substitutes_document(found, (tolerances or Tolerances()).of("substitutes")))
    following = (
        command("image", "convert", "PICTURE.tif", "--to", words[0], "--as-printed-by", arguments.common_gamut)
        if arguments.common_gamut
        else command("profile", "substitutes", *arguments.profiles, "--common-gamut", "common.icc")
    )
    return print_document(
        document,
        arguments,
        following=following,
        **{"Common gamut": arguments.common_gamut, "Table": arguments.out, "Report": arguments.report, "PDF": arguments.pdf},
    )
