"""One way to load: whatever asks, the same file gives the same rows, with spectra or Lab, with device values or without."""

from dataclasses import replace

import numpy as np
import pytest

from spectro.errors import InputError, MeasurementFileError
from spectro.files.cgats import write_cgats
from spectro.readings.load import load_any_readings, load_readings, load_spectra, readings_lab
from spectro.readings.write import measurement_table
from spectro.records.conditions import MeasurementCondition
from spectro.records.measurement import MeasurementSet
from spectro.records.reading_options import ReadingOptions

BANDS = [f"nm{nm}" for nm in range(400, 710, 20)]
GREY = [0.1] * 16
RGB = ["RGB_R", "RGB_G", "RGB_B"]
LAB = ["LAB_L", "LAB_A", "LAB_B"]
LOADERS = (load_readings, load_spectra, load_any_readings)


def pages(text, first, second):
    """Two tables in one file."""
    return text(fields=["SAMPLE_ID", *RGB, *BANDS], rows=first) + text(fields=["SAMPLE_ID", *RGB, *BANDS], rows=second)


@pytest.mark.parametrize("load", LOADERS)
def test_every_table_of_a_file_counts(readings_file, readings_text, load):
    path = readings_file(
        text=pages(readings_text, [["1", 255, 0, 0, *GREY]], [["2", 0, 255, 0, *GREY], ["3", 0, 0, 255, *GREY]])
    )
    found = load([path])
    assert found.sample_ids == ("1", "2", "3")
    assert found.device.tolist() == [[1, 0, 0], [0, 1, 0], [0, 0, 1]]


@pytest.mark.parametrize("load", LOADERS)
def test_a_table_of_the_same_patches_without_spectra_is_passed_over(readings_file, readings_text, load):
    spectra = readings_text(fields=["SAMPLE_ID", *RGB, *BANDS], rows=[["1", 255, 0, 0, *GREY], ["2", 0, 255, 0, *GREY]])
    stated = readings_text(fields=["SAMPLE_ID", *LAB], rows=[["2", 50, 0, 0]])
    assert load([readings_file(text=stated + spectra)]).sample_ids == ("1", "2")
    other = readings_text(fields=["SAMPLE_ID", *LAB], rows=[["7", 50, 0, 0]])
    with pytest.raises(MeasurementFileError, match="no spectra") as caught:
        load([readings_file(text=spectra + other)])
    assert caught.value.line > 0


@pytest.mark.parametrize("load", LOADERS)
def test_a_chart_folder_stands_for_its_table(readings_file, tmp_path, load):
    folder = tmp_path / "chart"
    folder.mkdir()
    readings_file("chart/chart.txt", fields=["SAMPLE_ID", *RGB], rows=[["1", 255, 0, 0], ["2", 0, 0, 255]])
    path = readings_file(fields=["SAMPLE_ID", *BANDS], rows=[["2", *GREY], ["1", *GREY]])
    assert load([path], ReadingOptions(chart=folder)).device.tolist() == [[0, 0, 1], [1, 0, 0]]
    (folder / "chart.txt").unlink()
    with pytest.raises(MeasurementFileError, match=r"a folder without chart\.txt"):
        load([path], ReadingOptions(chart=folder))


def test_lab_alone_finds_its_device_values_in_the_chart(readings_file):
    chart = readings_file("chart.txt", fields=["SAMPLE_ID", *RGB], rows=[["1", 255, 0, 0], ["2", 0, 0, 255]])
    path = readings_file(fields=["SAMPLE_ID", *LAB], rows=[["2", 40, 1, 2], ["1", 50, 3, 4]])
    found = load_any_readings([path], ReadingOptions(chart=chart, condition=MeasurementCondition.M1))
    assert (found.has_spectra, found.condition) == (False, MeasurementCondition.M1)
    assert found.device.tolist() == [[0, 0, 1], [1, 0, 0]]
    assert readings_lab(found).tolist() == [[40, 1, 2], [50, 3, 4]]
    alone = load_any_readings([path])
    assert (alone.has_device, alone.device.shape) == (False, (2, 0))
    with pytest.raises(MeasurementFileError, match="no spectra"):
        load_readings([path], ReadingOptions(chart=chart))


@pytest.mark.parametrize(("header", "found"), [(("ILLUMINANT D65",), "D65, 2°"), (("OBSERVER_ANGLE 10",), "D50, 10°")])
def test_lab_for_another_light_is_refused(readings_file, header, found):
    path = readings_file(header=header, fields=["SAMPLE_ID", *LAB], rows=[["1", 50, 3, 4]])
    with pytest.raises(MeasurementFileError, match=found):
        load_any_readings([path])


