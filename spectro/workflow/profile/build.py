"""`spectro profile build`: from files of readings to a profile file."""

import time
from collections.abc import Sequence
from dataclasses import dataclass
from dataclasses import replace as with_fields
from datetime import datetime
from pathlib import Path

from spectro.checks.fitted_printer import (
    FittedPrinter,
    check_profiled,
    fit_printer,
    fitted_sheets,
    forecast_print,
    is_inks,
    path_lattice,
)
from spectro.checks.round_trip import round_trip
from spectro.colour.lab import xyz_to_lab
from spectro.colour.pcs import light_name
from spectro.colour.tristimulus import spectra_to_lab
from spectro.files.aim_file import grey_aim
from spectro.files.atomic import check_writable, write_whole
from spectro.files.cgats import pack_cgats
from spectro.files.overwriting import keeps_what_it_reads
from spectro.icc.evaluate import darkest_lab, media_white
from spectro.icc.profile_file import IccProfile, pack_profile, parse_profile
from spectro.profile.assemble import ProfileText, WantedProfile, build_rgb_profile
from spectro.profile.evidence import insisted_header, is_pcs_light, light_header, light_of, settings_header, under_d50
from spectro.profile.ink_profile import InkProfile, build_ink_profile
from spectro.profile.naming import file_name, profile_name
from spectro.profile.picture_reach import PictureLab, picture_reach, pictures_lab, pictures_surface, source_gamut
from spectro.readings.load import AS_STATED
from spectro.readings.write import measurement_table
from spectro.records.arrays import FloatArray, triple
from spectro.records.conditions import NOT_STATED
from spectro.records.gate import GateFinding
from spectro.records.grey_aim import GreyAim, GreyAimKind
from spectro.records.light import Light
from spectro.records.measurement import MeasurementSet
from spectro.records.profile_result import ProfileBuild
from spectro.records.profile_settings import NO_DATE, ProfileSettings
from spectro.records.progress import Progress, part_of, silent
from spectro.records.reading_options import ReadingOptions
from spectro.report.profile_document import build_document
from spectro.standards.limits import Tolerances
from spectro.words.even_pages import even_caution
from spectro.words.gate import with_insisted
from spectro.words.limits import own_in
from spectro.words.print_sheets import sheets_sentence
from spectro.words.profile import build_verdict, grid_words, light_note
from spectro.workflow.profile.ink_build import (
    InkSeparation,
    check_ink_settings,
    ink_results,
    printed_stages,
    separate_inks,
)
from spectro.workflow.steps.chart_readings import readings_of_chart
from spectro.workflow.steps.even_pages import fitted_trends, pass_even
from spectro.workflow.steps.gate import order_findings, pass_gate
from spectro.workflow.steps.report_files import check_reports, write_reports


@keeps_what_it_reads()
def profile_build(
    readings: Sequence[Path],
    out: Path | None = None,
    *,
    options: ReadingOptions = AS_STATED,
    settings: ProfileSettings | None = None,
    for_image: Sequence[Path] = (),
    report: Path | None = None,
    pdf: Path | None = None,
    tolerances: Tolerances | None = None,
    replace: bool = False,
    progress: Progress = silent,
) -> ProfileBuild:
    """Build an output profile, RGB or of inks, from readings of one printing condition and write it.

    options: how files are read; why they are used although they break laws that every print obeys is kept in the profile.
    out: the file to write; None: in the current folder, named by printing condition and date.
    for_image: pictures whose colours are the source gamut, instead of the one that settings name. report, pdf: an HTML file and
    a PDF to write, or None; of inks they show what other settings of the separation would do.
    tolerances: limits of verdicts; None: the shipped ones.
    The other arguments are the command's options. Raises errors of `spectro.errors` for bad input; then nothing is written.
    """
    start = time.perf_counter()
    settings = settings or ProfileSettings()
    if report or pdf:
        settings = with_fields(settings, other_separations=True)
    check_reports(report, pdf, out, replace=replace)
    progress("reading files", 0.0)
    measurements, joined = readings_of_chart(readings, options)
    if for_image:
        progress("reading pictures", 0.02)
    gate = (*pass_gate(measurements, options.insist, tolerances), *order_findings(joined))
    pictures = pictures_lab(for_image)
    built = build_from_measurements(
        measurements,
        out,
        settings=settings,
        pictures=pictures,
        gate=gate,
        insist=options.insist,
        tolerances=tolerances,
        replace=replace,
        progress=progress,
        start=start,
    )
    write_reports(build_document(built), report, pdf, replace=replace)
    return built


