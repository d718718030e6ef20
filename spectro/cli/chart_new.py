"""`spectro chart new`: make a chart."""

import argparse
from pathlib import Path

from spectro.cli.printing import print_json, print_text, progress_line
from spectro.cli.shelf_options import add_on_shelf_options


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's own arguments."""
    parser.add_argument(
        "recipe",
        nargs="?",
        default="rgb-a4-strip",
        metavar="RECIPE",
        help="name of a ready recipe (such as rgb-a4-strip, rgb-medium-patch, cmyk-medium-table) or a TOML file; "
        "without one: %(default)s",
    )
    parser.add_argument(
        "--out", type=Path, metavar="FOLDER", help="the chart folder to make; without it: one in the current folder"
    )
    parser.add_argument("--patches", type=int, metavar="N", help="how many patches, repeats included, 24 to 6000")
    parser.add_argument(
        "--pages", type=int, metavar="N", help="as many patches as fit on N pages; with --patches: at most so many"
    )
    parser.add_argument(
        "--page",
        metavar="SIZE",
        help="the paper: a5 a4 a3 a3+ a2 a1 letter 13x19in 17x22in 10x15cm roll-17in roll-24in roll-44in, "
        "or measures such as 8.5x11in or 200x250mm",
    )
    parser.add_argument("--channels", metavar="NAMES", help="RGB, CMYK, grey, or inks: cyan,magenta,yellow,black,orange,green")
    parser.add_argument("--total-area", type=float, metavar="PERCENT", help="ink charts: the most ink of any patch")
    parser.add_argument("--seed", type=int, metavar="N", help="another seed gives other patches in another order")
    parser.add_argument("--title", metavar="TEXT", help="the title printed on the pages")
    for word in ("printer", "paper", "settings"):
        parser.add_argument(f"--{word}", metavar="TEXT", help=f"printed on the pages as the {word} of the printing condition")
    parser.add_argument("--replace", action="store_true", help="overwrite an existing chart folder")
    add_on_shelf_options(parser, "whose printer, paper and settings are printed on the pages")


def run(arguments: argparse.Namespace) -> int:
    """Make the chart and print what was made and why. Returns 0."""
    import dataclasses

    from spectro.workflow.chart.new import chart_new

    printer, paper, settings = arguments.printer, arguments.paper, arguments.settings
    if arguments.on_shelf:
        from spectro.workflow.steps.shelf import stored_condition

        condition = stored_condition(arguments.shelf, arguments.on_shelf).condition
        printer, paper, settings = printer or condition.printer, paper or condition.paper, settings or condition.driver_text
    with progress_line(arguments) as progress:
        result = chart_new(
            arguments.recipe,
            arguments.out,
            patches=arguments.patches,
            pages=arguments.pages,
            page=arguments.page,
            channels=arguments.channels,
            total_area=arguments.total_area,
            seed=arguments.seed,
            title=arguments.title,
            printer=printer,
            paper=paper,
            settings=settings,
            replace=arguments.replace,
            progress=progress,
        )
    if arguments.json:
        print_json({**dataclasses.asdict(result), "folder": str(result.folder)})
        return 0
    lines = [result.verdict, "", f"Recipe {result.recipe}, chart {result.chart_id}, seed {result.seed}."]
    lines += result.choices
    lines += ["", f"{result.folder}/", *(f"  {name}" for name in result.files)]
    print_text("\n".join(lines))
    return 0
