"""`spectro viewing`"""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from spectro.cli.options import (
    add_chart_option,
    add_columns_option,
    add_condition_option,
    add_scale_option,
    add_tolerances_option,
)
from spectro.cli.printing import print_json, print_text, progress_line

if TYPE_CHECKING:
    from spectro.records.display_check import DisplayCheck
    from spectro.records.viewing_plan import LightCheck, PrintView


def lab_values(text: str) -> tuple[float, float, float]:
    """Return three numbers of `L,a,b`."""
    try:
        lightness, a, b = (float(part) for part in text.split(","))
    except ValueError as error:
        raise argparse.ArgumentTypeError(f"{text!r} is not L,a,b such as 95,1.5,-6") from error
    return lightness, a, b


def positive(text: str) -> float:
    """Return a number above zero."""
    try:
        value = float(text)
    except ValueError:
        value = 0.0
    if not 0 < value < float("inf"):
        raise argparse.ArgumentTypeError(f"{text!r} is not a number above zero")
    return value


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument(
        "sources",
        nargs="*",
        type=Path,
        metavar="READINGS|PROFILE",
        help="readings of the paper or of a chart on it, or one output profile: they tell white and black",
    )
    parser.add_argument(
        "--paper-white", type=lab_values, metavar="L,a,b", help="the paper's white in place of readings (D50, 2°)"
    )
    place = parser.add_argument_group("the place")
    place.add_argument("--lux", type=positive, metavar="N", help="illuminance measured at the print")
    place.add_argument("--viewing", choices=["P1", "P2"], help="in its place: ISO 3664 P1 (2000 lx) or P2 (500 lx)")
    place.add_argument(
        "--illuminant",
        metavar="LIGHT",
        help="the light there: a CIE illuminant, 5500K, or a file of its spectrum, which is judged (D50)",
    )
    place.add_argument("--screen-luminance", type=positive, metavar="CD", help="what the screen's white has now, cd/m²")
    display = parser.add_argument_group("a display's readings")
    display.add_argument(
        "--display", type=Path, metavar="FILE", help="RGB and XYZ of white, black, greys, primaries (CGATS, CSV)"
    )
    display.add_argument("--aim", metavar="SPACE", help="sRGB, BT.709, P3-D65, BT.2020 or opRGB (compared with sRGB)")
    display.add_argument("--aim-luminance", type=positive, metavar="CD", help="cd/m² of white (the print's; else 100 to 120)")
    display.add_argument(
        "--aim-white", metavar="WHITE", help="paper, light, a CIE illuminant, 6000K or x,y (the paper's; else the space's)"
    )
    display.add_argument("--aim-gamma", metavar="CURVE", help="sRGB, BT.1886 or a power such as 2.2 (the space's)")
    display.add_argument(
        "--white-luminance", type=positive, metavar="CD", help="cd/m² of white, where the file's XYZ are relative"
    )
    reading = parser.add_argument_group("how files are read")
    add_columns_option(reading, "what the display file's columns mean, such as XYY_CAPY=luminance")
    add_chart_option(reading)
    add_condition_option(reading)
    add_scale_option(reading)
    add_tolerances_option(parser)
    parser.add_argument(
        "--white-field", type=Path, metavar="FILE.html", help="write a white page to match by eye against blank paper"
    )
    parser.add_argument("--report", type=Path, metavar="FILE.html", help="write what was found as one HTML file")
    parser.add_argument("--pdf", type=Path, metavar="FILE.pdf", help="write what was found as a PDF")
    parser.add_argument("--replace", action="store_true", help="overwrite existing files")


def run(arguments: argparse.Namespace) -> int:
    """Run the command. Returns 3 where a display has something to change."""
    from spectro.files.tolerance_file import read_tolerances
    from spectro.records.conditions import MeasurementCondition
    from spectro.records.display_check import AimWishes
    from spectro.report.viewing_numbers import viewing_numbers
    from spectro.workflow.viewing import viewing

    condition = arguments.measurement_condition
    with progress_line(arguments) as progress:
        plan = viewing(
            arguments.sources,
            paper=arguments.paper_white,
            lux=arguments.lux,
            condition=arguments.viewing,
            light=arguments.illuminant,
            screen_luminance=arguments.screen_luminance,
            display=arguments.display,
            aim=AimWishes(
                space=arguments.aim,
                luminance=arguments.aim_luminance,
                white=arguments.aim_white,
                gamma=arguments.aim_gamma,
            ),
            white_luminance=arguments.white_luminance,
            columns=dict(arguments.columns),
            chart=arguments.chart,
            measurement_condition=MeasurementCondition(condition) if condition else None,
            device_scale=arguments.device_scale,
            tolerances=read_tolerances(arguments.tolerances),
            white_field=arguments.white_field,
            report=arguments.report,
            pdf=arguments.pdf,
            replace=arguments.replace,
            progress=progress,
        )
    code = 3 if plan.display is not None and plan.display.advice else 0
    if arguments.json:
        print_json(viewing_numbers(plan))
        return code
    lines = [plan.verdict, ""]
    lines += _view_lines(plan.view) if plan.view else []
    lines += _light_lines(plan.light) if plan.light else []
    lines += _display_lines(plan.display) if plan.display else []
    if plan.practice:
        lines += ["", "Usual:", *(f"  {sentence}" for sentence in plan.practice)]
    lines += ["", "Mind:", *(f"  {caution}" for caution in plan.cautions)]
    if arguments.white_field:
        lines += ["", f"White field: {arguments.white_field}"]
    if arguments.report:
        lines += ["", f"Report: {arguments.report}"]
    if arguments.pdf:
        lines += ["", f"PDF: {arguments.pdf}"]
    print_text("\n".join(lines))
    return code


