"""`spectro profile assess`: a profile held against readings."""

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

import numpy as np

from spectro.checks.fitted_printer import check_rgb, fit_printer
from spectro.checks.noise import expected_difference
from spectro.checks.patch_classes import patch_classes
from spectro.checks.round_trip import round_trip
from spectro.checks.statistics import difference_statistics
from spectro.checks.table_effect import table_effect
from spectro.colour.adaptation import absolute_to_relative
from spectro.colour.difference import delta_e_2000
from spectro.colour.lab import xyz_to_lab
from spectro.colour.pcs import light_name, spectra_to_pcs
from spectro.errors import InputError, ProfileFileError, SpectroError, TagError
from spectro.files.atomic import write_whole
from spectro.icc.evaluate import device_to_lab, media_white
from spectro.icc.profile_file import IccProfile, read_profile
from spectro.profile.evidence import CONDITION_KEYWORD, description, entry_text, own_readings, profile_light, under_d50
from spectro.readings.load import load_readings
from spectro.readings.repeats import average_repeats
from spectro.records.arrays import FloatArray
from spectro.records.assessment import Assessment, ErrorBudget, PatchDifference
from spectro.records.conditions import MeasurementCondition, RenderingIntent
from spectro.records.light import Light
from spectro.records.measurement import MeasurementSet
from spectro.records.reading_options import ReadingOptions
from spectro.records.statistics import DifferenceStatistics
from spectro.workflow.steps.report_files import check_reports

_WORST = 10
_LEAST_FOR_MODEL = 60  # recipes below which the model's share of the error is not told
_MODEL_POINTS = 500


def profile_assess(
    profile: Path,
    readings: Sequence[Path],
    *,
    chart: Path | None = None,
    measurement_condition: MeasurementCondition | None = None,
    device_scale: int | None = None,
    columns: Mapping[str, str] | None = None,
    intent: RenderingIntent = RenderingIntent.ABSOLUTE,
    report: Path | None = None,
    pdf: Path | None = None,
    replace: bool = False,
    progress: Callable[[str, float], None] = lambda what, done: None,
) -> Assessment:
    """Hold the device-to-PCS table of a profile against readings, and its tables against each other.

    intent: absolute or relative to the profile's media white. report, pdf: an HTML file and a PDF to write, or None.
    Raises errors of `spectro.errors` for bad input; then nothing is written.
    """
    check_reports(report, pdf, replace=replace)
    progress("reading files", 0.0)
    parsed = read_profile(profile)
    measurements = load_readings(
        readings,
        ReadingOptions(chart=chart, condition=measurement_condition, device_scale=device_scale, columns=columns or {}),
    )
    result = assess_measurements(parsed, str(profile), measurements, intent=intent, progress=progress)
    if report is not None:
        from spectro.report.assessment_page import assessment_html

        progress("drawing the report", 0.7)
        write_whole(report, assessment_html(result).encode("utf-8"), replace=replace)
    if pdf is not None:
        from spectro.report.assessment_pdf import assessment_pdf

        progress("drawing the PDF", 0.9)
        write_whole(pdf, assessment_pdf(result), replace=replace)
    progress("done", 1.0)
    return result


def assess_measurements(
    profile: IccProfile,
    file: str,
    measurements: MeasurementSet,
    *,
    intent: RenderingIntent = RenderingIntent.ABSOLUTE,
    progress: Callable[[str, float], None] = lambda what, done: None,
) -> Assessment:
    """Assess a profile in memory; file is its name for messages. As `profile_assess` otherwise."""
    if intent not in (RenderingIntent.ABSOLUTE, RenderingIntent.RELATIVE):
        raise InputError(f"intent {intent}", "absolute or relative", "Readings are held against the colorimetric table.")
    check_rgb(measurements.colour_space, measurements.origin)
    if profile.header.colour_space != b"RGB ":
        space = profile.header.colour_space.decode("latin-1").strip()
        raise ProfileFileError(file, f"a profile for {space}", "one for RGB, as the readings are", "Give the right profile.")
    absolute = intent == RenderingIntent.ABSOLUTE
    illuminant, observer, condition = profile_light(profile, file)
    measured = spectra_to_pcs(measurements.reflectance, measurements.wavelengths, illuminant, observer).lab
    ramp = np.linspace(0, 1, 33)
    cube = np.stack(np.meshgrid(*[np.linspace(0, 1, 9)] * 3), axis=-1).reshape(-1, 3)
    try:
        white = media_white(profile)
        predicted = device_to_lab(profile, measurements.device, absolute=absolute)
        tables = round_trip(profile)
        ramp_lab = device_to_lab(profile, np.repeat(ramp[:, None], 3, axis=1), absolute=absolute)
        solid = device_to_lab(profile, cube, absolute=True)
        progress("what the tables do to pictures", 0.15)
        effect = table_effect(profile)
    except TagError as error:
        raise ProfileFileError(file, str(error), "an undamaged output profile", "Build it anew.") from error
    classes = patch_classes(measured)
    if not absolute:
        measured = absolute_to_relative(measured, white)
    difference = delta_e_2000(measured, predicted)
    overall = difference_statistics(difference)
    progress("splitting the error", 0.3)
    return Assessment(
        verdict=_verdict(overall, tables, measurements.condition, condition),
        profile_file=file,
        profile_name=description(profile),
        profile_id=profile.profile_id.hex(),
        icc_version="{}.{}".format(*profile.header.version),
        readings_origin=measurements.origin,
        light=light_name(illuminant, observer),
        printing_condition=entry_text(profile, CONDITION_KEYWORD),
        light_note=under_d50(measurements, illuminant, observer),
        measurement_condition=measurements.condition or "not stated",
        intent=intent,
        delta_e_2000=overall,
        groups={name: difference_statistics(difference[mask]) if mask.any() else None for name, mask in classes.items()},
        round_trip=tables,
        budget=_budget(own_readings(profile, file) or measurements, illuminant, observer, tables),
        worst=_worst(measurements, measured, predicted, difference),
        sample_ids=measurements.sample_ids,
        sample_names=measurements.sample_names,
        device=measurements.device,
        measured_lab=measured,
        profile_lab=predicted,
        delta_e=difference,
        positions=measurements.positions,
        grey_ramp_device=ramp,
        grey_ramp_lab=ramp_lab,
        white_lab=_triple(xyz_to_lab(white)),
        black_lab=_triple(solid[int(np.argmin(solid[:, 0]))]),
        effect=effect,
    )


