"""`spectro demo`"""

import argparse
from pathlib import Path

from spectro.cli.printing import print_json, print_text, progress_line


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("--out", type=Path, metavar="FOLDER", help="the folder to make (spectro-demo in this one)")


def run(arguments: argparse.Namespace) -> int:
    """Run the command."""
    from spectro.workflow.demo import demo

    with progress_line(arguments) as progress:
        result = demo(arguments.out, progress=progress)
    overall, left, tables = (
        result.assessment.delta_e_2000,
        result.profile.forecast.cross_validation,
        result.profile.round_trip,
    )
    if arguments.json:
        print_json(
            {
                "note": result.note,
                "folder": str(result.folder),
                "chart": str(result.chart),
                "readings": [str(path) for path in result.readings],
                "profile": result.profile.profile,
                "report": str(result.report),
                "verdict": result.assessment.verdict,
                "delta_e_2000": {"mean": overall.mean, "p95": overall.p95, "max": overall.max, "n": overall.n},
                "cross_validation": {"mean": left.mean, "p95": left.p95, "max": left.max},
                "round_trip": {"mean": tables.mean, "p95": tables.p95, "max": tables.max},
                "seconds": result.seconds,
            }
        )
        return 0
    print_text(
        f"""{result.note}

  1 chart     {result.chart}/pages.pdf: {result.profile.patches} patches on one A4 page
  2 readings  {result.readings[0]}: printed and read on the stand-in, {result.profile.measurement_condition}
  3 profile   {result.profile.profile}
              a left-out patch is predicted to ΔE00 {left.mean:.2f} in the mean, {left.p95:.2f} at the 95th percentile
  4 check     {result.readings[1]}: {overall.n} other colours on a second sheet, "printed" a week later

{result.assessment.verdict}

Report: {result.report}  (open it in a browser; {result.seconds:.1f} s in all)"""
    )
    return 0
