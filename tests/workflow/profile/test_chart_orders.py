"""A profile from readings without device values, whose rows do not run as their chart does."""

from pathlib import Path

import numpy as np
import pytest

from spectro.errors import GateError, MeasurementFileError
from spectro.readings.load import load_readings
from spectro.records.profile_settings import ProfileSettings
from spectro.records.reading_options import ReadingOptions
from spectro.workflow import profile_build
from spectro.workflow.steps.chart_readings import readings_of_chart

DEMO = Path(__file__).resolve().parents[3] / "demo_measurements"
CHART = DEMO / "demo-chart.txt"


def exported(file, rows, ids):
    """Write spectra of the demo print alone, in an order of rows, as an instrument's software might."""
    print_ = load_readings([DEMO / "demo-readings-m1.txt"])
    fields = [*(["SAMPLE_ID"] if ids else []), *(f"SPECTRAL_NM{nm:g}" for nm in print_.wavelengths)]
    lines = ["CGATS.17", "MEASUREMENT_SOURCE\tMeasurementCondition=M1", "BEGIN_DATA_FORMAT", "\t".join(fields)]
    lines += ["END_DATA_FORMAT", "BEGIN_DATA"]
    for number, row in enumerate(rows.tolist(), 1):
        cells = [*([ids.format(number)] if ids else []), *(f"{value:.5f}" for value in print_.reflectance[row])]
        lines.append("\t".join(cells))
    file.write_text("\n".join([*lines, "END_DATA", ""]), encoding="utf-8")
    return file


def by_rows():
    """Rows of the demo chart, whose strips are columns, as software that goes along lines lists them."""
    places = load_readings([DEMO / "demo-readings-m1.txt"]).positions
    return np.lexsort((places[:, 2], places[:, 1], places[:, 0]))


@pytest.mark.common_practice("no source: an export's order and ids are what its software makes them")
@pytest.mark.parametrize("ids", ["", "{}", "no {}"])
def test_the_order_is_found_by_colours_and_said(ids, tmp_path):
    file = exported(tmp_path / "export.txt", by_rows(), ids)
    built = profile_build([file], tmp_path / "x.icc", options=ReadingOptions(chart=CHART), settings=ProfileSettings(grid=9))
    assert "export.txt was joined by order" in built.verdict
    assert [one.cause for one in built.gate] == ["order found by colours"]
    right = profile_build([DEMO / "demo-readings-m1.txt"], tmp_path / "y.icc", settings=ProfileSettings(grid=9))
    assert built.forecast.cross_validation.mean == pytest.approx(right.forecast.cross_validation.mean, abs=0.01)


def test_ids_of_the_chart_are_taken_without_a_word(tmp_path):
    file = exported(tmp_path / "export.txt", np.arange(459), "{}")
    found, said = readings_of_chart([file], ReadingOptions(chart=CHART))
    assert (len(found), said, found.sample_names[0]) == (459, (), "A1")


def test_readings_of_something_else_are_refused_as_before(tmp_path):
    shuffled = np.random.default_rng(1).permutation(459)
    with pytest.raises(MeasurementFileError):
        profile_build(
            [exported(tmp_path / "a.txt", shuffled[:300], "no {}")], tmp_path / "x.icc", options=ReadingOptions(chart=CHART)
        )
    with pytest.raises((GateError, MeasurementFileError)):
        profile_build(
            [exported(tmp_path / "b.txt", shuffled, "no {}")], tmp_path / "x.icc", options=ReadingOptions(chart=CHART)
        )
    assert not (tmp_path / "x.icc").exists()
