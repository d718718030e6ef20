"""`spectro profile assess`: a profile held against readings."""

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from spectro.chart.spread import even_points
from spectro.checks.assessment import error_budget, fit_of, kept_readings, worst_patches
from spectro.checks.edge_effect import edge_effect
from spectro.checks.fitted_printer import check_profiled
from spectro.checks.patch_classes import patch_classes
from spectro.checks.proof_limits import unsampled_groups
from spectro.checks.round_trip import round_trip, total_of
from spectro.checks.statistics import difference_statistics
from spectro.checks.table_effect import table_effect
from spectro.colour.adaptation import absolute_to_relative
from spectro.colour.difference import delta_e_2000
from spectro.colour.lab import xyz_to_lab
from spectro.colour.pcs import light_name, spectra_to_pcs
from spectro.errors import InputError, ProfileFileError, TagError
from spectro.files.overwriting import keeps_what_it_reads
from spectro.icc.evaluate import darkest_lab, device_to_lab, media_white
from spectro.icc.profile_file import IccProfile, read_profile
from spectro.profile.evidence import (
    CONDITION_KEYWORD,
    colour_space,
    description,
    entry_text,
    is_pcs_light,
    own_readings,
    profile_light,
    under_d50,
)
from spectro.readings.greys import grey_device
from spectro.readings.load import AS_STATED, load_any_readings, load_readings
from spectro.records.arrays import FloatArray, triple
from spectro.records.assessment import Assessment
from spectro.records.conditions import RenderingIntent
from spectro.records.edge_effect import EdgeEffect
from spectro.records.gate import GateFinding
from spectro.records.light import Light
from spectro.records.measurement import MeasurementSet
from spectro.records.progress import Progress, silent
from spectro.records.reading_options import ReadingOptions
from spectro.records.readings import Readings
from spectro.records.statistics import DifferenceStatistics
from spectro.records.table_effect import TableEffect
from spectro.report.assessment_document import assessment_document
from spectro.standards.limits import Tolerances
from spectro.words.gate import with_insisted
from spectro.words.limits import own_in
from spectro.words.profile import assess_verdict, blacks_words, light_note
from spectro.workflow.profile.kept_separation_effect import kept_separation_effect
from spectro.workflow.steps.gate import pass_gate, pass_gate_for_colours
from spectro.workflow.steps.report_files import check_reports, write_reports


@keeps_what_it_reads()
def profile_assess(
    profile: Path,
    readings: Sequence[Path],
    *,
    options: ReadingOptions = AS_STATED,
    intent: RenderingIntent = RenderingIntent.ABSOLUTE,
    report: Path | None = None,
    pdf: Path | None = None,
    tolerances: Tolerances | None = None,
    replace: bool = False,
    progress: Progress = silent,
) -> Assessment:
    """Hold the device-to-PCS table of a profile against readings, and its tables against each other.

    options: how files are read. intent: absolute or relative to the profile's media white. report, pdf: an HTML file and a
    PDF to write, or None; of inks they show what the separation does, and others would do, by the profile's own readings.
    tolerances: limits of verdicts; None: the shipped ones. Raises errors of `spectro.errors` for bad input; then nothing is
    written.
    """
    check_reports(report, pdf, replace=replace)
    progress("reading files", 0.0)
    parsed = read_profile(profile)
    measurements = _readings(readings, options)
    gate = (
        pass_gate_for_colours(measurements, options.insist, tolerances)
        if isinstance(measurements, Readings)
        else pass_gate(measurements, options.insist, tolerances)
    )
    result = assess_measurements(
        parsed, str(profile), measurements, intent=intent, gate=gate, tolerances=tolerances, progress=progress
    )
    if report or pdf:
        progress("what settings of the separation do", 0.8)
        result = dataclasses.replace(result, separation=kept_separation_effect(parsed, profile))
    write_reports(assessment_document(result), report, pdf, replace=replace, progress=progress)
    progress("done", 1.0)
    return result


_EVEN = 400  # device values whose colours tell what a printer has


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Said:
    """What the tables of a profile say, of device values that were read and by themselves."""

    white: FloatArray  # (3,), XYZ of the media white
    black: FloatArray  # (3,), absolute Lab of the darkest colour
    predicted: FloatArray  # (n, 3), Lab of the device values
    printable: FloatArray  # (k, 3), Lab of device values that fill the printer evenly
    ramp: FloatArray  # (33,), equal RGB, or what black ink alone leaves of the paper; (0,) for other inks
    ramp_lab: FloatArray  # (33, 3)
    tables: DifferenceStatistics
    effect: TableEffect
    edges: EdgeEffect | None


def _said_by_tables(profile: IccProfile, device: FloatArray, *, absolute: bool, progress: Progress) -> _Said:
    """Return what the tables say. Raises TagError where one of them is damaged."""
    ramp = np.linspace(0, 1, 33)
    white = media_white(profile)
    predicted = device_to_lab(profile, device, absolute=absolute)
    tables = round_trip(profile, device.shape[1], total_of(profile))
    sent = {"RGB": "equal RGB", "CMYK": "black ink"}.get(colour_space(profile), "")
    ramp = ramp if sent else ramp[:0]
    ramp_lab = device_to_lab(profile, grey_device(sent, ramp), absolute=absolute) if sent else np.zeros((0, 3))
    black = darkest_lab(profile, absolute=True)
    progress("what the tables do to pictures", 0.15)
    return _Said(
        white=white,
        black=black,
        predicted=predicted,
        printable=device_to_lab(profile, even_points(_EVEN, device.shape[1], 1), absolute=absolute),
        ramp=ramp,
        ramp_lab=ramp_lab,
        tables=tables,
        effect=table_effect(profile),
        edges=edge_effect(profile),
    )