def _view_lines(view: "PrintView") -> list[str]:
    lines = [
        f"  paper           {view.paper}; Y {100 * view.luminance_factor:.1f}",
        f"  light           {view.light}, {view.lux:.0f} lx ({view.lux_from})",
        f"  paper white     {view.luminance:.1f} cd/m², x {view.white_xy[0]:.4f} y {view.white_xy[1]:.4f}, "
        f"u' {view.white_uv[0]:.4f} v' {view.white_uv[1]:.4f}, {_kelvin(view.kelvin)}",
    ]
    if view.black is not None:
        lines.append(f"  print black     {view.black:.2f} cd/m²; contrast {view.contrast:.0f} : 1")
    lines += ["", "  screen cd/m²  prints look             agrees under"]
    for row in view.rows:
        look = "alike" if abs(row.stops) < 0.05 else f"{abs(row.stops):.1f} stops {'darker' if row.stops > 0 else 'lighter'}"
        lines.append(f"  {row.luminance:>12.0f}  {look:<22}  {row.lux:>6.0f} lx   {row.note}")
    return lines


def _light_lines(light: "LightCheck") -> list[str]:
    lines = ["", f"  light           {light.origin}; {_kelvin(light.kelvin)}, Duv {light.duv:+.4f}"]
    words = {True: "kept", False: "NOT kept", None: "not judged"}
    lines += [f"    {limit.what}: {limit.found}; {limit.limit}: {words[limit.kept]} ({limit.source})" for limit in light.limits]
    return lines


def _display_lines(check: "DisplayCheck") -> list[str]:
    aim, white, tones, gamut = check.aim, check.white, check.tones, check.gamut
    wanted = f"{aim.lowest:.0f}" if aim.lowest == aim.highest else f"{aim.lowest:.0f} to {aim.highest:.0f}"
    lines = [
        "",
        f"  display         {check.origin}, {check.readings} readings",
        f"  aim             {aim.name}, {wanted} cd/m² ({aim.luminance_from}), white x {aim.white_xy[0]:.4f} "
        f"y {aim.white_xy[1]:.4f} ({aim.white_from}), tones {aim.curve}",
        f"  white           {white.luminance:.1f} cd/m², x {white.xy[0]:.4f} y {white.xy[1]:.4f}, {_kelvin(white.kelvin)}; "
        f"Δu'v' {white.away:.4f}",
    ]
    if white.black is not None:
        contrast = "not known" if white.contrast is None else f"{white.contrast:.0f} : 1"
        lines.append(f"  black           {white.black:.3f} cd/m²; contrast {contrast}")
    if tones is not None:
        lines.append(
            f"  tones           gamma {tones.gamma:.2f} in the mean; ΔL* mean {tones.mean:.1f}, largest "
            f"{tones.largest:+.1f} at "
            f"{tones.largest_at * 255:.0f} of 255; tint of greys Δu'v' {tones.tint:.4f}"
        )
        lines += [
            f"    {step.signal * 255:>5.0f}  {step.luminance:>9.3f} cd/m²  gamma {_plain(step.gamma)}  ΔL* "
            f"{step.delta_lightness:+.1f}"
            for step in tones.steps
        ]
    if gamut is not None:
        for primary in (*gamut.primaries, *gamut.secondaries):
            lines.append(
                f"  {primary.name:<16}x {primary.xy[0]:.4f} y {primary.xy[1]:.4f}; Δu'v' {primary.away:.4f} from {aim.name}"
            )
        lines += [
            f"  covers          {one.area * 100:.1f} % of {one.space} in area, {one.volume * 100:.1f} % in volume; "
            f"its own size {one.area_size * 100:.0f} % and {one.volume_size * 100:.0f} %"
            for one in gamut.coverage
        ]
        lines.append(f"  additivity      red + green + blue {gamut.additivity * 100:+.1f} % against white")
    for level in check.evenness:
        limit = f"; ISO 12646: should {level.should * 100:g}, shall {level.shall * 100:g} %" if level.shall else ""
        lines.append(
            f"  evenness        grey {level.signal * 255:.0f}: up to {level.largest * 100:.1f} %, Δu'v' "
            f"{level.largest_away:.4f} over "
            f"{len(level.places)} places{limit}"
        )
    if check.advice:
        lines += ["", "Change, in this order:"]
        lines += [f"  {number}. {one.setting}: {one.what} ({one.why})" for number, one in enumerate(check.advice, start=1)]
    if check.notes:
        lines += ["", *(f"  {note}" for note in check.notes)]
    return lines


def _kelvin(kelvin: float) -> str:
    return f"{kelvin:.0f} K" if kelvin == kelvin else "no colour temperature"


def _plain(gamma: float) -> str:
    return f"{gamma:.2f}" if gamma == gamma else "   –"
