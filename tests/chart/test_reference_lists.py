"""Lists for other software: one page a file, the same patches and places as the chart."""

import dataclasses
from xml.etree import ElementTree

import numpy as np
import pytest

from spectro.chart.design import design_chart
from spectro.chart.recipe import read_recipe
from spectro.chart.reference_lists import page_table, page_xml, patch_table
from spectro.errors import InputError
from spectro.files.cgats import parse_cgats
from spectro.files.reference_xml import NAMESPACE, ReferencePatch, pack_reference
from spectro.records.chart import Chart

CC = f"{{{NAMESPACE}}}"


@pytest.fixture(scope="module", params=["rgb", "cmyk", "six"])
def chart(request: pytest.FixtureRequest, small_chart: Chart) -> Chart:
    """A chart in light, one in four inks, one in six."""
    if request.param == "rgb":
        return small_chart
    name = {"cmyk": "cmyk-medium-patch", "six": "six-ink-medium-strip"}[request.param]
    return design_chart(dataclasses.replace(read_recipe(name), patches=150, pages=None))


def test_tables_of_pages_are_the_chart_cut_by_page(chart: Chart) -> None:
    """Rows of all pages' CGATS together are those of the whole table; ROWS and COLUMNS say the grid."""
    whole = parse_cgats(patch_table(chart).encode(), "chart.txt")
    rows: list[tuple[str, ...]] = []
    for page in range(1, chart.pages + 1):
        table = parse_cgats(page_table(chart, page).encode(), "page.txt")
        assert table.fields == whole.fields
        rows += table.rows
        header = {entry.keyword: entry.value for entry in table.header}
        here = chart.positions[chart.positions[:, 0] == page]
        assert (int(header["ROWS"]), int(header["COLUMNS"])) == tuple(here.max(axis=0)[1:])
        assert header["PAGE_OF_PAGES"] == f"{page}/{chart.pages}"
        assert header["CHART_ID"] == chart.chart_id
    assert tuple(rows) == whole.rows
    scale = 255 if chart.channels[0] == "red" else 100
    device = np.array([[float(cell) for cell in row[2 : 2 + len(chart.channels)]] for row in whole.rows])
    np.testing.assert_allclose(device / scale, chart.device, atol=1e-12)


def test_xml_lists_hold_ids_places_and_device_values(chart: Chart) -> None:
    """Read with a plain XML reader: one target object a patch, in reading order, rows and columns from 0."""
    for page in range(1, chart.pages + 1):
        root = ElementTree.fromstring(page_xml(chart, page))
        objects = root.findall(f".//{CC}Object")
        here = np.flatnonzero(chart.positions[:, 0] == page)
        assert len(objects) == len(here)
        for item, row in zip(objects, here.tolist(), strict=True):
            assert item.get("ObjectType") == "Target"
            tags = {tag.get("Name"): tag.get("Value") for tag in item.iter(f"{CC}Tag")}
            _, line, column = chart.positions[row].tolist()
            assert (tags["Page"], tags["Row"], tags["Column"]) == (str(page), str(line - 1), str(column - 1))
            assert (item.get("Name"), tags["PatchName"]) == (chart.sample_ids[row], chart.sample_names[row])
            values = item.find(f"{CC}DeviceColorValues")
            assert values is not None
            numbers = [float(cell.text) for cell in values.iter() if cell.text and cell.text.strip()]
            scale = 255 if chart.channels[0] == "red" else 100
            np.testing.assert_allclose(np.array(numbers) / scale, chart.device[row], atol=1e-7)


def test_a_patch_with_another_number_of_values_is_refused() -> None:
    """One value a channel."""
    patch = ReferencePatch(sample_id="1", name="A1", device=(0.5,), page=1, row=1, column=1)
    with pytest.raises(InputError, match="1 device values"):
        pack_reference([patch], ("red", "green", "blue"), "RGB", "x")


def test_words_are_escaped() -> None:
    """A title with signs that XML uses stays a title."""
    patch = ReferencePatch(sample_id='<"1">', name="A&1", device=(0.5,), page=1, row=1, column=1)
    root = ElementTree.fromstring(pack_reference([patch], ("grey",), "GRAY", "a < b & c"))
    assert root.findtext(f".//{CC}Description") == "a < b & c"
    tags = {tag.get("Name"): tag.get("Value") for tag in root.iter(f"{CC}Tag")}
    assert (root.find(f".//{CC}Object").get("Name"), tags["PatchName"]) == ('<"1">', "A&1")
    assert root.findtext(f".//{CC}R") == "127.5"
