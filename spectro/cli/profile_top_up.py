"""`spectro profile top-up`"""

import argparse
from pathlib import Path

from spectro.cli.options import add_reading_options
from spectro.cli.printing import print_json, print_text, progress_line


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    add_reading_options(parser)
    parser.add_argument("--patches", type=int, default=60, metavar="N", help="how many patches are chosen, 12 to 400 (60)")
    parser.add_argument(
        "--recipe", default="rgb-a4-strip", help="the recipe whose page and reading mode are taken (rgb-a4-strip)"
    )
    parser.add_argument("--out", type=Path, metavar="FOLDER", help="write the recipe and its patches (else: only say)")
    parser.add_argument("--replace", action="store_true", help="overwrite files of an earlier top-up")


def run(arguments: argparse.Namespace) -> int:
    """Run the command."""
    from dataclasses import asdict

    from spectro.records.conditions import MeasurementCondition
    from spectro.workflow.profile.top_up import profile_top_up

    condition = arguments.measurement_condition
    with progress_line(arguments) as progress:
        found = profile_top_up(
            arguments.readings,
            arguments.out,
            patches=arguments.patches,
            recipe=arguments.recipe,
            chart=arguments.chart,
            measurement_condition=MeasurementCondition(condition) if condition else None,
            device_scale=arguments.device_scale,
            columns=dict(arguments.columns) or None,
            replace_files=arguments.replace,
            progress=progress,
        )
    if arguments.json:
        print_json(asdict(found))
        return 0
    where = ", ".join(f"{count} {name}" for name, count in found.regions.items())
    lines = [
        found.verdict,
        "",
        f"  chosen patches  {where}",
        f"  with them       corners, a grey ramp and repeats that tie the sheets together: {found.patches} patches",
        f"  one reading     has a noise of ΔE00 {found.repeat_noise:.2f}: no model can be surer about a single print",
    ]
    if found.recipe:
        lines.append(f"  recipe          {found.recipe}")
    print_text("\n".join(lines))
    return 0
