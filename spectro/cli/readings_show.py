"""`spectro readings show`"""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from spectro.cli.options import add_chart_option, add_condition_option
from spectro.cli.printing import lab_text, print_json, print_text, progress_line

if TYPE_CHECKING:
    from spectro.records.readings_sheet import ReadingsSheet


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("readings", nargs="?", type=Path, metavar="FILE|FOLDER", help="a file of readings, or a folder of them")
    add_chart_option(parser)
    parser.add_argument("--predict-with", type=Path, metavar="FILE", help="a profile or earlier readings to hold against them")
    add_condition_option(parser)
    parser.add_argument(
        "--picture", type=Path, metavar="FILE", help="draw the pages: .png, .svg, or with all of this .html, .pdf"
    )
    parser.add_argument(
        "--drying",
        action="extend",
        nargs="+",
        type=Path,
        default=[],
        metavar="READING",
        help="the same patches read again and again, oldest first",
    )
    parser.add_argument("--noise", type=float, metavar="DELTA_E", help="mean ΔE00 of one reading, for --drying without repeats")
    parser.add_argument("--replace", action="store_true", help="overwrite an existing picture")


def run(arguments: argparse.Namespace) -> int:
    """Run the command. 3 where something looks misread, or the print still changes."""
    from spectro.errors import InputError
    from spectro.records.conditions import MeasurementCondition
    from spectro.report.readings_numbers import shown_numbers
    from spectro.workflow.readings_showing import readings_show

    if arguments.noise is not None and not arguments.drying:
        raise InputError("--noise without --drying", "readings of the same patches again and again", "Add --drying READING …")
    condition = arguments.measurement_condition
    with progress_line(arguments) as progress:
        shown = readings_show(
            arguments.readings,
            chart=arguments.chart,
            predict_with=arguments.predict_with,
            measurement_condition=MeasurementCondition(condition) if condition else None,
            picture=arguments.picture,
            drying=arguments.drying,
            noise=arguments.noise,
            replace=arguments.replace,
            progress=progress,
        )
    faults = any(sheet.notes for sheet in shown.sheets) or (shown.drying is not None and not shown.drying.steps[-1].dry)
    if arguments.json:
        print_json(shown_numbers(shown))
        return 3 if faults else 0
    lines = [shown.verdict, ""]
    for number, sheet in enumerate(shown.sheets):
        lines += ([""] if number else []) + ([sheet.verdict] if len(shown.sheets) > 1 else []) + _sheet_lines(sheet)
    if shown.unread:
        lines += ["", "Not readings:", *(f"  {name}: {why}" for name, why in shown.unread)]
    if shown.drying is not None:
        drying = shown.drying
        if shown.sheets:
            lines += ["", drying.verdict]
        for step in drying.steps:
            words = "no change above the noise" if step.dry else "still changing"
            lines.append(
                f"  {step.first} to {step.second}: ΔE00 {step.change:.2f} over {step.patches} patches, "
                f"noise gives up to {step.limit:.2f}: {words}"
            )
        lines.append(f"  noise of one reading ΔE00 {drying.noise:.2f}, {drying.noise_from}")
    if shown.picture:
        lines += ["", f"Picture: {shown.picture}"]
    print_text("\n".join(lines))
    return 3 if faults else 0


def _sheet_lines(sheet: "ReadingsSheet") -> list[str]:
    from spectro.report.reading_notes import grouped_notes
    from spectro.workflow.readings_words import listed

    def line(word: str, text: str) -> str:
        return f"  {word:<17}{text}"

    chart = f"{sheet.chart_id}, " if sheet.chart_id else ""
    places = f"{len(sheet.layout.pages)} page{'s' if len(sheet.layout.pages) > 1 else ''}, {len(sheet.layout.strips)} strips"
    found = [
        line("readings", f"{sheet.patches}, of {sheet.recipes} different patches; {sheet.colour_space}"),
        line("chart", f"{chart}{sheet.chart_patches} patches, {places if len(sheet.layout.positions) else 'layout not known'}"),
        line("condition", f"{sheet.condition}, backing {sheet.backing}"),
        line("spectra", f"{sheet.first_nm:g} to {sheet.last_nm:g} nm in steps of {sheet.step_nm:g} nm"),
    ]
    for word, text in (("instrument", sheet.instrument), ("read", sheet.created), ("printed", sheet.printed)):
        if text:
            found.append(line(word, text))
    if sheet.paper_lab:
        found.append(line("paper, black", f"Lab {lab_text(sheet.paper_lab)}, {lab_text(sheet.black_lab)} (D50, 2°)"))
    if sheet.repeat_noise is not None:
        found.append(line("repeat noise", f"ΔE00 {sheet.repeat_noise:.2f}, from {sheet.repeats} repeats"))
    for even in sheet.evenness:
        words = f"ΔE00 {even.range_delta_e:.2f} from place to place" if even.certain else "even, as far as repeats tell"
        found.append(line(f"page {even.page}", f"{words} ({even.readings} repeats)"))
    for repeat in sheet.worst_repeats[:3]:
        place = f", {repeat.place}" if repeat.place else ""
        found.append(line("worst repeat", f"{repeat.patch}{place}: ΔE00 {repeat.delta_e_2000:.2f}"))
    if sheet.missing:
        found.append(line("not read", listed(sheet.missing)))
    for keyword, value in sheet.history:
        if keyword not in ("CHART_ID", "PRINTED"):
            found.append(line(keyword.lower().replace("_", " "), value))
    if sheet.expected_from:
        found.append(line("held against", sheet.expected_from))
    if sheet.notes:
        found += ["", "Looks misread:", *(f"  {sentence} Offer: {offer}." for sentence, offer in grouped_notes(sheet.notes))]
    return found
