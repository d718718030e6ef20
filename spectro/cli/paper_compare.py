"""`spectro paper compare`"""

import argparse
from typing import TYPE_CHECKING

from spectro.cli.options import (
    add_chart_option,
    add_columns_option,
    add_condition_option,
    add_report_options,
    add_scale_option,
    add_tolerances_option,
)
from spectro.cli.printing import lab_text, print_json, print_text, progress_line
from spectro.cli.shelf_options import add_shelf_option
from spectro.errors import InputError

if TYPE_CHECKING:
    from spectro.records.paper_comparison import PaperComparison, PaperPair


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument(
        "papers",
        nargs="+",
        metavar="PAPER",
        help="the old paper, then new ones: FILE, NAME=FILE, or FILE,FILE for readings under two measurement conditions; "
        "readings, colours or a profile; or the NAME of a printing condition on the shelf",
    )
    parser.add_argument("--settings", action="store_true", help="the files are one paper under several driver settings")
    parser.add_argument(
        "--weight",
        action="extend",
        nargs="+",
        type=weight,
        default=[],
        metavar="CRITERION=WEIGHT",
        help="order the papers by: white, black, contrast, gamut, shadows, greys, light, noise, cost (gamut=2 black=1)",
    )
    parser.add_argument(
        "--cost", action="extend", nargs="+", type=weight, default=[], metavar="NAME=COST", help="what one print costs"
    )
    parser.add_argument(
        "--illuminant", action="extend", nargs="+", metavar="LIGHT", help="lights that prints are seen in (A D65 F11 LED-B3)"
    )
    parser.add_argument(
        "--surface-reflection",
        type=float,
        default=1.0,
        metavar="PERCENT",
        help="light that the surface mirrors on a wall, for contrast (1)",
    )
    add_chart_option(parser)
    add_condition_option(parser)
    add_columns_option(parser)
    add_scale_option(parser)
    add_shelf_option(parser)
    add_report_options(parser)
    add_tolerances_option(parser)
    parser.add_argument("--replace", action="store_true", help="overwrite existing reports")


def weight(text: str) -> tuple[str, float]:
    """Return name and number of `NAME=NUMBER`; the number may have a decimal comma."""
    name, equals, number = text.rpartition("=")
    try:
        if not (name and equals):
            raise ValueError
        return name.strip(), float(number.replace(",", "."))
    except ValueError as error:
        raise argparse.ArgumentTypeError(f"{text!r} is not NAME=NUMBER, such as gamut=2") from error


def run(arguments: argparse.Namespace) -> int:
    """Run the command."""
    from spectro.files.tolerance_file import read_tolerances
    from spectro.records.conditions import MeasurementCondition
    from spectro.report.comparison_numbers import comparison_numbers
    from spectro.workflow.paper.compare import LIGHTS, paper_compare
    from spectro.workflow.steps.shelf import files_by_name

    if arguments.weight and not arguments.cost and any(name == "cost" for name, _ in arguments.weight):
        raise InputError("--weight cost without --cost", "what one print costs", "Add --cost NAME=COST for each paper.")

    condition = arguments.measurement_condition
    with progress_line(arguments) as progress:
        found = paper_compare(
            arguments.papers,
            settings=arguments.settings,
            weights=dict(arguments.weight) or None,
            costs=dict(arguments.cost),
            lights=arguments.illuminant or LIGHTS,
            surface_reflection=arguments.surface_reflection / 100,
            chart=arguments.chart,
            measurement_condition=MeasurementCondition(condition) if condition else None,
            device_scale=arguments.device_scale,
            columns=dict(arguments.columns) or None,
            report=arguments.report,
            pdf=arguments.pdf,
            replace=arguments.replace,
            tolerances=read_tolerances(arguments.tolerances),
            find=files_by_name(arguments.shelf),
            progress=progress,
        )
    if arguments.json:
        print_json(comparison_numbers(found))
        return 0
    lines = [found.verdict, "", *_papers(found, arguments.surface_reflection / 100)]
    for pair in found.pairs:
        lines += ["", *_pair(pair, many=len(found.pairs) > 1)]
    if found.ranking is not None:
        lines += ["", f"By weights ({', '.join(f'{name} {value:g}' for name, value in found.ranking.weights.items())}), "
                  "steps that count behind the best:"]  # fmt: skip
        for place, row in enumerate(found.ranking.rows, 1):
            parts = ", ".join(f"{name} {steps:.1f}" for name, steps in row.behind.items() if steps is not None)
            lines.append(f"  {place}. {row.name}: {row.score:.2f} ({parts})")
    lines += ["", "Mind:", *(f"  {caution}" for caution in found.cautions)]
    for path in (arguments.report, arguments.pdf):
        if path:
            lines += ["", f"Report: {path}"]
    print_text("\n".join(lines))
    return 0


