"""Files of readings joined with their chart, with the colours expected of it: what adding and showing readings share."""

import logging
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from spectro.chart.channels import colour_space
from spectro.chart.chart_file import parse_chart
from spectro.checks.fitted_printer import fit_printer, forecast_print
from spectro.checks.misread_findings import Seems
from spectro.checks.page_explanation import ExplainedPage, explain_page
from spectro.checks.page_judging import JudgedPage, judged_pages, page_strips
from spectro.checks.predicted_colours import PredictedColours, generic_lab, model_colours, paper_device
from spectro.checks.reading_merging import Merged
from spectro.checks.self_prediction import PageStrips, generic_colours, self_predicted, spread_as_difference
from spectro.checks.strip_cutting import bring_near, cut_strips
from spectro.checks.strip_repairs import Bench
from spectro.colour.difference import delta_e_2000
from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import InputError, MeasurementFileError, ProfileFileError, TagError
from spectro.files.chart_table import INSISTED_KEYWORD
from spectro.files.text_lines import read_bytes
from spectro.icc.evaluate import device_to_lab
from spectro.icc.profile_file import is_profile, read_profile
from spectro.readings.intake import FileReadings
from spectro.readings.load import load_readings
from spectro.readings.read_strips import Cut, read_strips, spectra_of
from spectro.readings.repeats import average_lab
from spectro.readings.strip_join import Joined
from spectro.readings.strips import chart_layout, layout_of_files, layout_of_table
from spectro.records.arrays import FloatArray
from spectro.records.chart_layout import ChartLayout
from spectro.records.chart_origin import CHART_FILE, CHART_TABLE
from spectro.records.conditions import MeasurementCondition
from spectro.records.measurement import MeasurementSet
from spectro.records.shown_text import shown_name
from spectro.standards.limits import Tolerances, shipped_limits
from spectro.words.readings import reading_notes

_LOG = logging.getLogger("spectro")
_IN_PLACE = (Seems.FITS, Seems.UNSURE, Seems.BAD_PATCH)
_OTHER_PLACE = (Seems.WRONG_PAGE, Seems.WRONG_CHART, Seems.UPSIDE_DOWN)
_SPACES = {b"RGB ": "RGB", b"CMYK": "CMYK", b"GRAY": "GRAY"}


def layout_of(chart: Path | None, files: Sequence[FileReadings]) -> ChartLayout:
    """Return the chart's layout. chart: a folder with `chart.json`, that file, or a table of patches; None: as files say.

    Raises MeasurementFileError or InputError where there is no chart in it.
    """
    if chart is None:
        return layout_of_files(files)
    if chart.is_dir():
        for name in (CHART_FILE, CHART_TABLE):
            if (chart / name).is_file():
                return layout_of(chart / name, files)
        raise MeasurementFileError(chart, 0, f"no {CHART_FILE}", "a chart folder", "Name the folder that `chart new` made.")
    data = read_bytes(chart)
    if data.lstrip()[:1] != b"{":
        return layout_of_table(chart)
    made = parse_chart(data.decode("utf-8", "replace"), chart)
    return chart_layout(
        origin=str(chart.parent if chart.name == CHART_FILE else chart),
        chart_id=made.chart_id,
        colour_space=colour_space(made.channels),
        sample_ids=made.sample_ids,
        sample_names=made.sample_names,
        device=made.device,
        positions=made.positions,
    )


def rough_bench(files: Sequence[FileReadings], joins: Sequence[Joined], layout: ChartLayout) -> Bench:
    """Return the strips that were read; where files do not say where one ends, cut by colours of the generic printer.

    files: as they were taken in; joins: where the readings of each belong; layout: the chart.
    """
    expected = generic_lab(layout.device, layout.colour_space)
    return _bench(files, joins, layout, _cutter(files, layout, expected, rough=True))


def cut_by_colours(
    files: Sequence[FileReadings], joins: list[Joined], bench: Bench, expected: PredictedColours
) -> tuple[list[Joined], Bench]:
    """Return joins and strips, cut anew where readings joined by order run on shifted from strip to strip.

    bench: strips as they were cut before; expected: colours of the chart. Joins by the chart's ids or places stay as they are,
    and so do charts too large for it.
    """
    layout = bench.layout
    notes = reading_notes(judged_pages(bench.strips, bench.lab, layout, expected), bench.strips, layout)
    if sum(note.seems == Seems.SHIFTED_PATCHES for note in notes) < 2 or len(layout) > shipped_limits("bounds")["cut_patches"]:
        return joins, bench
    shifted = {(note.reading, note.strip) for note in notes if note.seems == Seems.SHIFTED_PATCHES}
    touched = {int(strip.source[0, 0]) for strip in bench.strips if (strip.reading, layout.strips[strip.place].name) in shifted}
    again = [
        replace(join, rows=None, words=f"{join.words}, cut by colours where patches are missing or doubled")
        if number in touched and join.strips
        else join
        for number, join in enumerate(joins)
    ]
    anew = _bench(files, again, layout, _cutter(files, layout, expected.lab))
    left = reading_notes(judged_pages(anew.strips, anew.lab, layout, expected), anew.strips, layout)
    return (again, anew) if len(left) < len(notes) else (joins, bench)