def build_from_measurements(
    measurements: MeasurementSet,
    out: Path | None,
    *,
    settings: ProfileSettings,
    pictures: Sequence[PictureLab] = (),
    gate: tuple[GateFinding, ...] = (),
    insist: str | None = None,
    tolerances: Tolerances | None = None,
    replace: bool,
    progress: Progress,
    start: float | None = None,
) -> ProfileBuild:
    """Build and write a profile from readings in memory; as `profile_build` otherwise. gate: what was found of them.

    insist: why they are used although their pages are not even, "" for no reason; None: that is not asked.
    """
    start = time.perf_counter() if start is None else start
    _check(measurements, settings)
    out = Path(file_name(made_name(measurements, settings))) if out is None else out
    check_writable(out, replace=replace)
    made = make_profile(
        measurements,
        settings=settings,
        pictures=pictures,
        gate=gate,
        insist=insist,
        tolerances=tolerances,
        progress=progress,
    )
    write_whole(out, made.data, replace=replace)
    progress("done", 1.0)
    return with_fields(made.build, profile=str(out), seconds=time.perf_counter() - start)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MadeProfile:
    """A profile that is not written yet."""

    data: bytes
    build: ProfileBuild  # without the file it is written to, and the time that took


def make_profile(
    measurements: MeasurementSet,
    *,
    settings: ProfileSettings,
    pictures: Sequence[PictureLab] = (),
    gate: tuple[GateFinding, ...] = (),
    insist: str | None = None,
    tolerances: Tolerances | None = None,
    progress: Progress = silent,
) -> MadeProfile:
    """Return a profile made from readings in memory; nothing is written. As `build_from_measurements` otherwise."""
    limits = (tolerances or Tolerances()).of("profile")
    _check(measurements, settings)
    light = light_of(settings.illuminant)
    aim = grey_aim(settings.grey_aim, settings.grey_arrives)
    source = pictures_surface(pictures) if pictures else source_gamut(settings.source_gamut)
    name = made_name(measurements, settings)
    progress("fitting the device model", 0.05)
    noise_limits = (tolerances or Tolerances()).of("noise")
    fitted = fit_printer(
        measurements, light, settings.observer, limits,
        thorough=settings.thorough, sheet=settings.sheet, noise_limits=noise_limits,
    )  # fmt: skip
    even = None if insist is None else fitted_trends(measurements, fitted)
    gate = (*gate, *pass_even(even, measurements.origin, insist or ""))
    separated = separate_inks(measurements, fitted, settings) if is_inks(measurements.colour_space) else None
    entries = _entries(settings, light, aim, pictures, gate, separated.words if separated else "")
    wanted = _wanted(settings, _text(name, measurements, settings, light, entries), fitted, source, aim)
    profile, inked = _tables(fitted, separated, wanted, part_of(progress, 0.3, 0.9))
    data = pack_profile(profile)
    progress("round trip", 0.95)
    stored = parse_profile(data)
    tables = round_trip(stored, measurements.device.shape[1], separated.chosen.total.factor if separated else None)
    in_print = forecast_print(fitted, tables.mean, noise_limits)
    sheets = fitted_sheets(measurements, fitted, in_print, noise_limits)
    said = sheets_sentence(sheets, in_print.mean, noise_limits)
    inks = ink_results(stored, (separated, inked), wanted, settings, measurements, fitted)
    build = ProfileBuild(
        verdict=with_insisted(gate, build_verdict(len(measurements), in_print, tables, limits, said, inks.sentence)),
        profile="",
        name=name,
        profile_id=stored.profile_id.hex(),
        icc_version=f"{settings.icc_version}.4",
        grid=settings.grid,
        grid_words=grid_words(stored),
        patches=len(measurements),
        recipes=len(fitted.repeats),
        measurement_condition=measurements.condition or NOT_STATED,
        light=light_name(light, settings.observer),
        limits_note=" ".join(own_in(tolerances, "gate", "profile", "noise")),
        even_note=even_caution(even),
        light_note=light_note(under_d50(measurements, light, settings.observer)),
        white_lab=triple(xyz_to_lab(media_white(stored))),
        black_lab=triple(darkest_lab(stored, absolute=True)),
        forecast=fitted.forecast,
        in_print=in_print,
        lattice=path_lattice(fitted),
        sheets=sheets,
        round_trip=tables,
        source_gamut="pictures" if pictures else Path(settings.source_gamut).name,
        pictures=tuple(picture_reach(picture, stored, limits["picture_outside"]) for picture in pictures),
        grey_aim="" if aim.kind == GreyAimKind.PAPER else aim.words,
        gate=gate,
        seconds=0.0,
        total_area=inks.total_area,
        black=inks.black,
        separation=inks.separation,
        lean=inks.lean,
    )
    return MadeProfile(data=data, build=build)


