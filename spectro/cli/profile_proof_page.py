"""`spectro profile proof-page`"""

import argparse
from pathlib import Path

from spectro.cli.printing import print_json, print_text, progress_line
from spectro.cli.shelf_options import add_on_shelf_options


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("profile", type=Path, metavar="PROFILE", help="the ICC profile of an RGB printer")
    parser.add_argument(
        "--out", type=Path, metavar="FOLDER", help="the chart folder to make; without it: one in the current folder"
    )
    parser.add_argument(
        "--way",
        choices=["device", "lab", "oprgb"],
        default="device",
        help="device: converted here, printed without colour management, tests the profile alone; lab or oprgb: your "
        "program converts as it does pictures, tests the whole way (device)",
    )
    parser.add_argument(
        "--intent", choices=["relative", "absolute", "perceptual"], default="relative", help="rendering intent (relative)"
    )
    parser.add_argument("--patches", type=int, default=132, metavar="N", help="how many, repeats included, 90 to 1500 (132)")
    parser.add_argument(
        "--recipe", default="rgb-a4-strip", help="the recipe whose page and reading mode are taken (rgb-a4-strip)"
    )
    parser.add_argument("--page", metavar="SIZE", help="the paper instead of the recipe's: a4, letter, 13x19in …")
    parser.add_argument("--seed", type=int, default=1, metavar="N", help="another seed gives other colours in another order")
    parser.add_argument("--title", metavar="TEXT", help="the title printed on the pages")
    for word in ("printer", "paper", "settings"):
        parser.add_argument(f"--{word}", metavar="TEXT", help=f"printed on the pages as the {word} of the printing condition")
    parser.add_argument("--replace", action="store_true", help="overwrite an existing chart folder")
    add_on_shelf_options(parser, "whose printer, paper and settings are printed on the pages")


def run(arguments: argparse.Namespace) -> int:
    """Make the page and print what was made and why. Returns 0."""
    import dataclasses

    from spectro.records.conditions import RenderingIntent
    from spectro.records.proof import ProofWay
    from spectro.workflow.profile.proof_page import profile_proof_page

    printer, paper, settings = (text or "" for text in (arguments.printer, arguments.paper, arguments.settings))
    if arguments.on_shelf:
        from spectro.workflow.steps.shelf import stored_condition

        condition = stored_condition(arguments.shelf, arguments.on_shelf).condition
        printer, paper, settings = printer or condition.printer, paper or condition.paper, settings or condition.driver_text
    with progress_line(arguments) as progress:
        result = profile_proof_page(
            arguments.profile,
            arguments.out,
            way=ProofWay(arguments.way),
            intent=RenderingIntent(arguments.intent),
            patches=arguments.patches,
            recipe=arguments.recipe,
            page=arguments.page,
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
    lines += ["", f"Next, once it is read: spectro profile assess {arguments.profile} --proof READINGS --chart {result.folder}"]
    print_text("\n".join(lines))
    return 0