def _bench(files: Sequence[FileReadings], joins: Sequence[Joined], layout: ChartLayout, cut: Cut) -> Bench:
    strips = read_strips(files, joins, layout, cut)
    lab = [spectra_to_lab(spectra_of(strip, files), files[0].wavelengths) for strip in strips]
    return Bench(strips=list(strips), lab=lab, layout=layout)


def _cutter(files: Sequence[FileReadings], layout: ChartLayout, expected: FloatArray | None, *, rough: bool = False) -> Cut:
    def cut(file: FileReadings, places: Sequence[int]) -> tuple[int, ...]:
        if expected is None:
            raise InputError(
                f"{len(file)} readings in {file.path}", f"{sum(len(layout.strips[p].rows) for p in places)}",
                "Export them with ids, so that they can be joined with the chart.",
            )  # fmt: skip
        lab = spectra_to_lab(file.reflectance, files[0].wavelengths)
        strips = [expected[layout.strips[place].rows] for place in places]
        if rough:
            together = bring_near(np.concatenate(strips), lab)
            strips = np.split(together, np.cumsum([len(strip) for strip in strips])[:-1])
        return cut_strips(lab, strips, lab[int(np.argmax(lab[:, 0]))])

    return cut


def expected_colours(predict_with: Path | None, bench: Bench, condition: MeasurementCondition | None) -> PredictedColours:
    """Return what the chart's patches should look like: by a profile, by earlier readings, else by the readings themselves.

    predict_with: the profile or the earlier readings, of the same printing condition. condition: of what was read.
    Raises ProfileFileError, MeasurementFileError or InputError where it cannot tell.
    """
    layout = bench.layout
    if predict_with is not None:
        return predicted_from(predict_with, layout.device, layout.colour_space, condition)
    return predicted_without(layout.device, layout.colour_space, page_strips(bench.strips, bench.lab, layout))


def explained_pages(
    judged: Sequence[JudgedPage], bench: Bench, expected: PredictedColours, tolerances: Tolerances | None = None
) -> dict[tuple[int, int], ExplainedPage]:
    """Return, by reading and page, why pages are not as right prints; without those where nothing is beyond limits.

    Strips that seem to be others are left out; a page most of whose strips do is not looked at, nor one that is another page.
    """
    limits, found = (tolerances or Tolerances()).of("proof"), {}
    for page in judged:
        own = [index for index, one in zip(page.strips, page.judgement.strips, strict=False) if one.seems in _IN_PLACE]
        if 2 * len(own) < len(page.strips) or any(one.seems in _OTHER_PLACE for one in page.judgement.findings):
            continue
        rows = np.concatenate([bench.strips[index].targets for index in own])
        places = bench.layout.positions[rows] if len(bench.layout.positions) else bench.layout.positions
        lab = np.concatenate([bench.lab[index] for index in own])
        spread = None if expected.spread is None else expected.spread[rows]
        one = explain_page(bench.layout.device[rows], lab, places, expected, limits, spread=spread)
        if one is not None:
            found[page.reading, page.page] = one
    return found


def measurements_of(together: Merged, taken: Sequence[FileReadings], layout: ChartLayout) -> MeasurementSet:
    """Return merged readings as those of the chart.

    together: rows of the layout and one spectrum each. taken: the files, for dates, backing and what they carry on. layout: of
    the chart. Returns the readings in the chart's order.
    """
    rows = together.rows
    printed = [file.printed for file in taken if file.printed]
    carried = [entry for file in taken for entry in file.carried]
    dates = [file.created for file in taken if file.created]
    backings = {file.backing for file in taken}
    return MeasurementSet(
        sample_ids=tuple(layout.sample_ids[row] for row in rows.tolist()),
        sample_names=tuple(layout.sample_names[row] for row in rows.tolist()),
        colour_space=layout.colour_space,
        device=layout.device[rows],
        wavelengths=taken[0].wavelengths,
        reflectance=together.reflectance,
        condition=taken[0].condition,
        backing=backings.pop() if len(backings) == 1 else None,
        created=max(dates) if dates else None,
        instrument="; ".join(dict.fromkeys(file.instrument for file in taken if file.instrument)),
        description="; ".join(dict.fromkeys(file.description for file in taken if file.description)),
        origin=", ".join(shown_name(file.path) for file in taken),
        printed=max(printed) if printed else None,
        unplaced_doubt=tuple(dict.fromkeys(word for file in taken for word in file.unplaced_doubt)),
        insisted=tuple(dict.fromkeys(value for keyword, value in carried if keyword == INSISTED_KEYWORD)),
        positions=layout.positions[rows] if len(layout.positions) else layout.positions,
    )


