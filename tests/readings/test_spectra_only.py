"""Spectra without device values, uneven ones, several conditions."""

import numpy as np
import pytest

from spectro.errors import MeasurementFileError
from spectro.readings.load import conditions_of, load_spectra
from spectro.records.conditions import MeasurementCondition
from spectro.records.reading_options import ReadingOptions

M0, M2 = MeasurementCondition.M0, MeasurementCondition.M2
EVEN = range(380, 731, 10)


def write(path, names, rows, header=""):
    lines = ["CGATS.17", *header.splitlines(), "BEGIN_DATA_FORMAT", " ".join(names), "END_DATA_FORMAT"]
    lines += [f"NUMBER_OF_SETS {len(rows)}", "BEGIN_DATA", *(" ".join(map(str, row)) for row in rows), "END_DATA", ""]
    path.write_text("\n".join(lines))
    return path


def test_a_file_without_device_values(tmp_path):
    path = write(tmp_path / "a.txt", [f"NM_{nm}" for nm in EVEN], [[0.5] * 36, [0.25] * 36], "FILTER M2")
    found = load_spectra([path])
    assert found.sample_ids == ("1", "2")
    assert found.condition == M2
    assert found.reflectance.shape == (2, 36)
    assert load_spectra([path], ReadingOptions(condition=M2)).condition == M2
    with pytest.raises(MeasurementFileError, match="readings of M2; expected M0"):
        load_spectra([path], ReadingOptions(condition=M0))


def test_uneven_and_unsorted_wavelengths_in_per_cent(tmp_path):
    nm = [730, *(value for value in EVEN if value not in (400, 560, 730))]
    path = write(tmp_path / "b.txt", ["SAMPLE_ID", *(f"SPECTRAL_NM{value}" for value in nm)], [["p", *range(20, 20 + len(nm))]])
    found = load_spectra([path])
    assert found.sample_ids == ("p",)
    assert np.all(np.diff(found.wavelengths) > 0)
    assert found.reflectance[0, -1] == pytest.approx(0.20)
    assert found.reflectance[0, 0] == pytest.approx(0.21)
    assert found.condition is None
    assert load_spectra([path], ReadingOptions(condition=M0)).condition == M0


def test_several_conditions_in_one_file(tmp_path):
    names = [f"M0_NM{nm}" for nm in EVEN] + [f"M2_NM{nm}" for nm in EVEN]
    path = write(tmp_path / "c.txt", names, [[0.5] * 36 + [0.4] * 36])
    assert tuple(conditions_of([path])) == (M0, M2)
    assert load_spectra([path], ReadingOptions(condition=M2)).reflectance[0, 0] == 0.4
    with pytest.raises(MeasurementFileError, match="M0, M2"):
        load_spectra([path])


def test_a_file_without_spectra_is_refused(tmp_path):
    path = write(tmp_path / "d.txt", ["SAMPLE_ID", "LAB_L", "LAB_A", "LAB_B"], [["1", 50, 0, 0]])
    with pytest.raises(MeasurementFileError, match="no spectra"):
        load_spectra([path])
