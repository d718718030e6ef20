"""`spectro chart path-test`: pages to print by every path; do the paths give the same print, which leaves all alone?"""

import dataclasses
import json
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

import numpy as np

from spectro.chart.chart_file import CHART_FILE, parse_chart
from spectro.chart.chart_folder import check_folder, write_chart_folder
from spectro.chart.page_text import CAUTIONS, cautions
from spectro.chart.path_pages import design_path_test, path_test_recipe
from spectro.checks.fitted_printer import check_rgb, fit_printer
from spectro.checks.path_naming import judge_paths, mean_differences, same_limit, same_prints
from spectro.checks.path_signs import page_patches, path_difference, path_signs
from spectro.colour.difference import delta_e_2000
from spectro.colour.pcs import light_name, spectra_to_pcs
from spectro.errors import InputError, MeasurementFileError, OutputFileError, ProfileFileError, TagError
from spectro.files.atomic import write_whole
from spectro.icc.evaluate import device_to_lab
from spectro.icc.profile_file import read_profile
from spectro.profile.evidence import description, profile_light
from spectro.readings.load import load_readings
from spectro.readings.repeats import average_repeats, recipe_names
from spectro.records.arrays import FloatArray
from spectro.records.chart import ChartResult, ReadingMode
from spectro.records.conditions import MeasurementCondition
from spectro.records.light import Light
from spectro.records.measurement import MeasurementSet
from spectro.records.path_test import Judgement, PathFinding, PathPrint, PathSeems, PathTest
from spectro.records.reading_options import ReadingOptions
from spectro.words.path_test import path_test_cautions, path_test_next, path_test_verdict
from spectro.workflow.steps.chart_making import READING_SECONDS, chart_result
from spectro.workflow.steps.report_files import check_reports

RECIPE = "path test"
SCALED = 0.005  # what the page itself allows: 0.5 mm in 100 mm
_RULE_RANGE = (0.5, 2.0)
_LEAST_EARLIER = 24  # patches an earlier print must have


def judge_path_test(
    readings: Mapping[str, Sequence[Path]],
    *,
    rules: Mapping[str, Sequence[float]] | None = None,
    profile: Path | None = None,
    earlier: Sequence[Path] = (),
    chart: Path | None = None,
    measurement_condition: MeasurementCondition | None = None,
    device_scale: int | None = None,
    columns: Mapping[str, str] | None = None,
    report: Path | None = None,
    pdf: Path | None = None,
    replace: bool = False,
    progress: Callable[[str, float], None] = lambda what, done: None,
) -> PathTest:
    """Judge print paths from readings of the page of a path test, one or more files a path.

    rules: by path, the measured length of each check rule over the printed one (0.97: 97 mm where 100 are printed).
    profile, earlier: a profile of this printer and paper, or readings of an earlier chart, printed by a path that is known
    to leave colours alone; one of the two at most. chart: the chart folder, or a page's list, where readings have no device
    values. report, pdf: an HTML file and a PDF to write, or None. Raises errors of `spectro.errors` for bad input.
    """
    check_reports(report, pdf, replace=replace)
    _check_names(readings, rules or {})
    if profile is not None and earlier:
        raise InputError("a profile and an earlier chart", "one of them", "Leave one away.")
    progress("reading files", 0.0)
    sets = {name: _load(paths, chart, measurement_condition, device_scale, columns or {}) for name, paths in readings.items()}
    condition = _one_condition(sets)
    illuminant: str | Light = "D50"
    observer, reference_name = 2, ""
    parsed = None
    if profile is not None:
        parsed = read_profile(profile)
        illuminant, observer, _ = profile_light(parsed, str(profile))
        reference_name = f"the profile {description(parsed) or profile.name}"
    progress("comparing", 0.3)
    prints = path_prints(sets, rules or {}, illuminant, observer)
    reference = None
    if parsed is not None and profile is not None:
        try:
            if parsed.header.colour_space != b"RGB ":
                raise ProfileFileError(profile, "a profile that is not for RGB", "one for RGB", "Give the right profile.")
            reference = device_to_lab(parsed, prints[0].device, absolute=True)
        except TagError as error:
            raise ProfileFileError(profile, str(error), "an undamaged output profile", "Build it anew.") from error
    elif earlier:
        reference = _earlier(earlier, prints[0].device, condition, chart, device_scale, columns or {})
        reference_name = f"the earlier print {', '.join(path.name for path in earlier)}"
    result = judge_prints(prints, condition, reference, reference_name)
    if report is not None:
        from spectro.report.path_test_page import path_test_html

        progress("drawing the report", 0.8)
        write_whole(report, path_test_html(result, light_name(illuminant, observer)).encode("utf-8"), replace=replace)
    if pdf is not None:
        from spectro.report.path_test_pdf import path_test_pdf

        progress("drawing the PDF", 0.9)
        write_whole(pdf, path_test_pdf(result, light_name(illuminant, observer)), replace=replace)
    progress("done", 1.0)
    return result


