"""Functions that may write over a file refuse where it is one that they read."""

import importlib
import inspect
import shutil
from pathlib import Path

import pytest

from spectro import workflow
from spectro.errors import InputError
from spectro.files.overwriting import check_not_read
from spectro.records.reading_options import ReadingOptions

DEMO = Path("demo_measurements")


@pytest.mark.parametrize("name", sorted(workflow.__all__))
def test_every_command_that_may_write_over_a_file_looks_at_what_it_reads(name):
    function = getattr(workflow, name)
    given = inspect.signature(function).parameters
    if any(one.startswith("replace") for one in given) and "out" in given:
        assert "out" in function.written


def test_a_function_refuses_and_leaves_the_readings_as_they_were(tmp_path):
    mine = Path(shutil.copy(DEMO / "demo-second-sheet-m1.txt", tmp_path / "mine.txt"))
    before = mine.read_bytes()
    build = importlib.import_module("spectro.workflow.profile.build").profile_build
    for call in (
        lambda: build([mine], mine, replace=True),
        lambda: build([DEMO / "demo-readings-m1.txt"], out=mine, options=ReadingOptions(another_sheet=(mine,)), replace=True),
        lambda: workflow.readings_add([mine], out=mine, replace_existing=True),
        lambda: workflow.colours(mine, out=mine, replace=True),
    ):
        with pytest.raises(InputError, match="which this command reads"):
            call()
        assert mine.read_bytes() == before


def test_the_table_of_a_chart_is_not_written_over(tmp_path):
    (tmp_path / "chart.txt").write_text("a list of somebody's own", encoding="utf-8")
    check_not_read(tmp_path / "chart.txt", [], "out")
    (tmp_path / "chart.json").write_text("{}", encoding="utf-8")
    with pytest.raises(InputError, match="which this command reads"):
        check_not_read(tmp_path / "chart.txt", [], "out")
