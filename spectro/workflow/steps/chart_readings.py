"""Readings that find their device values in a chart: by id or name, else in the order that their colours tell."""

from collections.abc import Sequence
from pathlib import Path

from spectro.checks.reading_merging import APART, merge_strips
from spectro.errors import MeasurementFileError, SpectroError
from spectro.readings.intake import FileReadings, take_in
from spectro.readings.load import load_readings
from spectro.readings.questionable import without_patches
from spectro.records.measurement import MeasurementSet
from spectro.records.reading_options import ReadingOptions
from spectro.records.shown_text import shown_name
from spectro.words.joins import order_caution
from spectro.workflow.steps.joining import join_files
from spectro.workflow.steps.judging import doubted_patches, expected_colours, layout_of, measurements_of, rough_bench


def readings_of_chart(paths: Sequence[Path], options: ReadingOptions) -> tuple[MeasurementSet, tuple[str, ...]]:
    """Return readings as `load_readings` does, and what to keep in mind of how they were joined with their chart.

    Where their ids and names are not the chart's, or their colours contradict them, the order is that which colours tell, as
    `readings add` does; the words say so. Raises as `load_readings`, InputError where several orders fit alike.
    """
    try:
        found = load_readings(paths, options)
    except MeasurementFileError:
        if options.chart is None or options.another_sheet:
            raise
        taken = take_in(paths, options)
        if any(file.device is not None for file in taken):
            raise
        joined = _joined(taken, options.chart, asked=options.with_questionable)
        if joined is None:
            raise
        return joined
    if options.chart is None or options.another_sheet:
        return found, ()
    try:
        taken = take_in(paths, options)
        if any(file.device is not None for file in taken):
            return found, ()
        joined = _joined(taken, options.chart, asked=options.with_questionable)
    except SpectroError:  # ids and names fit; the check of strips tells whether the colours do
        return found, ()
    return joined or (found, ())


def _joined(taken: Sequence[FileReadings], chart: Path, *, asked: bool) -> tuple[MeasurementSet, tuple[str, ...]] | None:
    """Return readings joined in the order that their colours tell; None where nothing but ids, names or numbers tells one."""
    layout = layout_of(chart, taken)
    joins = join_files(taken, layout, ())
    told = [order_caution(shown_name(file.path), join) for file, join in zip(taken, joins, strict=True) if join.found]
    if not told:
        return None
    bench = rough_bench(taken, joins, layout)
    expected = expected_colours(None, bench, taken[0].condition)
    together = merge_strips(bench.strips, taken, layout, how=APART, expected=expected.lab, paper=expected.paper)
    found = measurements_of(together, taken, layout)
    return without_patches(found, doubted_patches(bench, taken, layout), asked=asked), tuple(told)