def judge_prints(
    prints: Sequence[PathPrint], condition: str = "not stated", reference: FloatArray | None = None, reference_name: str = ""
) -> PathTest:
    """Judge prints of the same device values in the same order, one a path; reference: Lab (n, 3) of these values."""
    patches = page_patches(prints[0].device)
    labs = np.stack([one.lab for one in prints])
    differences = mean_differences(labs)
    limit = same_limit([one.noise for one in prints])
    groups = same_prints(differences, limit)
    pages = [_together([prints[row] for row in group]) for group in groups]
    judged = judge_paths(pages, patches, reference)
    best = _best(judged)
    findings: list[PathFinding] = []
    for row, one in enumerate(prints):
        at = next(index for index, group in enumerate(groups) if row in group)
        findings.append(
            PathFinding(
                name=one.name,
                seems=judged[at].seems,
                sureness=judged[at].sureness,
                scaled=any(abs(ratio - 1) > SCALED + 1e-9 for ratio in one.rule) if one.rule else None,
                scale=one.rule,
                alike=tuple(prints[other].name for other in groups[at] if other != row),
                signs=path_signs(one, patches),
                difference=None if at == best else path_difference(one, pages[best], patches),
                from_reference=None if reference is None else float(delta_e_2000(one.lab, reference).mean()),
                noise=one.noise,
                origin=one.origin,
                reasons=judged[at].reasons,
            )
        )
    found = tuple(findings)
    return PathTest(
        verdict=path_test_verdict(found, reference_name),
        next_step=path_test_next(found, reference_name),
        findings=found,
        differences=differences,
        same_limit=limit,
        condition=condition,
        reference=reference_name,
        cautions=path_test_cautions(found, differences, limit, labs[:, patches.white], reference_name),
        device=prints[0].device,
        lab=labs,
        steps=np.rint(prints[0].device * 255).astype(np.int64),
    )


def _best(judged: Sequence[Judgement]) -> int:
    """Return the group that others are set beside: the raw one, else the first that nothing clear speaks against."""
    order = (PathSeems.RAW, PathSeems.NOT_TOLD, PathSeems.OTHER_TONES, PathSeems.OTHER_PRINT, PathSeems.ENHANCED)
    ranks = [order.index(one.seems) if one.seems in order else len(order) for one in judged]
    return ranks.index(min(ranks))


def _together(members: Sequence[PathPrint]) -> PathPrint:
    """Return the mean of prints that are the same, named by all of them."""
    named = [f'"{one.name}"' for one in members]
    name = named[0] if len(named) == 1 else f"{', '.join(named[:-1])} and {named[-1]}"
    lab = np.mean([one.lab for one in members], axis=0)
    return PathPrint(name=name, device=members[0].device, lab=lab, noise=members[0].noise)


def _check_names(readings: Mapping[str, Sequence[Path]], rules: Mapping[str, Sequence[float]]) -> None:
    if not readings:
        raise InputError("no readings", "NAME=FILE for each path", "Name them after --readings.")
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


def _load(
    paths: Sequence[Path],
    chart: Path | None,
    condition: MeasurementCondition | None,
    device_scale: int | None,
    columns: Mapping[str, str],
) -> MeasurementSet:
    """Read the files of one path; of a chart folder the page's list that fits is taken."""
    lists: Sequence[Path | None] = [chart]
    if chart is not None and chart.is_dir():
        lists = _page_lists(chart)
    first: MeasurementFileError | None = None
    for page in lists:
        try:
            found = load_readings(
                paths, ReadingOptions(chart=page, condition=condition, device_scale=device_scale, columns=columns)
            )
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
            "Export all under one, or say it with --measurement-condition where files do not state it.",
        )
    return next(iter(conditions.values())) or "not stated"