def _papers(found: "PaperComparison", wall: float) -> list[str]:
    from spectro.report.comparison_rows import what_was_read
    from spectro.words.tones import contrast_words, step_words

    rows = [("", [paper.name for paper in found.papers])]
    rows.append(("read", [what_was_read(paper) for paper in found.papers]))
    rows.append(("white Lab", [f"{lab_text(paper.white_lab)}, {paper.white_origin}" for paper in found.papers]))
    rows.append(("whiteness, tint", [_two(paper.whiteness, paper.tint) for paper in found.papers]))
    rows.append(
        (
            "brightener",
            ["–" if paper.brightener is None else paper.brightener.level for paper in found.papers],
        )
    )
    rows.append(("black Lab", [f"{lab_text(paper.black_lab)}, {paper.black_origin}" for paper in found.papers]))
    rows.append(
        ("contrast as read", [contrast_words(paper.contrast, paper.condition, paper.contrast_origin) for paper in found.papers])
    )
    on_wall = [next(row.contrast for row in paper.wall if row.reflected == wall) for paper in found.papers]
    rows.append((f"  {100 * wall:g} % mirrored", [f"{value:.0f} : 1" for value in on_wall]))
    rows.append(("gamut, cubic Lab", [_one(paper.volume, 0) for paper in found.papers]))
    for name in ("first_shadow", "last_highlight"):
        rows.append((name.replace("_", " "), [step_words(paper.ramp_of, getattr(paper, name)) for paper in found.papers]))
    rows.append(("greys off neutral", [_one(paper.grey_cast, 1) for paper in found.papers]))
    rows.append(("dark eighth ΔE00", [_one(paper.shadow_separation, 1) for paper in found.papers]))
    for light in found.papers[0].light_change:
        values = [paper.light_change.get(light) for paper in found.papers]
        rows.append((f"change under {light}", [_one(value, 1) for value in values]))
    rows.append(("noise ΔE00", [_one(paper.noise, 2) for paper in found.papers]))
    if any(paper.cost is not None for paper in found.papers):
        rows.append(("cost a print", ["–" if paper.cost is None else f"{paper.cost:g}" for paper in found.papers]))
    widths = [max(len(cells[column]) for _, cells in rows) for column in range(len(found.papers))]
    return [
        f"  {name:<20}" + "  ".join(f"{cell:>{width}}" for cell, width in zip(cells, widths, strict=True))
        for name, cells in rows
    ]


def _pair(pair: "PaperPair", *, many: bool) -> list[str]:
    lines = [f"{pair.new} against {pair.old}:"] if many else []
    if many:
        lines.append(f"  {pair.verdict}")
    lines.append(f"  paper apart ΔE00 {pair.white_apart:.2f}, black apart {pair.black_apart:.2f}")
    if pair.measured is not None:
        one = pair.measured
        lines.append(
            f"  {one.n} patches in common ({pair.joined}): ΔE00 mean {one.mean:.3f}, 95th percentile {one.p95:.3f}, "
            f"largest {one.max:.3f}"
        )
    if pair.predicted_on_common is not None:
        lines.append(f"  the same predicted by models that have not seen them: mean {pair.predicted_on_common:.2f}")
    if pair.gamut is not None:
        lines.append(
            f"  colours gained {pair.gamut.gained:.0f}, lost {pair.gamut.lost:.0f}, in both {pair.gamut.shared:.0f} cubic Lab"
        )
        for row in pair.gamut.regions[:6]:
            lines.append(
                f"    {row.name:<24}+{row.gained:.0f} −{row.lost:.0f}; chroma {row.old_chroma:.0f} to {row.new_chroma:.0f}"
            )
    if pair.reuse is not None:
        lines.append(f"  the old profile on the new paper: {pair.reuse.answer}")
        for remedy in pair.reuse.remedies:
            one = remedy.absolute
            lines.append(
                f"    {remedy.name:<36}ΔE00 mean {one.mean:.2f}, 95th percentile {one.p95:.2f} (to read: {remedy.patches})"
            )
        lines.append(f"    as it is, relative to either paper  ΔE00 mean {pair.reuse.relative.mean:.2f}")
    if pair.metamerism is not None:
        parts = ", ".join(f"{light} {value:.1f}" for light, value in pair.metamerism.mean.items())
        lines.append(
            f"  matched in {pair.metamerism.reference}, {pair.metamerism.colours} colours differ under: {parts} (ΔE00)"
        )
    return lines


def _one(value: float | None, digits: int) -> str:
    return "–" if value is None else f"{value:.{digits}f}"


def _two(first: float | None, second: float | None) -> str:
    return "–" if first is None else f"{first:.1f}, {second:.1f}"