def assess_measurements(
    profile: IccProfile,
    file: str,
    measurements: MeasurementSet | Readings,
    *,
    intent: RenderingIntent = RenderingIntent.ABSOLUTE,
    gate: tuple[GateFinding, ...] = (),
    tolerances: Tolerances | None = None,
    progress: Progress = silent,
) -> Assessment:
    """Assess a profile in memory; file is its name for messages, gate what was found of the readings. As `profile_assess`."""
    _check(profile, file, measurements, intent)
    tolerances = tolerances or Tolerances()
    limits = tolerances.of("profile")
    absolute = intent == RenderingIntent.ABSOLUTE
    illuminant, observer, condition = profile_light(profile, file)
    measured = _measured_lab(measurements, illuminant, observer)
    try:
        said = _said_by_tables(profile, measurements.device, absolute=absolute, progress=progress)
    except TagError as error:
        raise ProfileFileError(file, str(error), "an undamaged output profile", "Build it again.") from error
    classes = patch_classes(measured)
    if not absolute:
        measured = absolute_to_relative(measured, said.white)
    difference = delta_e_2000(measured, said.predicted)
    overall = difference_statistics(difference)
    progress("splitting the error", 0.3)
    own = own_readings(profile, file)
    fit = fit_of(overall, limits)
    kept = kept_readings(own, measurements)
    groups = unsampled_groups(said.predicted, said.printable, tolerances.of("proof"))
    verdict = assess_verdict(
        fit, overall, said.tables, (measurements.condition, condition), limits, own=kept, unsampled=groups[0], groups=groups[1]
    )
    return Assessment(
        verdict=with_insisted(gate, verdict),
        gate=gate,
        fit=fit,
        profile_file=file,
        profile_name=description(profile),
        profile_id=profile.profile_id.hex(),
        icc_version="{}.{}".format(*profile.header.version),
        readings_origin=measurements.origin,
        light=light_name(illuminant, observer),
        printing_condition=entry_text(profile, CONDITION_KEYWORD),
        limits_note=" ".join(own_in(tolerances, "gate", "profile", "noise")),
        light_note="" if isinstance(measurements, Readings) else light_note(under_d50(measurements, illuminant, observer)),
        measurement_condition=measurements.condition or "not stated",
        intent=intent,
        delta_e_2000=overall,
        groups={name: difference_statistics(difference[mask]) if mask.any() else None for name, mask in classes.items()},
        round_trip=said.tables,
        budget=error_budget(own or measurements, illuminant, observer, said.tables, limits, tolerances.of("noise")),
        worst=worst_patches(measurements, measured, said.predicted, difference),
        sample_ids=measurements.sample_ids,
        sample_names=measurements.sample_names,
        device=measurements.device,
        measured_lab=measured,
        profile_lab=said.predicted,
        delta_e=difference,
        positions=measurements.positions,
        grey_ramp_device=said.ramp,
        grey_ramp_lab=said.ramp_lab,
        white_lab=triple(xyz_to_lab(said.white)),
        black_lab=triple(said.black),
        effect=said.effect,
        edges=said.edges,
        blacks="" if said.edges is None else blacks_words(said.edges, limits["edge_black"]),
    )


def _readings(paths: Sequence[Path], options: ReadingOptions) -> MeasurementSet | Readings:
    """Return readings with spectra; where no file has any, colours as published sets state them, for D50 and 2°."""
    found = load_any_readings(paths, options)
    if found.has_spectra:
        return load_readings(paths, options)
    if not found.has_device:
        raise InputError(f"no device values in {found.origin}", "device values, or the chart with them", "Give `chart`.")
    return found


def _measured_lab(measurements: MeasurementSet | Readings, illuminant: str | Light, observer: int) -> FloatArray:
    """Return Lab (n, 3) for the light that the profile is made for."""
    if isinstance(measurements, MeasurementSet) or measurements.has_spectra:
        return spectra_to_pcs(measurements.reflectance, measurements.wavelengths, illuminant, observer).lab
    if not is_pcs_light(illuminant, observer):
        raise InputError(
            f"colours for D50 and 2° in {measurements.origin} and a profile for {light_name(illuminant, observer)}",
            "spectra", "Take a profile for D50 and 2°, or readings with spectra.",
        )  # fmt: skip
    return measurements.stated_lab


def _check(profile: IccProfile, file: str, measurements: MeasurementSet | Readings, intent: RenderingIntent) -> None:
    if intent not in (RenderingIntent.ABSOLUTE, RenderingIntent.RELATIVE):
        raise InputError(f"intent {intent}", "absolute or relative", "Readings are compared with the colorimetric table.")
    check_profiled(measurements.colour_space, measurements.device.shape[1], measurements.origin)
    space, read = colour_space(profile), measurements.colour_space
    if space != read:
        raise ProfileFileError(
            file, f"a profile for {space}", f"one for {read}, as the readings are", "Give the right profile."
        )