def path_prints(
    sets: Mapping[str, MeasurementSet], rules: Mapping[str, Sequence[float]], illuminant: str | Light, observer: int
) -> tuple[PathPrint, ...]:
    """Average repeats and bring all paths to the device values they have in common, in the order of the first."""
    averaged = {name: average_repeats(one) for name, one in sets.items()}
    keys = {name: recipe_names(one.device) for name, one in averaged.items()}
    common = set.intersection(*(set(rows) for rows in keys.values()))
    order = [key for key in next(iter(keys.values())) if key in common]
    prints = []
    for name, one in averaged.items():
        nm = sets[name].wavelengths
        lab = spectra_to_pcs(one.reflectance, nm, illuminant, observer).lab
        rows = [keys[name].index(key) for key in order]
        noise = None
        if one.degrees_of_freedom:
            readings = spectra_to_pcs(sets[name].reflectance[one.repeated], nm, illuminant, observer).lab
            group = one.group[one.repeated]
            spread = np.sqrt(one.counts[group] / (one.counts[group] - 1))
            noise = float((delta_e_2000(readings, lab[group]) * spread).mean())
        prints.append(
            PathPrint(
                name=name,
                device=one.device[rows],
                lab=lab[rows],
                noise=noise,
                origin=sets[name].origin,
                rule=tuple(float(ratio) for ratio in rules.get(name, ())),
            )
        )
    return tuple(prints)


def _earlier(
    paths: Sequence[Path],
    device: FloatArray,
    condition: str,
    chart: Path | None,
    device_scale: int | None,
    columns: Mapping[str, str],
) -> FloatArray:
    """Return the Lab (n, 3) that an earlier print gives device values, by a model of it."""
    wanted = MeasurementCondition(condition) if condition in set(MeasurementCondition) else None
    readings = load_readings(paths, ReadingOptions(condition=wanted, device_scale=device_scale, columns=columns))
    check_rgb(readings.colour_space, readings.origin)
    if len(readings) < _LEAST_EARLIER:
        raise InputError(
            f"{len(readings)} patches in {readings.origin}", f"{_LEAST_EARLIER} or more", "Give the readings of a chart."
        )
    return fit_printer(readings).model.predict(device)


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
    progress: Callable[[str, float], None] = lambda what, done: None,
) -> ChartResult:
    """Make the folder of a path test: one page for each named path, or one page to be printed by each.

    page: "a4", "a5", "letter", "8.5x11in" …; None: A4. printer, paper, settings: printed on the lines for them.
    drying_hours: before reading; None: what common practice asks for. Raises as `chart_new`; nothing is written then.
    """
    check_folder(Path(out), replace)
    recipe = path_test_recipe(paths, page, printer=printer, paper=paper, settings=settings, drying_hours=drying_hours)
    chart = design_path_test(recipe)
    files = write_chart_folder(chart, Path(out), replace=replace, progress=progress)
    result = chart_result(chart, Path(out), files, RECIPE)
    count = len(chart) // chart.pages
    if paths:
        how = f"{chart.pages} pages, one for each path," if chart.pages > 1 else "1 page"
        verdict = f"A path test of {how} is ready. Print each by the path named on it, all on the same paper"
    else:
        verdict = (
            "A path test of 1 page is ready. Print it once by every path you might use, on the same paper, and write the "
            "path's name on each sheet"
        )
    minutes = max(1, round(count * READING_SECONDS[ReadingMode.BY_PATCH] / 60))
    patch = chart.recipe.patch
    return dataclasses.replace(
        result,
        verdict=f"{verdict}; measure both check rules of each sheet, let them dry, read them.",
        choices=(
            f"{count} patches a page, {patch.width_mm:g} x {patch.height_mm:g} mm each, the same on every page: full colours "
            "and colours just inside them, greys, mid-tones, and six repeats.",
            f"Reading {chart.recipe.reading.mode}: about {minutes} minutes a sheet (common practice, no source).",
            "A path is all that lies between file and paper: program, dialog, driver settings. Print the TIFF or the PDF, "
            "as you would print a chart; a program that treats the two differently is two paths.",
            f"{cautions(chart.recipe).removesuffix(CAUTIONS).strip()} {CAUTIONS}",
        ),
    )
