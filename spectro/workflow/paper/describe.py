"""`spectro paper describe`: everything readings say of one paper."""

from collections.abc import Callable, Sequence
from pathlib import Path

from spectro.checks.backing import black_backing_faults, white_backing_faults
from spectro.checks.brightener import paper_brightener, paper_reading
from spectro.checks.print_constancy import print_constancy
from spectro.checks.print_tones import print_tones
from spectro.checks.wall_black import wall_blacks
from spectro.colour.paper_measures import opacity
from spectro.colour.tristimulus import tristimulus
from spectro.colour.weights import tristimulus_weights
from spectro.errors import InputError
from spectro.files.light_file import find_light
from spectro.files.overwriting import keeps_what_it_reads
from spectro.readings.greys import printed_recipes
from spectro.readings.load import AS_STATED, load_spectra
from spectro.readings.paper_readings import ConditionReadings, read_paper
from spectro.records.conditions import MeasurementCondition
from spectro.records.light import Light
from spectro.records.limits import Limits
from spectro.records.paper_sheet import Constancy, PaperSheet
from spectro.records.reading_options import ReadingOptions
from spectro.standards.limits import Tolerances, shipped_limits
from spectro.words.gate import with_insisted
from spectro.words.limits import own_in
from spectro.words.paper import paper_cautions, paper_verdict
from spectro.workflow.steps.gate import pass_gate
from spectro.workflow.steps.report_files import check_reports, write_reports

CONSTANCY_LIGHTS = ("A", "D65", "F11", "LED-B3")
_M0, _M1, _M2 = MeasurementCondition.M0, MeasurementCondition.M1, MeasurementCondition.M2


@keeps_what_it_reads()
def paper_describe(
    readings: Sequence[Path],
    *,
    options: ReadingOptions = AS_STATED,
    light: str = "D50",
    adaptation: str = "CAT02",
    over_black: Path | None = None,
    backing: Path | None = None,
    name: str = "",
    report: Path | None = None,
    pdf: Path | None = None,
    replace: bool = False,
    tolerances: Tolerances | None = None,
    progress: Callable[[str, float], None] = lambda what, done: None,
) -> PaperSheet:
    """Describe a paper from readings of a printed chart, or of the blank sheet, under one or more measurement conditions.

    light: where the prints will hang: a CIE illuminant, daylight such as 5500K, or a file of the light's spectrum.
    over_black: readings of the blank sheet over a black backing. backing: readings of the backing alone.
    options: how files are read.
    report, pdf: an HTML file and a PDF to write, or None. tolerances: a person's own limits.
    Raises errors of `spectro.errors` for bad input; then nothing is written.
    """
    limits = (tolerances or Tolerances()).of("paper")
    check_reports(report, pdf, replace=replace)
    progress("reading files", 0.0)
    wanted = find_light(light)
    found = read_paper(readings, options)
    main = found[0]
    read = [one.measurements for one in found if one.measurements is not None]
    gate = tuple(finding for one in read for finding in pass_gate(one, options.insist, tolerances))
    progress("paper", 0.1)
    brightener, match, estimated = paper_brightener(found, wanted, limits)
    papers = [paper_reading(one.word, one.paper_readings, one.reflectance[one.paper], one.wavelengths) for one in found]
    if estimated is not None:
        papers.append(paper_reading("D65, estimated", 0, estimated, main.wavelengths))
    progress("tones", 0.2)
    tones = None
    if main.measurements is not None and len(main.device) > 1:
        tones = print_tones(printed_recipes(main.measurements, main.word), limits)
    seen_through = _opacity(over_black, main) if over_black else None
    backing_faults = _backing_faults(backing, (tolerances or Tolerances()).of("backing")) if backing else None
    described = "" if main.measurements is None else main.measurements.description
    sheet = PaperSheet(
        verdict=with_insisted(gate, paper_verdict(papers[0], brightener, match, tones, limits)),
        gate=gate,
        name=name or described or Path(main.origin.split(",")[0]).stem,
        origin="; ".join(one.origin for one in found),
        main=main.word,
        wavelengths=main.wavelengths,
        papers=tuple(papers),
        brightener=brightener,
        light=match,
        tones=tones,
        wall=wall_blacks(tones.black_lab, tones.white_lab) if tones is not None else (),
        constancy=_constancy(main, wanted, adaptation) if tones is not None else None,
        opacity=seen_through,
        backing=backing_faults,
        cautions=(
            *paper_cautions(main.condition, papers, brightener, match, tones, limits),
            *own_in(tolerances, "gate", "paper", *(("backing",) if backing else ())),
        ),
    )
    if report is not None or pdf is not None:
        from spectro.report.paper_document import paper_document

        write_reports(paper_document(sheet), report, pdf, replace=replace, progress=progress)
    progress("done", 1.0)
    return sheet


def _constancy(main: ConditionReadings, wanted: Light, adaptation: str) -> Constancy:
    lights = {one.name: one for one in (*map(find_light, CONSTANCY_LIGHTS), wanted) if one.name != "D50"}
    return print_constancy(
        main.device,
        main.reflectance,
        main.wavelengths,
        main.paper,
        tuple(lights.values()),
        condition=main.word,
        adaptation=adaptation,
    )


def _opacity(path: Path, main: ConditionReadings) -> float:
    black = load_spectra([path])
    if black.condition and main.condition and black.condition != main.condition:
        raise InputError(
            f"{black.condition} in {path} and {main.condition} in {main.origin}",
            "one measurement condition",
            "Read the sheet over black under the same one: a brightener changes how light it is.",
        )
    over_black = black.reflectance.mean(axis=0)
    y_black = float(tristimulus(over_black, tristimulus_weights(black.wavelengths))[1])
    y_white = float(tristimulus(main.reflectance[main.paper], tristimulus_weights(main.wavelengths))[1])
    if y_black > y_white * shipped_limits("bounds")["over_black_rounding"]:
        raise InputError(
            f"a sheet that is lighter over black (Y {y_black:.1f}) than in {main.origin} (Y {y_white:.1f})",
            "the same sheet over black and over white",
            "Exchange the two, or read both again.",
        )
    return opacity(y_black, y_white)


def _backing_faults(path: Path, limits: Limits) -> tuple[str, ...]:
    readings = load_spectra([path])
    reflectance = readings.reflectance.mean(axis=0)
    y = float(tristimulus(reflectance, tristimulus_weights(readings.wavelengths))[1])
    judge = white_backing_faults if y > shipped_limits("colours")["white_backing"] else black_backing_faults
    return judge(reflectance, readings.wavelengths, limits)
