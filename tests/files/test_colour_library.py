"""Libraries of colours written as CxF3: what is read back is what was written."""

import numpy as np
import pytest

from spectro.errors import InputError
from spectro.files.colour_library import pack_library
from spectro.readings.load import load_colours
from spectro.records.conditions import MeasurementCondition

NAMES = ("House blue", 'Red & <odd> "name"', "Grün 7")


@pytest.mark.common_practice("no source: what is written is read back as it was")
def test_spectra_come_back_as_they_were(tmp_path):
    random = np.random.default_rng(1)
    wavelengths, reflectance = np.arange(380.0, 731, 10), random.random((3, 36))
    text = pack_library(
        NAMES,
        np.zeros((3, 3)),
        reflectance=reflectance,
        wavelengths=wavelengths,
        condition=MeasurementCondition.M1,
        recipes=[[("C", "10.0")]] * 3,
    )
    (tmp_path / "library.cxf").write_text(text, "utf-8")
    found = load_colours([tmp_path / "library.cxf"])
    assert tuple(name or number for name, number in zip(found.sample_names, found.sample_ids, strict=True)) == NAMES
    assert np.array_equal(found.reflectance, reflectance)
    assert np.array_equal(found.wavelengths, wavelengths)
    assert found.condition is MeasurementCondition.M1


@pytest.mark.common_practice("no source: what is written is read back as it was")
def test_lab_comes_back_as_it_was(tmp_path):
    lab = np.array([[50.125, 20.5, -30.0625], [91.0, 0.1, 0.3], [12.0, -3.0, 4.0]])
    (tmp_path / "library.cxf").write_text(pack_library(NAMES, lab), "utf-8")
    found = load_colours([tmp_path / "library.cxf"])
    assert np.abs(found.stated_lab - lab).max() < 1e-9


@pytest.mark.common_practice("no source: what the form cannot hold is refused")
def test_uneven_wavelengths_are_refused():
    with pytest.raises(InputError, match="uneven"):
        pack_library(["a"], np.zeros((1, 3)), reflectance=np.ones((1, 3)), wavelengths=np.array([400.0, 410, 430]))
