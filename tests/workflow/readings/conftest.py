"""What the tests of sittings share."""

import pytest

from spectro.workflow.chart.new import chart_new


@pytest.fixture(scope="module")
def chart(tmp_path_factory):
    """A chart of five strips."""
    folder = tmp_path_factory.mktemp("charts") / "strips"
    chart_new("rgb-a4-strip", folder, patches=120)
    return folder
