"""What a page tells of the patch under the pointer."""

import json
from pathlib import Path

import numpy as np
import pytest

from spectro.report.patch_view import patch_view_data
from spectro.report.readings_document import shown_document
from spectro.report.render_html import render_html
from spectro.workflow.readings.show import readings_show

DEMO = Path(__file__).resolve().parents[2] / "demo_measurements" / "demo-readings-m1.txt"


@pytest.fixture(scope="module")
def shown():
    return readings_show(DEMO)


def test_a_page_tells_every_patch_as_it_stands_in_the_file(shown):
    """Each patch has its place, its device values and its spectrum to a thousandth; none is told twice."""
    sheet = shown.sheets[0]
    page = json.loads(patch_view_data(sheet, 1))
    assert len(page["patches"]) == sheet.chart_patches
    assert len({tuple(patch["at"]) for patch in page["patches"]}) == len(page["patches"])
    rows = {name: row for row, name in enumerate(sheet.measurements.sample_ids)}
    for place, patch in zip(np.concatenate([strip.rows for strip in sheet.layout.strips]), page["patches"], strict=True):
        row = rows[sheet.layout.sample_ids[place]]
        np.testing.assert_allclose(np.array(patch["spectrum"]) / 1000, sheet.measurements.reflectance[row], atol=5.1e-4)
        np.testing.assert_allclose(np.array(patch["device"]) / 100, sheet.measurements.device[row], atol=5.1e-4)


def test_the_page_carries_the_script_by_its_hash_alone(shown):
    """One script for all pages, allowed by its hash; the data of a page cannot end its element."""
    page = render_html(shown_document(shown))
    assert page.count('class="patch-view') == len(shown.sheets[0].layout.pages)
    assert page.count("const sheet = box.querySelector") == 1
    assert "'unsafe-inline'" not in page.partition("script-src")[2].partition(";")[0]