def doubted_patches(bench: Bench, taken: Sequence[FileReadings], layout: ChartLayout, kept: str = "") -> tuple[str, ...]:
    """Return the patches, by name, else id, that were kept in doubt when they were read, as the files mark them.

    kept: the number of the reading that alone is kept, where one is: what others say of its patches does not count.
    """
    chosen = {row for strip in bench.strips if kept == str(strip.reading) for row in strip.targets.tolist()}
    found: set[int] = set()
    for strip in bench.strips:
        doubted = np.array([len(taken[file].doubted) > 0 and taken[file].doubted[row] for file, row in strip.source.tolist()])
        if not doubted.any():
            continue
        rows = strip.targets[doubted] if len(doubted) == len(strip.targets) else strip.targets
        found |= {row for row in rows.tolist() if row not in chosen or kept == str(strip.reading)}
    return tuple(layout.patch_name(row) for row in sorted(found))


def predicted_from(
    path: Path, device: FloatArray, colour_space: str, condition: MeasurementCondition | None
) -> PredictedColours:
    """Return the colours that a profile or earlier readings of the same printing condition expect of device values.

    device: (n, channels), 0 to 1. condition: of the readings that are judged; earlier ones must not be of another.
    Raises ProfileFileError, MeasurementFileError or InputError where it cannot tell.
    """
    if is_profile(path):
        predict, space = profile_predictor(path)
        if space != colour_space:
            raise ProfileFileError(
                path, f"a profile for {space}", f"one for {colour_space}, as the chart is", "Give another with `predict_with`."
            )
        return model_colours(
            device,
            colour_space,
            predict,
            noise=shipped_limits("readings")["noise_of_a_profile"],
            origin=f"the profile {shown_name(path)}",
        )
    readings = load_readings([path])
    if readings.condition and condition and readings.condition != condition:
        raise InputError(
            f"{path} read under {readings.condition}, and files read under {condition}",
            "earlier readings of the same measurement condition",
            "Give others with `predict_with`, or leave it out.",
        )
    if readings.colour_space != colour_space:
        raise InputError(
            f"{readings.colour_space} in {path}", f"{colour_space}, as the chart is", "Give others with `predict_with`."
        )
    fitted = fit_printer(readings)
    noise = float(delta_e_2000(fitted.model.left_out, average_lab(readings.device, fitted.reading_lab)[1]).mean())
    deviations = np.sqrt(fitted.model.uncertainty(device) ** 2 + fitted.model.noise() ** 2)
    in_print = forecast_print(fitted)
    return model_colours(
        device,
        colour_space,
        fitted.model.predict,
        noise=noise,
        spread=spread_as_difference(deviations, fitted.model.predict(device)),
        origin=f"the model of {shown_name(path)}, {len(readings)} patches",
        usual=(in_print.mean, in_print.p95),
    )


def profile_predictor(path: Path) -> tuple[Callable[[FloatArray], FloatArray], str]:
    """Return device values to absolute Lab by a profile's colorimetric table, and its colour space."""
    try:
        profile = read_profile(path)
        space = _SPACES.get(profile.header.colour_space, profile.header.colour_space.decode("latin-1").strip())
        channels = {"RGB": 3, "CMYK": 4, "GRAY": 1}.get(space, 3)
        device_to_lab(profile, np.zeros((1, channels)), absolute=True)
    except TagError as error:
        raise ProfileFileError(path, str(error), "an output profile with A2B1", "Give another with `predict_with`.") from error
    return lambda device: device_to_lab(profile, device, absolute=True), space


def predicted_without(device: FloatArray, colour_space: str, pages: Sequence[PageStrips]) -> PredictedColours:
    """Return expected colours where nothing earlier is given: from the readings themselves, else the generic printer's."""
    paper = paper_device(colour_space, device.shape[1])
    generic = generic_lab(device, colour_space)
    try:
        return self_predicted(device, pages, generic=generic, paper_device=paper)
    except InputError as error:
        if generic is None:
            raise
        _LOG.warning("the readings cannot predict one another (%s): strips are checked only roughly", error.found)
        paper_lab = generic_lab(paper, colour_space)
        return generic_colours(device, pages, generic=generic, paper=generic[0] if paper_lab is None else paper_lab[0])
