"""`spectro profile monochrome`: black and white as a job of its own, from greys to curve, profile and verdict."""

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

import numpy as np

from spectro.checks.grey_neutrality import grey_neutrality
from spectro.checks.print_tones import find_greys, grey_ramp, print_tones
from spectro.colour.difference import delta_e_2000
from spectro.colour.grey_aim import aimed_greys
from spectro.colour.tristimulus import spectra_to_lab
from spectro.files.aim_file import TONE_COLUMNS, grey_aim, read_aim
from spectro.files.atomic import write_whole
from spectro.files.cgats import pack_cgats
from spectro.files.light_file import find_light
from spectro.icc.profile_file import pack_profile
from spectro.profile.assemble import ProfileText
from spectro.profile.grey_profile import build_grey_profile
from spectro.profile.naming import profile_name
from spectro.readings.greys import grey_curve, grey_noise, printed_recipes
from spectro.readings.load import load_readings
from spectro.readings.write import measurement_table
from spectro.records.arrays import FloatArray
from spectro.records.conditions import NOT_STATED, MeasurementCondition
from spectro.records.measurement import MeasurementSet
from spectro.records.monochrome import AimMatch, LinearisingCurve, MonochromePrint
from spectro.records.monochrome_settings import MonochromeSettings
from spectro.records.print_tones import GreySteps, PrintTones
from spectro.records.profile_settings import NO_DATE
from spectro.records.reading_options import ReadingOptions
from spectro.workflow.monochrome_curve import curve_csv, linearising_curve, tone_aim, toned_curve
from spectro.workflow.monochrome_words import monochrome_cautions, monochrome_verdict
from spectro.workflow.steps.report_files import check_reports

LIGHTS = ("D50", "A", "LED-B3")
_FINE = 4097


def profile_monochrome(
    readings: Sequence[Path],
    *,
    chart: Path | None = None,
    measurement_condition: MeasurementCondition | None = None,
    device_scale: int | None = None,
    columns: Mapping[str, str] | None = None,
    settings: MonochromeSettings | None = None,
    out: Path | None = None,
    curve: Path | None = None,
    report: Path | None = None,
    pdf: Path | None = None,
    replace: bool = False,
    progress: Callable[[str, float], None] = lambda what, done: None,
) -> MonochromePrint:
    """Judge greys printed in black and white; write a linearising curve, a grey profile and reports where they are named.

    out, curve, report, pdf: files to write, or None. Raises errors of `spectro.errors` for bad input; then nothing is written.
    """
    settings = settings or MonochromeSettings()
    check_reports(report, pdf, out, curve, replace=replace)
    aim = grey_aim(settings.aim, settings.arrives) if settings.aim else None
    light = find_light(settings.illuminant)
    tones = None if settings.tones is None else read_aim(settings.tones, TONE_COLUMNS)
    progress("reading files", 0.0)
    measurements = load_readings(
        readings,
        ReadingOptions(chart=chart, condition=measurement_condition, device_scale=device_scale, columns=columns or {}),
    )
    recipes = printed_recipes(measurements)
    steps = find_greys(recipes)
    progress("fitting the curves", 0.2)
    curve_found = grey_curve(steps)
    fine, fine_lab = curve_found.value, curve_found.lab
    ramp, ramp_lab = grey_ramp(curve_found)
    printed = print_tones(recipes, greys=steps, curve=curve_found)

    progress("linearising", 0.4)
    wanted = np.linspace(0, 1, settings.entries)
    aimed, out_of_reach = tone_aim(tones, wanted, float(fine_lab[0, 0]), float(fine_lab[-1, 0]))
    made = linearising_curve(wanted, aimed, fine, fine_lab)
    match = None
    if aim is not None:
        match = _match(ramp_lab, aimed_greys(aim, ramp_lab[:, 0], ramp_lab[-1]), aim.words)
        toned = toned_curve(measurements, aim, wanted, aimed, (float(fine_lab[0, 0]), float(fine_lab[-1, 0])))
        if toned is not None:
            made, reached = toned
            match = AimMatch(
                aim=match.aim, mean=match.mean, largest=match.largest, toned_mean=reached[0], toned_largest=reached[1]
            )
    progress("lights", 0.7)
    names: list[str] = [one for one in LIGHTS if one != light.name]
    lights = grey_neutrality(
        steps.value, steps.reflectance, steps.counts, measurements.wavelengths,
        [*names, light] if light.name not in LIGHTS else list(LIGHTS), ramp, ramp_lab[:, 0],
    )  # fmt: skip
    fallback = measurements.description or Path(measurements.origin.split(",")[0]).stem
    date = settings.date or (datetime.fromisoformat(measurements.created) if measurements.created else NO_DATE)
    name = _name(settings, fallback, date)
    found = _found(measurements, steps, printed, made, aimed)
    found |= {"lights": lights, "match": match, "curve": made, "curve_noise": curve_found.left_out, "name": fallback}
    found |= {"curve_file": str(curve or ""), "profile_file": str(out or ""), "profile_name": name if out else ""}
    draft = MonochromePrint(verdict="", **found)
    result = MonochromePrint(
        verdict=monochrome_verdict(draft),
        cautions=monochrome_cautions(draft, own_light=light.name, out_of_reach=out_of_reach, through=settings.through_curve),
        **found,
    )
    files: dict[Path, bytes] = {}
    if curve is not None:
        files[curve] = curve_csv(result)
    if out is not None:
        progress("profile", 0.8)
        pair = (wanted, made.printed_lab) if settings.through_curve else (fine, fine_lab)
        files[out] = _profile(measurements, *pair, name, date, settings.icc_version)
    if report is not None:
        from spectro.report.monochrome_page import monochrome_html

        progress("drawing the report", 0.9)
        files[report] = monochrome_html(result).encode("utf-8")
    if pdf is not None:
        from spectro.report.monochrome_pdf import monochrome_pdf

        progress("drawing the PDF", 0.95)
        files[pdf] = monochrome_pdf(result)
    for path, data in files.items():
        write_whole(path, data, replace=replace)
    progress("done", 1.0)
    return result


