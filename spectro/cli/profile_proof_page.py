"""`spectro profile proof-page`"""

import argparse
from pathlib import Path

from spectro.cli.options import add_chart_folder_options, add_printed_words_options, printed_words
from spectro.cli.printing import print_document, progress_line


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("profile", type=Path, metavar="PROFILE", help="the ICC profile of an RGB printer")
    add_chart_folder_options(parser)
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
    add_printed_words_options(parser)


def run(arguments: argparse.Namespace) -> int:
    """Make the page and print what was made and why. Returns 0."""
    from spectro.records.conditions import RenderingIntent
    from spectro.records.proof import ProofWay
    from spectro.report.chart_document import chart_document
    from spectro.words.next_step import after_chart
    from spectro.workflow.profile.proof_page import profile_proof_page

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
            **{word: text or "" for word, text in printed_words(arguments).items()},
            replace=arguments.replace,
            progress=progress,
        )
    named = f"Recipe {result.recipe}, chart {result.chart_id}, seed {result.seed}."
    following = after_chart(result.folder, result.purpose, profile=arguments.profile)
    return print_document(chart_document(result, named), arguments, following=following)