def test_spectra_and_lab_alone_are_not_mixed(readings_file):
    spectra = readings_file("a.txt", fields=["SAMPLE_ID", *BANDS], rows=[["1", *GREY]])
    stated = readings_file("b.txt", fields=["SAMPLE_ID", *LAB], rows=[["2", 50, 3, 4]])
    with pytest.raises(MeasurementFileError, match="no spectra"):
        load_any_readings([spectra, stated])


def test_spectra_do_without_device_values_that_cannot_be_told(readings_file):
    """99 as the largest of RGB is no scale: a profile asks, a table of colours does without and says so."""
    path = readings_file(fields=["SAMPLE_ID", *RGB, *BANDS], rows=[["1", 99, 0, 0, *GREY]])
    found = load_spectra([path])
    assert not found.has_device
    assert "`device_scale`" in found.cautions[0]
    for load in (load_readings, load_any_readings):
        with pytest.raises(MeasurementFileError, match="99 as the largest"):
            load([path])
    assert load_spectra([path], ReadingOptions(device_scale=100)).device.tolist() == [[0.99, 0, 0]]


def test_uneven_wavelengths_are_for_colours_alone(readings_file):
    uneven = [f"nm{nm}" for nm in (400, 420, 450, 500, 560, 600, 700)]
    path = readings_file(fields=["SAMPLE_ID", *RGB, *uneven], rows=[["1", 255, 0, 0, *[0.5] * 7]])
    assert np.ptp(np.diff(load_spectra([path]).wavelengths)) > 0
    with pytest.raises(MeasurementFileError, match="one step throughout"):
        load_readings([path])
    twice = readings_file(fields=["SAMPLE_ID", "nm400", *uneven], rows=[["1", *[0.5] * 8]])
    with pytest.raises(MeasurementFileError):
        load_spectra([twice])


def test_a_scale_that_is_none():
    with pytest.raises(InputError, match="the device scale 16"):
        ReadingOptions(device_scale=16)


@pytest.mark.parametrize("read", ["colours", "sitting"])
def test_several_tables_of_a_file_are_read_together_and_said(read, tmp_path, caplog):
    from spectro.readings.intake import take_in
    from spectro.readings.load import load_spectra

    head = ["CGATS.17", "BEGIN_DATA_FORMAT", "SAMPLE_ID " + " ".join(f"NM_{nm}" for nm in range(400, 701, 10))]
    tables = [
        [*head, "END_DATA_FORMAT", "BEGIN_DATA", *(f"{name}{n} " + " ".join(["0.5"] * 31) for n in range(20)), "END_DATA"]
        for name in "ab"
    ]
    file = tmp_path / "two.txt"
    file.write_text("\n".join([*tables[0], *tables[1], ""]))
    found = load_spectra([file]) if read == "colours" else take_in([file])[0]
    assert len(found) == 40
    assert "two.txt: 2 tables are read together: 20 rows from line 6, 20 rows from line 32" in caplog.text


@pytest.mark.common_practice("no source: a copy is no second reading")
@pytest.mark.parametrize("part", [slice(None), slice(40, None)])
def test_a_copy_under_another_name_is_no_second_reading(part, tmp_path):
    """It would bring repeats without any noise, and a forecast that nothing in print can keep."""
    rng = np.random.default_rng(4)
    one = MeasurementSet(
        sample_ids=tuple(str(row + 1) for row in range(60)), sample_names=("",) * 60, colour_space="RGB",
        device=rng.random((60, 3)).round(3), wavelengths=np.arange(380.0, 740, 10), reflectance=rng.random((60, 36)).round(4),
        condition=MeasurementCondition.M0,
    )  # fmt: skip
    copy = replace(
        one, sample_ids=one.sample_ids[part], sample_names=one.sample_names[part], device=one.device[part],
        reflectance=one.reflectance[part],
    )  # fmt: skip
    other = replace(one, reflectance=(one.reflectance * 0.999).round(4))
    for name, readings in (("one", one), ("copy", copy), ("other", other)):
        write_cgats(measurement_table(readings), tmp_path / f"{name}.txt")
    with pytest.raises(InputError, match=r"holds the same readings as .*one\.txt"):
        load_readings([tmp_path / "one.txt", tmp_path / "copy.txt"])
    assert len(load_readings([tmp_path / "one.txt", tmp_path / "other.txt"])) == 120
