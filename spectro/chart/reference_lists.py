"""Lists that tell other software what was printed where: plain CGATS, and ISO 17972 XML; one page a file.

An interruption then costs a page at most. Ids, names, page, row and column are those of the chart.
"""

import numpy as np

from spectro.chart.channels import are_inks, colour_space
from spectro.files.cgats import pack_cgats
from spectro.files.chart_table import chart_table
from spectro.files.reference_xml import ReferencePatch, pack_reference
from spectro.records.arrays import IntArray
from spectro.records.chart import Chart


def patch_table(chart: Chart) -> str:
    """Return the whole chart as CGATS text: ids, names, device values, page, row and column."""
    return _table(chart, np.arange(len(chart)), [])


def page_table(chart: Chart, page: int) -> str:
    """Return one page, counted from 1, as CGATS text, as `patch_table`."""
    here = np.flatnonzero(chart.positions[:, 0] == page)
    rows, columns = chart.positions[here, 1].max(), chart.positions[here, 2].max()
    return _table(chart, here, [("PAGE_OF_PAGES", f"{page}/{chart.pages}"), ("ROWS", str(rows)), ("COLUMNS", str(columns))])


def _table(chart: Chart, here: IntArray, more: list[tuple[str, str]]) -> str:
    header = [("DESCRIPTOR", chart.recipe.title)]
    entries = [("CHART_ID", chart.chart_id)]
    if are_inks(chart.channels):
        entries.append(("INKS", ", ".join(chart.channels)))
    if chart.recipe.stages.on:
        entries.append(("INK_STAGES", ", ".join(chart.recipe.stages.on)))
    for keyword, value in (*entries, *more):
        header += [("KEYWORD", keyword), (keyword, value)]
    names = tuple(chart.sample_names[index] for index in here.tolist())
    ids = tuple(chart.sample_ids[index] for index in here.tolist())
    table = chart_table(ids, names, colour_space(chart.channels), chart.device[here], chart.positions[here], header)
    return pack_cgats(table)


def page_xml(chart: Chart, page: int) -> str:
    """Return one page, counted from 1, as ISO 17972 text: target objects with device values and places, no readings."""
    here = np.flatnonzero(chart.positions[:, 0] == page)
    patches = [
        ReferencePatch(
            sample_id=chart.sample_ids[index],
            name=chart.sample_names[index],
            device=tuple(chart.device[index].tolist()),
            page=page,
            row=int(chart.positions[index, 1]),
            column=int(chart.positions[index, 2]),
        )
        for index in here.tolist()
    ]
    description = f"{chart.recipe.title}, chart {chart.chart_id}, page {page} of {chart.pages}"
    return pack_reference(patches, chart.channels, colour_space(chart.channels), description)
