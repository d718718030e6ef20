"""`spectro chart path-test`: pages to print by every path; do the paths give the same print, which leaves all alone?"""

import dataclasses
import json
from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np

from spectro.chart.chart_file import parse_chart
from spectro.chart.chart_folder import check_folder
from spectro.chart.design import READING_SECONDS
from spectro.chart.path_pages import design_path_test, path_test_recipe
from spectro.checks.fitted_printer import check_rgb, fit_printer
from spectro.checks.path_prints import compare_prints, path_prints
from spectro.checks.path_reference import path_reference
from spectro.checks.path_signs import PagePatches, page_patches, path_difference, path_signs
from spectro.colour.difference import delta_e_2000
from spectro.colour.pcs import light_name
from spectro.errors import InputError, MeasurementFileError, OutputFileError, ProfileFileError, TagError
from spectro.files.overwriting import keeps_what_it_reads
from spectro.icc.evaluate import device_to_lab
from spectro.icc.profile_file import IccProfile, read_profile
from spectro.model.gaussian_process import least_to_predict
from spectro.profile.evidence import description, profile_light
from spectro.readings.load import AS_STATED, load_readings
from spectro.readings.repeats import average_repeats
from spectro.records.arrays import FloatArray
from spectro.records.chart import ChartResult, ReadingMode
from spectro.records.chart_origin import CHART_FILE
from spectro.records.conditions import MeasurementCondition
from spectro.records.limits import Limits
from spectro.records.measurement import MeasurementSet
from spectro.records.path_test import PathComparison, PathFinding, PathPrint, PathReference, PathTest
from spectro.records.progress import Progress, silent
from spectro.records.reading_options import ReadingOptions
from spectro.records.shown_text import shown_name
from spectro.report.path_test_document import path_test_document
from spectro.standards.limits import Tolerances, shipped_limits
from spectro.words.gate import with_insisted
from spectro.words.path_test import (
    pages_choices,
    pages_verdict,
    path_test_cautions,
    path_test_next,
    path_test_verdict,
    reason_words,
)
from spectro.workflow.steps.chart_making import chart_made
from spectro.workflow.steps.gate import pass_gate_for_change
from spectro.workflow.steps.report_files import check_reports, write_reports

RECIPE = "path test"
_RULE_RANGE = (0.5, 2.0)


@keeps_what_it_reads()
def judge_path_test(
    readings: Mapping[str, Sequence[Path]],
    *,
    rules: Mapping[str, Sequence[float]] | None = None,
    profile: Path | None = None,
    earlier: Sequence[Path] = (),
    options: ReadingOptions = AS_STATED,
    report: Path | None = None,
    pdf: Path | None = None,
    replace: bool = False,
    tolerances: Tolerances | None = None,
    progress: Progress = silent,
) -> PathTest:
    """Judge print paths from readings of the page of a path test, one or more files a path.

    rules: by path, the measured length of each scale bar over the printed one (0.97: 97 mm where 100 are printed).
    profile, earlier: a profile of this printer and paper, or readings of an earlier chart, printed by a path that is known
    to leave colours alone; one of the two at most. options: how readings are read; their chart is the chart folder, or a
    page's list. report, pdf: an HTML file and a PDF to write, or None. tolerances: a person's own limits; None: as shipped.
    Raises errors of `spectro.errors` for bad input.
    """
    check_reports(report, pdf, replace=replace)
    _check_names(readings, rules or {})
    if profile is not None and earlier:
        raise InputError("a profile and an earlier chart", "one of them", "Leave one out.")
    progress("reading files", 0.0)
    sets = {name: _load(paths, options) for name, paths in readings.items()}
    gate = tuple(finding for one in sets.values() for finding in pass_gate_for_change(one, options.insist, tolerances))
    condition = _one_condition(sets)
    known = None if profile is None else read_profile(profile)
    illuminant, observer, _ = ("D50", 2, "") if known is None else profile_light(known, str(profile))
    progress("comparing", 0.3)
    prints = path_prints(sets, rules or {}, illuminant, observer)
    reference, name = None, ""
    if known is not None and profile is not None:
        reference = _by_profile(known, profile, prints[0].device)
        name = f"the profile {description(known) or shown_name(profile)}"
    elif earlier:
        reference = _by_earlier(earlier, prints[0].device, condition, options)
        name = f"the earlier print {', '.join(shown_name(path) for path in earlier)}"
    result = judge_prints(prints, condition, reference, name, (tolerances or Tolerances()).of("path_test"))
    result = dataclasses.replace(result, verdict=with_insisted(gate, result.verdict), gate=gate)
    document = path_test_document(result, light_name(illuminant, observer))
    write_reports(document, report, pdf, replace=replace, progress=progress)
    progress("done", 1.0)
    return result


