"""`spectro readings add`"""

import argparse
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from spectro.cli.help_layers import earlier_name
from spectro.cli.options import (
    add_chart_option,
    add_columns_option,
    add_condition_option,
    add_insist_option,
    add_list_option,
    add_order_option,
    add_scale_option,
    iso_date,
    reading_options,
)
from spectro.cli.printing import print_json, print_next, print_text, progress_line, to_outlet
from spectro.cli.shelf_options import add_on_shelf_options, kept_lines, wanted_condition


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("files", nargs="+", type=Path, metavar="FILE", help="finished readings: pages, sheets, second readings")
    add_chart_option(parser)
    parser.add_argument(
        "--predict-with",
        type=Path,
        metavar="FILE",
        help="a profile or earlier readings of this printing condition, to know what every patch should look like",
    )
    parser.add_argument(
        "--out",
        type=Path,
        metavar="FILE",
        help="the file to write: .csv, .xlsx, .cxf, else CGATS text (named by chart, condition and date)",
    )
    add_condition_option(parser)
    parser.add_argument(
        "--printed", type=iso_date, metavar="DATE", help="when the chart was printed, ISO 8601; kept in the file"
    )
    pages = add_list_option(
        parser, "--file-pages", "PAGE", "which page each file holds, where the files do not say", kind=int, dest="pages"
    )
    earlier_name(parser, pages, "--pages")
    parser.add_argument(
        "--merge",
        default="average",
        metavar="average|apart|NUMBER",
        help="several readings of a patch: average where they agree (default), keep apart, or keep this one",
    )
    add_columns_option(parser)
    add_scale_option(parser)
    add_order_option(parser)
    add_on_shelf_options(parser, "that keeps the readings that are written")
    add_insist_option(parser)
    parser.add_argument("--replace", action="store_true", help="overwrite an existing file")
    _add_repairs(parser)


def _add_repairs(parser: argparse.ArgumentParser) -> None:
    """Add what may be repaired, in a group of its own."""
    mend = parser.add_argument_group("repairs (none is made unless asked for; C is a strip, C7 a patch, 2:C of reading 2)")
    add_list_option(mend, "--turn", "STRIP", "read from its other end")
    add_list_option(mend, "--swap", "STRIP,STRIP", "read in each other's place", kind=_pair(","))
    add_list_option(mend, "--take-as", "STRIP=STRIP", "is another strip", kind=_pair("="))
    add_list_option(mend, "--line-up", "STRIP", "keep the patches whose place is clear")
    add_list_option(mend, "--leave-out", "NAME", "a strip or a patch")
    add_list_option(mend, "--turn-page", "PAGE", "a page that was read upside down")
    add_list_option(mend, "--as-page", "PAGE=PAGE", "is another page", kind=_pair("="))
    mend.add_argument("--accept-offers", action="store_true", help="all repairs that are offered and need no new reading")
    mend.add_argument(
        "--keep-anyway",
        action="store_true",
        help="with --insist: what is open is marked as questionable and stays out of profiles",
    )


def run(arguments: argparse.Namespace) -> int:
    """Run the command. 3 where something was found and is not resolved."""
    from spectro.checks.strip_repairs import Repairs
    from spectro.report.readings_document import added_document
    from spectro.report.render_json import render_json
    from spectro.report.render_text import render_text
    from spectro.words.next_step import after_faults, after_readings
    from spectro.words.reading_notes import mendable
    from spectro.workflow.readings.add import readings_add
    from spectro.workflow.steps.chart_purpose import chart_purpose, printed_through
    from spectro.workflow.steps.condition_files import role_of
    from spectro.workflow.steps.shelf import keep_readings

    repairs = Repairs(
        turn=tuple(arguments.turn),
        swap=tuple(arguments.swap),
        take_as=tuple(arguments.take_as),
        line_up=tuple(arguments.line_up),
        leave_out=tuple(arguments.leave_out),
        turn_page=tuple(arguments.turn_page),
        as_page=tuple(arguments.as_page),
        accept_offers=arguments.accept_offers,
    )
    wanted_condition(arguments)  # one that is not there is refused before anything is read
    with progress_line(arguments) as progress:
        result = readings_add(
            arguments.files,
            options=reading_options(arguments),
            predict_with=arguments.predict_with,
            out=arguments.out,
            printed=arguments.printed.date().isoformat() if arguments.printed else "",
            pages=arguments.pages,
            merge=arguments.merge,
            repairs=repairs,
            keep_anyway=arguments.keep_anyway,
            replace_existing=arguments.replace,
            progress=progress,
        )
    kept = None
    purpose = chart_purpose(arguments.chart, result.measurements.device.shape[1] if result.measurements else 3)
    if arguments.on_shelf and result.out:
        role = role_of(purpose)
        kept = keep_readings(arguments.shelf, arguments.on_shelf, Path(result.out), gate=result.gate, role=role)
    if result.out:
        shelved = arguments.on_shelf if kept else ""
        following = after_readings(
            [result.out],
            purpose,
            shelved=shelved or "",
            chart=arguments.chart or "CHART",
            through=printed_through(arguments.chart),
        )
    else:
        following = after_faults(
            arguments.command_line,
            misread=bool(result.notes),
            mendable=mendable(result.notes),
            chart=arguments.chart or "CHART",
        )
    document = added_document(result)
    document = replace(document, verdict=replace(document.verdict, next=following))
    to_outlet(document)
    if arguments.json:
        print_json(render_json(document), arguments)
    else:
        lines = [render_text(document), *(kept_lines(arguments.on_shelf, kept) if kept is not None else ())]
        print_text("\n".join(lines), arguments)
        print_next(following, arguments)
    return 0 if result.resolved else 3


def _pair(sign: str) -> Callable[[str], tuple[str, str]]:
    """Return what tells two names with a sign between them; its errors become messages of argparse."""

    def names(text: str) -> tuple[str, str]:
        first, found, second = text.partition(sign)
        if not (first and found and second):
            raise argparse.ArgumentTypeError(f"{text!r} is not two names with {sign!r} between them")
        return first.strip(), second.strip()

    return names
