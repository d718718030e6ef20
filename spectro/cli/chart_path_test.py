"""`spectro chart path-test`: make the page, or judge the readings of it."""

import argparse
from pathlib import Path

from spectro.cli.help_layers import earlier_name
from spectro.cli.options import (
    add_how_read_options,
    add_list_option,
    add_report_options,
    add_tolerances_option,
    number,
    reading_options,
)
from spectro.cli.printing import print_document, progress_line

RULE_MM = 100.0
_NO_PATH = 3  # exit code
_EPILOG = (
    "First: --out FOLDER makes the page. Print it by every path, measure its scale bars, read it. "
    "Then: --readings NAME=FILE … --scale-bar NAME=99.9 … says which path leaves colours and size alone. "
    "Exit code 3: no path is known to leave colours and size alone."
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's own arguments."""
    parser.epilog = f"{_EPILOG} {parser.epilog}"
    make = parser.add_argument_group("making the page")
    make.add_argument("--out", type=Path, metavar="FOLDER", help="the folder to make")
    add_list_option(make, "--path", "NAME", "print paths by name, a page each; without: one page for all")
    make.add_argument("--page", metavar="SIZE", help="the paper: a4 (if nothing is said), a5, letter, 10x15cm, 8.5x11in …")
    for word in ("printer", "paper", "settings"):
        make.add_argument(f"--{word}", default="", metavar="TEXT", help=f"printed on the pages as the {word}")
    make.add_argument(
        "--drying-hours", type=number(0, 10_000), metavar="HOURS", help="how long prints are to dry, printed on the pages"
    )
    judge = parser.add_argument_group("judging readings of it")
    add_list_option(judge, "--readings", "NAME=FILE", "readings of the page as each path printed it", kind=path_file)
    bar = add_list_option(
        judge,
        "--scale-bar",
        "NAME=MM",
        "measured length of the 100 mm scale bar; NAME=97x99.5 for across and down; NAME=77.6/80 for another bar",
        kind=path_rule,
        dest="rule",
    )
    earlier_name(parser, bar, "--rule")
    judge.add_argument(
        "--profile", type=Path, metavar="FILE.icc", help="a profile of this printer and paper, printed unconverted"
    )
    add_list_option(judge, "--earlier", "FILE", "readings of an earlier chart, printed unconverted", kind=Path)
    add_report_options(judge, "the answer")
    reading = parser.add_argument_group("how files are read, and limits")
    add_how_read_options(reading)
    add_tolerances_option(reading)
    parser.add_argument("--replace", action="store_true", help="overwrite an existing folder or report")


def path_file(text: str) -> tuple[str, Path]:
    """Return name and file of `NAME=FILE`; a file alone is named by its stem."""
    name, equals, file = text.partition("=")
    if not equals:
        return Path(text).stem, Path(text)
    if not (name.strip() and file):
        raise argparse.ArgumentTypeError(f"{text!r} is not NAME=FILE, such as dialog=dialog.txt")
    return name.strip(), Path(file)


def path_rule(text: str) -> tuple[str, tuple[float, ...]]:
    """Return name and measured over printed length of `NAME=97`, `NAME=97x99.5` or `NAME=77.6/80`.

    >>> path_rule("plain=97"), path_rule("p=77.6/80")
    (('plain', (0.97,)), ('p', (0.97,)))
    """
    name, _, lengths = text.rpartition("=")
    try:
        measured, _, printed = lengths.replace(",", ".").partition("/")
        whole = float(printed) if printed else RULE_MM
        ratios = tuple(float(part.lower().removesuffix("mm")) / whole for part in measured.lower().split("x"))
        if not name.strip() or not 1 <= len(ratios) <= 2:
            raise ValueError
    except (ValueError, ZeroDivisionError):
        raise argparse.ArgumentTypeError(f"{text!r} is not NAME=MM, such as dialog=97.0 or dialog=97.0x99.5") from None
    return name.strip(), ratios


def run(arguments: argparse.Namespace) -> int:
    """Make or judge. Returns 0, or 3 where no path read is known to leave colours and size alone: open is not safe."""
    from spectro.errors import InputError

    if bool(arguments.out) == bool(arguments.readings):
        found = "both --out and --readings" if arguments.out else "neither --out nor --readings"
        raise InputError(found, "one of them", "--out FOLDER makes the page; --readings NAME=FILE … judges what was printed.")
    _check_sides(arguments)
    return _make(arguments) if arguments.out else _judge(arguments)


def _check_sides(arguments: argparse.Namespace) -> None:
    """Refuse options of the other half, which would be lost without a word."""
    from spectro.errors import InputError

    making = ("path", "page", "printer", "paper", "settings", "drying_hours")
    judging = (
        "rule",
        "profile",
        "earlier",
        "chart",
        "measurement_condition",
        "columns",
        "device_scale",
        "insist",
        "tolerances",
        "report",
        "pdf",
    )
    wrong = [name for name in (judging if arguments.out else making) if getattr(arguments, name) not in (None, "", [])]
    if wrong:
        side = "--out" if arguments.out else "--readings"
        raise InputError(f"{arguments.options[wrong[0]]} together with {side}", f"options that go with {side}", "Leave it out.")


def _make(arguments: argparse.Namespace) -> int:
    from spectro.report.chart_document import chart_document
    from spectro.words.next_step import after_path_pages
    from spectro.workflow.chart.path_test import path_test_pages

    with progress_line(arguments) as progress:
        result = path_test_pages(
            arguments.out,
            paths=arguments.path,
            page=arguments.page,
            printer=arguments.printer,
            paper=arguments.paper,
            settings=arguments.settings,
            drying_hours=arguments.drying_hours,
            replace=arguments.replace,
            progress=progress,
        )
    following = after_path_pages(arguments.path)
    return print_document(chart_document(result, f"Chart {result.chart_id}."), arguments, following=following)


def _judge(arguments: argparse.Namespace) -> int:
    from spectro.errors import InputError
    from spectro.files.tolerance_file import read_tolerances
    from spectro.report.path_test_document import path_test_document
    from spectro.words.next_step import command
    from spectro.workflow.chart.path_test import judge_path_test

    readings: dict[str, list[Path]] = {}
    for name, file in arguments.readings:
        readings.setdefault(name, []).append(file)
    rules: dict[str, tuple[float, ...]] = {}
    for name, ratios in arguments.rule:
        if name in rules:
            raise InputError(
                f'two lengths of the scale bar of "{name}"', "one, such as NAME=97x99.5 for across and down", "Join them."
            )
        rules[name] = ratios
    with progress_line(arguments) as progress:
        result = judge_path_test(
            readings,
            rules=rules,
            profile=arguments.profile,
            earlier=arguments.earlier,
            options=reading_options(arguments),
            report=arguments.report,
            pdf=arguments.pdf,
            replace=arguments.replace,
            tolerances=read_tolerances(arguments.tolerances),
            progress=progress,
        )
    following = command("chart", "new")
    code = print_document(
        path_test_document(result), arguments, following=following, Report=arguments.report, PDF=arguments.pdf
    )
    return code if any(found.usable for found in result.findings) else _NO_PATH