def judge_prints(
    prints: Sequence[PathPrint],
    condition: str = "not stated",
    reference: PathReference | None = None,
    reference_name: str = "",
    limits: Limits | None = None,
) -> PathTest:
    """Judge prints of the same device values in the same order, one a path.

    reference: these values by an earlier print or a profile. limits: None: as shipped.
    """
    limits = limits or shipped_limits("path_test")
    patches = page_patches(prints[0].device, limits)
    compared = compare_prints(prints, patches, reference, limits)
    found = tuple(_finding(row, prints, compared, patches, reference, limits["scaled"]) for row in range(len(prints)))
    return PathTest(
        verdict=path_test_verdict(found, reference_name),
        next_step=path_test_next(found, reference_name),
        findings=found,
        differences=compared.differences,
        same_limit=compared.same_limit,
        condition=condition,
        reference=reference_name,
        cautions=path_test_cautions(
            found, compared.differences, compared.same_limit, compared.white_apart, reference_name, limits
        ),
        device=prints[0].device,
        lab=np.stack([one.lab for one in prints]),
        steps=np.rint(prints[0].device * 255).astype(np.int64),
    )


def _finding(
    row: int,
    prints: Sequence[PathPrint],
    compared: PathComparison,
    patches: PagePatches,
    reference: PathReference | None,
    scaled: float,
) -> PathFinding:
    """Return what one print shows. scaled: difference of a length from 1 that a page may have."""
    one, at = prints[row], compared.group_of(row)
    judged = compared.judged[at]
    return PathFinding(
        name=one.name,
        seems=judged.seems,
        sureness=judged.sureness,
        scaled=any(abs(ratio - 1) > scaled + 1e-9 for ratio in one.rule) if one.rule else None,
        scale=one.rule,
        alike=tuple(prints[other].name for other in compared.groups[at] if other != row),
        signs=path_signs(one, patches),
        difference=None if at == compared.best else path_difference(one, compared.pages[compared.best], patches),
        from_reference=None if reference is None else float(delta_e_2000(one.lab, reference.lab).mean()),
        noise=one.noise,
        origin=one.origin,
        reasons=tuple(reason_words(reason) for reason in judged.reasons),
    )


def _check_names(readings: Mapping[str, Sequence[Path]], rules: Mapping[str, Sequence[float]]) -> None:
    if not readings:
        raise InputError("no readings", "NAME=FILE for each path", "Name them after `readings`.")
    seen: dict[Path, str] = {}
    for name, paths in readings.items():
        for path in paths:
            if path.resolve() in seen:
                raise InputError(
                    f'the file {path} for "{seen[path.resolve()]}" and for "{name}"', "each file once", "Name it once."
                )
            seen[path.resolve()] = name
    for name, ratios in rules.items():
        if name not in readings:
            raise InputError(
                f'a rule of "{name}"', "a path among " + ", ".join(f'"{one}"' for one in readings), "Check the name."
            )
        for ratio in ratios:
            if not _RULE_RANGE[0] <= ratio <= _RULE_RANGE[1]:
                raise InputError(
                    f'a rule of {100 * ratio:.4g} mm by "{name}"',
                    "about 100 mm",
                    "Give the length in millimetres, such as 97.0.",
                )