def _triple(lab: FloatArray) -> tuple[float, float, float]:
    lightness, a, b = (float(value) for value in lab)
    return lightness, a, b


def _worst(
    measurements: MeasurementSet, measured: FloatArray, predicted: FloatArray, difference: FloatArray
) -> tuple[PatchDifference, ...]:
    worst = []
    for row in np.argsort(-difference, kind="stable")[:_WORST]:
        place = tuple(int(value) for value in measurements.positions[row]) if len(measurements.positions) else None
        worst.append(
            PatchDifference(
                id=measurements.sample_ids[row],
                name=measurements.sample_names[row],
                device=tuple(float(value) for value in measurements.device[row]),
                measured_lab=_triple(measured[row]),
                profile_lab=_triple(predicted[row]),
                delta_e_2000=float(difference[row]),
                position=None if place is None else (place[0], place[1], place[2]),
            )
        )
    return tuple(worst)


def _budget(measurements: MeasurementSet, illuminant: str | Light, observer: int, tables: DifferenceStatistics) -> ErrorBudget:
    """Split the expected error of a print.

    measurements: the readings the profile was built from, where it carries them, else those at hand.
    """
    noise: float | None = None
    model: float | None = None
    noise_from = f"fewer than {_LEAST_FOR_MODEL} different patches and no repeats"
    if len(average_repeats(measurements)) >= _LEAST_FOR_MODEL:
        try:
            fitted = fit_printer(measurements, illuminant, observer)
        except SpectroError:  # readings that span too little of the printer carry no model; the rest still stands
            noise_from = "the readings span too little of the printer"
        else:
            device = np.random.default_rng(7).random((_MODEL_POINTS, 3))
            model = expected_difference(fitted.model.predict(device), fitted.model.uncertainty(device))
            if fitted.forecast.repeat_noise is not None:
                noise, noise_from = fitted.forecast.repeat_noise, f"{fitted.forecast.repeat_readings} repeated readings"
            else:
                noise, noise_from = fitted.forecast.model_noise, "estimated by the model, too few repeats"
    known = [part for part in (noise, model, tables.mean) if part is not None]
    total = float(np.sqrt(np.sum(np.square(known)))) if len(known) == 3 else None
    return ErrorBudget(repeat_noise=noise, repeat_noise_from=noise_from, model=model, table=tables.mean, total=total)


def _verdict(
    overall: DifferenceStatistics, tables: DifferenceStatistics, condition: str | None, profile_condition: str | None
) -> str:
    if overall.mean <= 0.6 and overall.p95 <= 1.5:
        fit = "describes this print closely"
    elif overall.mean <= 1.0 and overall.p95 <= 2.5:
        fit = "describes this print well"
    elif overall.mean <= 2.0:
        fit = "describes this print roughly; read it again or profile anew where colour matters"
    else:
        fit = "does not describe this print: another paper, ink, setting or measurement condition, or a printer that moved"
    caution = ""
    if condition and profile_condition and condition != profile_condition:
        caution = f" Mind that the readings are {condition} and the profile was made from {profile_condition}."
    return (
        f"The profile {fit}: ΔE00 {overall.mean:.2f} in the mean, {overall.p95:.2f} at the 95th percentile over "
        f"{overall.n} patches.{caution} It is not yet proven in print: its tables agree with each other to "
        f"{tables.mean:.2f}, but only a page printed through it and read proves it (spectro profile proof-page)."
    )