def _wanted(
    settings: ProfileSettings, text: ProfileText, fitted: FittedPrinter, source: str | FloatArray, aim: GreyAim
) -> WantedProfile:
    return WantedProfile(
        text=text, version=settings.icc_version, grid=settings.grid, adaptation=fitted.adaptation, source=source, aim=aim
    )


def _text(
    name: str, measurements: MeasurementSet, settings: ProfileSettings, light: str | Light, entries: tuple[tuple[str, str], ...]
) -> ProfileText:
    return ProfileText(
        name=name,
        characterization=_characterization(measurements, settings, light, entries),
        date=_date(measurements, settings),
    )


def _check(measurements: MeasurementSet, settings: ProfileSettings) -> None:
    check_profiled(measurements.colour_space, measurements.device.shape[1], measurements.origin)
    inks = is_inks(measurements.colour_space)
    check_ink_settings(settings, inks=inks)
    if inks:
        printed_stages(settings, measurements.device.shape[1])


def _tables(
    fitted: FittedPrinter, separated: InkSeparation | None, wanted: WantedProfile, progress: Progress
) -> tuple[IccProfile, InkProfile | None]:
    """Return the profile that a fitted printer gives as it is wanted, and where it is one of inks what it came to."""
    if separated:
        made = build_ink_profile(separated.table, separated.chosen, wanted, progress=progress)
        return made.profile, made
    kinked = fitted.model.prior.table is not None
    profile = build_rgb_profile(fitted.model.predict, wanted, kinked=kinked, progress=progress)
    return profile, None


def _entries(
    settings: ProfileSettings,
    light: str | Light,
    aim: GreyAim,
    pictures: Sequence[PictureLab],
    gate: tuple[GateFinding, ...],
    separation: str,
) -> tuple[tuple[str, str], ...]:
    """Return what the header of the readings in a profile says of how it was made."""
    names = tuple(Path(picture.colours.path).name for picture in pictures)
    return (*light_header(light), *settings_header(settings, aim, names, separation), *insisted_header(gate))


def _characterization(
    measurements: MeasurementSet, settings: ProfileSettings, light: str | Light, entries: tuple[tuple[str, str], ...]
) -> str:
    """Return the readings as the text that the profile carries. entries: of its header."""
    table = measurement_table(
        measurements,
        lab=spectra_to_lab(measurements.reflectance, measurements.wavelengths, light, settings.observer),
        illuminant=light if isinstance(light, str) else light.name,
        observer=settings.observer,
        extra_header=entries,
    )
    return pack_cgats(table)


def _date(measurements: MeasurementSet, settings: ProfileSettings) -> datetime:
    return settings.date or (datetime.fromisoformat(measurements.created) if measurements.created else NO_DATE)


def made_name(measurements: MeasurementSet, settings: ProfileSettings) -> str:
    """Return the name of the profile that is made from readings: the printing condition's, else the file's."""
    light = light_of(settings.illuminant)
    fallback = measurements.description or Path(measurements.origin.split(",")[0]).stem
    parts = [part for part in (settings.printer, settings.paper, settings.driver_settings) if part.strip()] or [fallback]
    if not is_pcs_light(light, settings.observer):
        parts.append(light_name(light, settings.observer).replace("°", " degree"))
    separator = " - " if settings.icc_version == 2 else " – "
    return profile_name(tuple(parts), fallback, _date(measurements, settings), ascii_only=False, separator=separator)
