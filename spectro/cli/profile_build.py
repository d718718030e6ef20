"""`spectro profile build`"""

import argparse
from pathlib import Path

from spectro.cli.options import add_reading_options, iso_date
from spectro.cli.printing import lab_text, picture_lines, print_json, print_text, progress_line
from spectro.cli.shelf_options import add_on_shelf_options, kept_lines
from spectro.words.numbers import difference_text


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    add_reading_options(parser)
    parser.add_argument("--out", type=Path, help="the profile to write (else in this folder, named by condition and date)")
    parser.add_argument(
        "--illuminant",
        default="D50",
        metavar="LIGHT",
        help="a CIE illuminant, daylight such as 5500K, or a file of a light's spectrum (D50; the ICC's own)",
    )
    parser.add_argument("--observer", type=int, choices=[2, 10], default=2, help="degrees (2)")
    parser.add_argument("--icc-version", type=int, choices=[2, 4], default=2, help="2 is read everywhere (2)")
    parser.add_argument("--grid", type=int, default=33, metavar="N", help="nodes an axis of A2B and B2A, 9 to 65 (33)")
    parser.add_argument(
        "--source-gamut",
        choices=["sRGB", "opRGB", "P3-D65", "ROMM"],
        help="the colours pictures come with, for which the perceptual and saturation tables make room (opRGB)",
    )
    parser.add_argument(
        "--for-image",
        type=Path,
        action="append",
        default=[],
        metavar="FILE",
        help="make room for the colours of this picture instead (TIFF, PNG, JPEG); may be given several times",
    )
    parser.add_argument(
        "--grey-aim",
        default="paper",
        metavar="AIM",
        help="tint of greys in the perceptual and saturation tables: paper (its hue), neutral (true neutral below the "
        "lightest greys), or a CSV file with the columns lightness, a, b (paper)",
    )
    parser.add_argument(
        "--grey-arrives", type=float, default=80.0, metavar="L", help="L* from which --grey-aim neutral is neutral (80)"
    )
    parser.add_argument(
        "--sheet",
        type=float,
        metavar="DE",
        help="mean ΔE00 by which another sheet differs, for the forecast (0.18)",
    )
    parser.add_argument("--date", type=iso_date, metavar="ISO", help="profile date (the newest date of the readings)")
    parser.add_argument("--printer", default="", help="printer, for the profile's name")
    parser.add_argument("--paper", default="", help="paper, for the profile's name")
    parser.add_argument("--settings", default="", help="driver settings, for the profile's name")
    add_on_shelf_options(parser, "that was printed with: it names the profile, and keeps readings and profile")
    parser.add_argument("--replace", action="store_true", help="overwrite an existing file")


def run(arguments: argparse.Namespace) -> int:
    """Run the command."""
    from dataclasses import asdict

    from spectro.errors import InputError
    from spectro.records.conditions import MeasurementCondition
    from spectro.records.profile_settings import SHEET, ProfileSettings
    from spectro.records.shelf import ShelfEntry
    from spectro.workflow.profile.build import profile_build
    from spectro.workflow.steps.shelf import keep_build, settings_of_condition, stored_condition

    if arguments.for_image and arguments.source_gamut:
        raise InputError("both --source-gamut and --for-image", "one of them", "Leave one out: each names the source gamut.")
    condition = arguments.measurement_condition
    settings = ProfileSettings(
        illuminant=arguments.illuminant,
        observer=arguments.observer,
        icc_version=arguments.icc_version,
        grid=arguments.grid,
        source_gamut=arguments.source_gamut or "opRGB",
        grey_aim=arguments.grey_aim,
        grey_arrives=arguments.grey_arrives,
        sheet=SHEET if arguments.sheet is None else arguments.sheet,
        date=arguments.date,
        printer=arguments.printer,
        paper=arguments.paper,
        driver_settings=arguments.settings,
    )
    kept: tuple[ShelfEntry, ...] = ()
    if arguments.on_shelf:
        stored = stored_condition(arguments.shelf, arguments.on_shelf)
        settings = settings_of_condition(settings, stored.condition)
    with progress_line(arguments) as progress:
        result = profile_build(
            arguments.readings,
            arguments.out,
            chart=arguments.chart,
            measurement_condition=MeasurementCondition(condition) if condition else None,
            device_scale=arguments.device_scale,
            columns=dict(arguments.columns) or None,
            settings=settings,
            for_image=arguments.for_image,
            replace=arguments.replace,
            progress=progress,
        )
    if arguments.on_shelf:
        kept = keep_build(arguments.shelf, stored.name, result, arguments.readings)
    forecast, in_print = result.forecast, result.in_print
    if arguments.json:
        numbers = asdict(result)
        numbers.pop("forecast")
        numbers["cross_validation"] = {**asdict(forecast.cross_validation), "method": forecast.cross_validation_method}
        numbers["repeat_noise"] = forecast.repeat_noise
        numbers["model_noise"] = forecast.model_noise
        numbers["suspects"] = [asdict(patch) for patch in forecast.suspects]
        numbers["percentile_method"] = "linear interpolation"
        if kept:
            numbers["on_shelf"] = [asdict(entry) for entry in kept]
        print_json(numbers)
        return 0
    in_print_text = (
        f"ΔE00 mean {in_print.mean:.2f}, 95th percentile {in_print.p95:.2f} expected (another sheet: {in_print.sheet:.2f})"
    )
    repeats = "no repeated patches" if forecast.repeat_noise is None else f"ΔE00 {forecast.repeat_noise:.2f}"
    lines = [
        result.verdict,
        "",
        f"  profile           {result.profile} (ICC {result.icc_version}, {result.grid} nodes an axis)",
        f"  name              {result.name}",
        f"  readings          {result.patches} patches, {result.recipes} different; {result.measurement_condition}",
        f"  light             {result.light}",
        f"  white, black      Lab {lab_text(result.white_lab)}, {lab_text(result.black_lab)}",
        f"  left-out patches  {difference_text(forecast.cross_validation)}",
        f"  in print          {in_print_text}",
        f"  repeat noise      {repeats}; seen by the model {forecast.model_noise:.2f}",
        f"  round trip        {difference_text(result.round_trip, 3)}: the tables, not a print",
        f"  time              {result.seconds:.1f} s",
    ]
    if result.grey_aim:
        lines.insert(-1, f"  greys             {result.grey_aim}, in the perceptual and saturation tables only")
    if result.pictures:
        lines += ["", "The perceptual and saturation tables make room for the colours of:"]
    for picture in result.pictures:
        lines += picture_lines(picture)
    if result.light_note:
        lines += ["", result.light_note]
    if forecast.suspects:
        lines += ["", "Readings that do not fit their neighbours (read them again before you trust them):"]
        for patch in forecast.suspects:
            place = "" if patch.position is None else " on page {}, row {}, column {}".format(*patch.position)
            label = f" ({patch.name})" if patch.name else ""
            lines.append(f"  patch {patch.id}{label}{place}: ΔE00 {patch.delta_e_2000:.1f}, {patch.deviations:.1f} deviations")
    if kept:
        lines += kept_lines(stored.name, kept)
    print_text("\n".join(lines))
    return 0