def _match(printed: FloatArray, aimed: FloatArray, words: str) -> AimMatch:
    difference = delta_e_2000(aimed, printed)
    return AimMatch(aim=words, mean=float(difference.mean()), largest=float(difference.max()))


def _name(settings: MonochromeSettings, fallback: str, date: datetime) -> str:
    parts = [part for part in (settings.printer, settings.paper, settings.driver_settings) if part.strip()] or [fallback]
    return profile_name((*parts, "black and white"), fallback, date, ascii_only=settings.icc_version == 2)


def _found(
    measurements: MeasurementSet, steps: GreySteps, tones: PrintTones, curve: LinearisingCurve, aimed: FloatArray
) -> dict[str, Any]:
    lightness = steps.lab[:, 0]
    falls = np.maximum.accumulate(lightness) - lightness
    ramp, ramp_lab = tones.ramp_device, tones.ramp_lab
    return {
        "origin": measurements.origin,
        "measurement_condition": measurements.condition or NOT_STATED,
        "sent": steps.sent,
        "steps": len(steps.value),
        "readings": steps.readings,
        "predicted": steps.predicted,
        "repeat_noise": grey_noise(measurements, steps),
        "turn": float(falls.max()),
        "device": steps.value,
        "lab": steps.lab,
        "ramp": ramp,
        "ramp_lab": ramp_lab,
        "paper_lab": tones.white_lab,
        "black_lab": tones.black_lab,
        "black_value": float(steps.value[int(np.argmin(lightness))]),
        "black_density": tones.black_density,
        "contrast": tones.contrast,
        "first_shadow": tones.first_shadow,
        "last_highlight": tones.last_highlight,
        "uneven": float(np.abs(ramp_lab[:, 0] - np.interp(ramp, curve.wanted, aimed)).max()),
        "white_origin": tones.white_origin,
        "black_origin": tones.black_origin,
        "black_device": tones.black_device,
        "darkest": tones.darkest,
        "contrast_origin": tones.contrast_origin,
        "contrast_condition": tones.contrast_condition,
        "ramp_origin": tones.ramp_origin,
    }


def _profile(
    measurements: MeasurementSet, value: FloatArray, lab: FloatArray, name: str, date: datetime, version: int
) -> bytes:
    readings_lab = spectra_to_lab(measurements.reflectance, measurements.wavelengths)
    table = measurement_table(measurements, lab=readings_lab, illuminant="D50", observer=2)
    text = ProfileText(name=name, characterization=pack_cgats(table), date=date)
    rising = lab.copy()
    rising[:, 0] = np.minimum(np.maximum.accumulate(lab[:, 0]), lab[-1, 0])
    keep = np.concatenate([[True], np.diff(rising[:, 0]) > 1e-9])
    keep[-1] = True
    while (np.diff(rising[keep, 0]) <= 0).any():  # the paper stands above what lies before it
        keep[np.flatnonzero(keep)[-2]] = False
    return pack_profile(build_grey_profile(value[keep], rising[keep], text, version=version))
