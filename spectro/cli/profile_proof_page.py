"""`spectro profile proof-page`"""

import argparse
from pathlib import Path

from spectro.cli.options import add_chart_folder_options, add_printed_words_options, printed_words
from spectro.cli.printing import print_document, progress_line
from spectro.cli.shelf_names import NAMED, first_chart, working_from_shelf
from spectro.cli.shelf_options import with_chart_kept


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("profile", type=Path, metavar="PROFILE", help=f"the ICC profile of printer and paper{NAMED}")
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
        "--recipe",
        metavar="RECIPE|CHART",
        help="whose page, patches and reading are taken: the folder of the first chart, or a recipe (the condition's first "
        "chart on the shelf, else rgb-a4-strip, cmyk-strip or six-ink-strip)",
    )
    parser.add_argument("--page", metavar="SIZE", help="the paper instead of the recipe's: a4, letter, 13x19in …")
    parser.add_argument("--seed", type=int, default=1, metavar="N", help="another seed gives other colours in another order")
    add_printed_words_options(parser)


def run(arguments: argparse.Namespace) -> int:
    """Make the page, for the reader of the first chart where the shelf knows it. Returns 0."""
    with working_from_shelf(arguments, arguments.profile) as (files, name):
        if name:
            arguments.profile = files.profile(name)
        arguments.recipe = arguments.recipe or first_chart(files, arguments) or ""
        return _make(arguments)


def _make(arguments: argparse.Namespace) -> int:
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
    like = Path(result.recipe)
    named = f"{'Pages as of chart' if like.is_dir() else 'Recipe'} {like.name}, chart {result.chart_id}, seed {result.seed}."
    following = after_chart(result.folder, result.purpose, profile=arguments.profile, shelved=arguments.on_shelf or "")
    document = with_chart_kept(chart_document(result, named), arguments, result)
    return print_document(document, arguments, following=following)
