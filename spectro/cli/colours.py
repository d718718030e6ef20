"""`spectro colours`"""

import argparse
from pathlib import Path

from spectro.cli.help_layers import earlier_name
from spectro.cli.options import (
    add_columns_option,
    add_condition_option,
    add_insist_option,
    add_join_option,
    number,
    reading_options,
)
from spectro.cli.printing import print_document, write_out
from spectro.records.shown_text import shown_text


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument(
        "file",
        type=Path,
        metavar="FILE",
        help="readings with spectra (CGATS, CxF3, CSV, .xlsx, a profile); device values are not needed",
    )
    parser.add_argument(
        "--illuminant",
        action="append",
        metavar="LIGHT",
        help="a CIE illuminant, daylight such as 5500K, or a file of a light's spectrum; may be given again (D50)",
    )
    parser.add_argument("--observer", type=int, choices=[2, 10], default=2, help="CIE observer, degrees (2)")
    add_condition_option(parser)
    add_columns_option(parser)
    parser.add_argument("--status", choices=["T", "E", "A", "M"], default="T", help="status of density, ISO 5-3 (T)")
    paper = parser.add_argument(
        "--paper-patch",
        dest="paper",
        metavar="ID",
        help="the sample that is bare paper: density is counted from it (absolute)",
    )
    earlier_name(parser, paper, "--paper")
    parser.add_argument(
        "--solid",
        metavar="ID",
        help="with --paper-patch: the sample of an ink's full tone; tone values of the steps between them",
    )
    parser.add_argument(
        "--yule-nielsen",
        type=number(0, 100, above=True),
        default=1.0,
        metavar="N",
        help="factor of the tone value formula (1, Murray-Davies)",
    )
    parser.add_argument("--bandpass", action="store_true", help="take out the width of the instrument's band, if it did not")
    parser.add_argument("--against", type=Path, metavar="FILE", help="spectra that are the standards: adds colour differences")
    add_join_option(parser)
    add_insist_option(parser)
    parser.add_argument("--form", choices=["csv", "json", "cgats"], default="csv", help="form of the table (csv)")
    parser.add_argument("--out", type=Path, metavar="FILE", help="the file to write (standard output)")
    parser.add_argument("--replace", action="store_true", help="overwrite an existing file")


def run(arguments: argparse.Namespace) -> int:
    """Run the command."""
    from spectro.files.colour_table_text import colour_table_text
    from spectro.report.colours_document import colours_document
    from spectro.words.next_step import command
    from spectro.workflow.colours import colours

    table = colours(
        arguments.file,
        illuminants=arguments.illuminant or ["D50"],
        observer=arguments.observer,
        options=reading_options(arguments),
        status=arguments.status,
        paper=arguments.paper,
        solid=arguments.solid,
        yule_nielsen=arguments.yule_nielsen,
        bandpass=arguments.bandpass,
        against=arguments.against,
        out=arguments.out,
        form=arguments.form,
        replace=arguments.replace,
    )
    if arguments.out is None and not arguments.json:
        write_out(shown_text(colour_table_text(table, arguments.form)))
        return 0
    spectral = any(name.startswith("density") for name in table.columns)
    following = command("paper", "describe", arguments.file) if spectral else ""  # a paper is described by its spectra
    return print_document(colours_document(table, arguments.out), arguments, following=following)
