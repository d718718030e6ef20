"""`spectro paper describe`"""

import argparse
from pathlib import Path

from spectro.cli.options import add_reading_options, add_report_options, add_tolerances_option
from spectro.cli.printing import lab_text, print_json, print_text, progress_line


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    add_reading_options(parser)
    parser.add_argument(
        "--illuminant",
        default="D50",
        metavar="LIGHT",
        help="where prints will hang: a CIE illuminant, daylight such as 5500K, or a file of the light's spectrum (D50)",
    )
    parser.add_argument(
        "--adaptation",
        choices=["CAT02", "CAT16", "Bradford", "CMCCAT2000"],
        default="CAT02",
        help="how the eye's adaptation is reckoned in colour inconstancy (CAT02)",
    )
    parser.add_argument("--over-black", type=Path, metavar="FILE", help="readings of the bare sheet over a black backing")
    parser.add_argument("--backing", type=Path, metavar="FILE", help="readings of the backing alone")
    parser.add_argument("--name", default="", help="what the sheet calls the paper")
    add_report_options(parser, "the sheet")
    add_tolerances_option(parser)
    parser.add_argument("--replace", action="store_true", help="overwrite an existing sheet")


def run(arguments: argparse.Namespace) -> int:
    """Run the command."""
    from spectro.files.tolerance_file import read_tolerances
    from spectro.records.conditions import MeasurementCondition
    from spectro.report.paper_numbers import paper_numbers
    from spectro.words.tones import contrast_words, step_words
    from spectro.workflow.paper.describe import paper_describe

    condition = arguments.measurement_condition
    with progress_line(arguments) as progress:
        sheet = paper_describe(
            arguments.readings,
            chart=arguments.chart,
            measurement_condition=MeasurementCondition(condition) if condition else None,
            device_scale=arguments.device_scale,
            light=arguments.illuminant,
            adaptation=arguments.adaptation,
            over_black=arguments.over_black,
            backing=arguments.backing,
            name=arguments.name,
            report=arguments.report,
            pdf=arguments.pdf,
            replace=arguments.replace,
            tolerances=read_tolerances(arguments.tolerances),
            progress=progress,
        )
    if arguments.json:
        print_json(paper_numbers(sheet))
        return 0
    lines = [sheet.verdict, "", f"  paper           {sheet.name}", f"  readings        {sheet.origin}"]
    for paper in sheet.papers:
        lines.append(
            f"  {paper.condition:<16}Lab {lab_text(paper.lab)} (D50, 2°); whiteness {paper.whiteness:.1f}, "
            f"tint {paper.tint:.2f}{' (outside the limits)' if paper.outside else ''}; "
            f"R457 {paper.brightness:.1f}; yellowness {paper.yellowness:.1f}"
        )
    for error in sheet.light.errors:
        mean = "" if error.mean is None else f", {error.mean:.1f} in the mean of all colours"
        read = "" if error.measured else " (not read, estimated)"
        lines.append(
            f"  under {sheet.light.light}: profile from {error.condition}{read} off by "
            f"ΔE00 {error.paper:.1f} at the paper{mean}"
        )
    lines.append(f"  nearest to {sheet.light.light}: {sheet.light.nearest}")
    tones = sheet.tones
    if tones is not None:
        lines.append(
            f"  white           Lab {lab_text(tones.white_lab)}, {tones.white_origin}\n"
            f"  black           Lab {lab_text(tones.black_lab)}, {tones.black_origin}; visual density "
            f"{tones.black_density:.2f}; contrast {contrast_words(tones.contrast, sheet.main, tones.contrast_origin)}, "
            f"density range {tones.density_range:.2f}"
        )
        for word, step in (("first shadow", tones.first_shadow), ("last highlight", tones.last_highlight)):
            if step is not None:
                lines.append(f"  {word:<16}{step_words(tones.ramp_of, step)} ({tones.ramp_origin})")
        rising = ", ".join(f"{100 * row.reflected:g} %: L* {row.lightness:.1f}" for row in sheet.wall)
        lines.append(f"  black on a wall {rising} (share of the light mirrored by the surface)")
    if sheet.constancy is not None:
        found = sheet.constancy
        lines.append(f"  inconstancy     ΔE00 against {found.reference}, {found.observer}°, {found.adaptation}:")
        for row in found.rows:
            lines.append(f"    {row.name:<14}" + ", ".join(f"{light} {value:.1f}" for light, value in row.change.items()))
    if sheet.opacity is not None:
        lines.append(f"  opacity         {sheet.opacity:.1f} % (ISO 13655 form)")
    if sheet.backing is not None:
        lines.append(f"  backing         {'; '.join(sheet.backing) or 'keeps the limits of ISO 13655 that a reading can show'}")
    lines += ["", "Mind:", *(f"  {caution}" for caution in sheet.cautions)]
    if arguments.report:
        lines += ["", f"Sheet: {arguments.report}"]
    if arguments.pdf:
        lines += ["", f"PDF: {arguments.pdf}"]
    print_text("\n".join(lines))
    return 0
