"""`spectro profile monochrome`: black and white as a job of its own, from greys to curve, profile and verdict."""

from collections.abc import Callable, Sequence
from dataclasses import replace as replace_field
from datetime import datetime
from pathlib import Path

from spectro.checks.monochrome import judge_monochrome
from spectro.colour.tristimulus import spectra_to_lab
from spectro.files.aim_file import TONE_COLUMNS, grey_aim, read_aim
from spectro.files.atomic import write_whole
from spectro.files.cgats import pack_cgats
from spectro.files.light_file import find_light
from spectro.files.overwriting import keeps_what_it_reads
from spectro.icc.profile_file import pack_profile
from spectro.profile.assemble import ProfileText
from spectro.profile.evidence import insisted_header
from spectro.profile.grey_profile import build_grey_profile, rising_greys
from spectro.profile.linearising import curve_csv
from spectro.profile.naming import profile_name
from spectro.readings.load import AS_STATED, load_readings
from spectro.readings.write import measurement_table
from spectro.records.measurement import MeasurementSet
from spectro.records.monochrome import MonochromePrint
from spectro.records.monochrome_settings import MonochromeSettings
from spectro.records.print_tones import GreyCurve
from spectro.records.profile_settings import NO_DATE
from spectro.records.reading_options import ReadingOptions
from spectro.standards.limits import Tolerances
from spectro.words.gate import with_insisted
from spectro.words.limits import own_in
from spectro.words.monochrome import monochrome_cautions, monochrome_verdict
from spectro.workflow.steps.gate import pass_gate
from spectro.workflow.steps.report_files import check_reports, write_reports

LIGHTS = ("D50", "A", "LED-B3")


@keeps_what_it_reads()
def profile_monochrome(
    readings: Sequence[Path],
    *,
    options: ReadingOptions = AS_STATED,
    settings: MonochromeSettings | None = None,
    out: Path | None = None,
    curve: Path | None = None,
    report: Path | None = None,
    pdf: Path | None = None,
    replace: bool = False,
    tolerances: Tolerances | None = None,
    progress: Callable[[str, float], None] = lambda what, done: None,
) -> MonochromePrint:
    """Judge greys printed in black and white; write a linearising curve, a grey profile and reports where they are named.

    options: how files are read. out, curve, report, pdf: files to write, or None. tolerances: a person's own limits.
    Raises errors of `spectro.errors` for bad input; then nothing is written.
    """
    settings = settings or MonochromeSettings()
    check_reports(report, pdf, out, curve, replace=replace)
    aim = grey_aim(settings.aim, settings.arrives) if settings.aim else None
    light = find_light(settings.illuminant)
    tones = None if settings.tones is None else read_aim(settings.tones, TONE_COLUMNS)
    progress("reading files", 0.0)
    measurements = load_readings(readings, options)
    gate = pass_gate(measurements, options.insist, tolerances)
    progress("judging the greys", 0.2)
    fallback = measurements.description or Path(measurements.origin.split(",")[0]).stem
    found, printed, out_of_reach = judge_monochrome(
        measurements,
        name=fallback,
        aim=aim,
        tones=tones,
        entries=settings.entries,
        lights=LIGHTS if light.name in LIGHTS else (*LIGHTS, light),
        tolerances=tolerances or Tolerances(),
    )
    date = settings.date or (datetime.fromisoformat(measurements.created) if measurements.created else NO_DATE)
    name = _name(settings, fallback, date) if out else ""
    found = replace_field(found, curve_file=str(curve or ""), profile_file=str(out or ""), profile_name=name)
    through = settings.through_curve
    result = replace_field(
        found,
        verdict=with_insisted(gate, monochrome_verdict(found)),
        gate=gate,
        cautions=monochrome_cautions(found, own_light=light.name, out_of_reach=out_of_reach, through=through)
        + own_in(tolerances, "gate", "monochrome", "paper"),
    )
    files: dict[Path, bytes] = {}
    if curve is not None:
        files[curve] = curve_csv(result)
    if out is not None:
        progress("profile", 0.8)
        files[out] = _profile(measurements, result, None if through else printed, date, settings.icc_version)
    for path, data in files.items():
        write_whole(path, data, replace=replace)
    if report is not None or pdf is not None:
        from spectro.report.monochrome_document import monochrome_document

        write_reports(monochrome_document(result), report, pdf, replace=replace, progress=progress)
    progress("done", 1.0)
    return result


def _name(settings: MonochromeSettings, fallback: str, date: datetime) -> str:
    parts = [part for part in (settings.printer, settings.paper, settings.driver_settings) if part.strip()] or [fallback]
    return profile_name((*parts, "black and white"), fallback, date, ascii_only=settings.icc_version == 2)


def _profile(
    measurements: MeasurementSet, found: MonochromePrint, bare: GreyCurve | None, date: datetime, version: int
) -> bytes:
    """Return the profile of the bare printer, or, with bare None, of prints made through the linearising curve."""
    readings_lab = spectra_to_lab(measurements.reflectance, measurements.wavelengths)
    table = measurement_table(
        measurements, lab=readings_lab, illuminant="D50", observer=2, extra_header=insisted_header(found.gate)
    )
    text = ProfileText(name=found.profile_name, characterization=pack_cgats(table), date=date)
    value, lab = (found.curve.wanted, found.curve.printed_lab) if bare is None else (bare.value, bare.lab)
    return pack_profile(build_grey_profile(*rising_greys(value, lab), text, version=version))