def _load(paths: Sequence[Path], options: ReadingOptions) -> MeasurementSet:
    """Read the files of one path; of a chart folder the page's list that fits is taken."""
    chart = options.chart
    lists: Sequence[Path | None] = [chart]
    if chart is not None and chart.is_dir():
        lists = _page_lists(chart)
    first: MeasurementFileError | None = None
    for page in lists:
        try:
            found = load_readings(paths, dataclasses.replace(options, chart=page))
            check_rgb(found.colour_space, found.origin)
        except MeasurementFileError as error:
            first = first or error
        else:
            return found
    raise first or InputError(f"no page list in {chart}", "a chart folder", "Give the folder that the path test left.")


def _page_lists(folder: Path) -> list[Path | None]:
    try:
        chart = parse_chart((folder / CHART_FILE).read_text("utf-8"), folder / CHART_FILE)
    except (OSError, json.JSONDecodeError, UnicodeDecodeError) as error:
        raise OutputFileError(folder, f"it has no readable {CHART_FILE} ({error})") from None
    return [folder / f"page-{page:02d}.txt" for page in range(1, chart.pages + 1)]


def _one_condition(sets: Mapping[str, MeasurementSet]) -> str:
    conditions = {name: one.condition for name, one in sets.items()}
    if len(set(conditions.values())) > 1:
        words = ", ".join(f'"{name}" {found or "not stated"}' for name, found in conditions.items())
        raise InputError(
            f"pages read under several measurement conditions ({words})",
            "one for all",
            "Export all under one, or say it with `measurement_condition` where files do not state it.",
        )
    return next(iter(conditions.values())) or "not stated"


def _by_profile(profile: IccProfile, path: Path, device: FloatArray) -> PathReference:
    """Return what a profile of an RGB printer gives device values (n, 3)."""
    if profile.header.colour_space != b"RGB ":
        raise ProfileFileError(path, "a profile that is not for RGB", "one for RGB", "Give the right profile.")
    try:
        return path_reference(lambda values: device_to_lab(profile, values, absolute=True), device)
    except TagError as error:
        raise ProfileFileError(path, str(error), "an undamaged output profile", "Build it again.") from error


def _by_earlier(paths: Sequence[Path], device: FloatArray, condition: str, options: ReadingOptions) -> PathReference:
    """Return what an earlier print gives device values (n, 3), by a model of it."""
    wanted = MeasurementCondition(condition) if condition in set(MeasurementCondition) else None
    readings = load_readings(paths, dataclasses.replace(options, chart=None, condition=wanted))
    check_rgb(readings.colour_space, readings.origin)
    recipes, least = len(average_repeats(readings)), least_to_predict()
    if recipes < least:
        raise InputError(
            f"{recipes} different patches in {readings.origin}", f"{least} or more", "Give the readings of a chart."
        )
    return path_reference(fit_printer(readings).model.predict, device)


@keeps_what_it_reads()
def path_test_pages(
    out: Path,
    *,
    paths: Sequence[str] = (),
    page: str | None = None,
    printer: str = "",
    paper: str = "",
    settings: str = "",
    drying_hours: float | None = None,
    replace: bool = False,
    progress: Progress = silent,
) -> ChartResult:
    """Make the folder of a path test: one page for each named path, or one page to be printed by each.

    page: "a4", "a5", "letter", "8.5x11in" …; None: A4. printer, paper, settings: printed on the lines for them.
    drying_hours: before reading; None: what common practice asks for. Raises as `chart_new`; nothing is written then.
    """
    check_folder(Path(out), replace)
    recipe = path_test_recipe(paths, page, printer=printer, paper=paper, settings=settings, drying_hours=drying_hours)
    chart = design_path_test(recipe)
    return chart_made(
        chart,
        Path(out),
        RECIPE,
        verdict=pages_verdict(chart, named=bool(paths)),
        choices=pages_choices(chart, READING_SECONDS[ReadingMode.BY_PATCH]),
        replace=replace,
        progress=progress,
        begun=0.0,
    )
