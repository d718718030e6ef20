"""The tables of standards against the tables of a general colour-science library."""

import re
from pathlib import Path

import colour
import numpy as np
import pytest

from spectro.errors import InputError
from spectro.standards import tables
from spectro.standards.tables import illuminant_names, illuminant_power, load_table, observer_table, parse_table

KEYS = set(
    re.findall(r"^## \[([^\]]+)\]", (Path(__file__).parents[2] / "REFERENCES.md").read_text("utf-8"), flags=re.MULTILINE)
)
_LETTERS = "latin_letters"  # no table of spectra
_TABLES = [path.stem for path in (Path(tables.__file__).parent).glob("*.csv") if path.stem != _LETTERS]


@pytest.mark.source("CIE-018-2019", "colour-matching functions at 1 nm")
@pytest.mark.parametrize(("observer", "name"), [(2, "CIE 1931 2 Degree"), (10, "CIE 1964 10 Degree")])
def test_observers(observer, name):
    table = observer_table(observer)
    expected = colour.MSDS_CMFS[f"{name} Standard Observer"]
    assert table.names == ("x", "y", "z")
    np.testing.assert_array_equal(table.wavelengths, np.arange(360, 831))
    np.testing.assert_array_equal(table.values, expected.values)


@pytest.mark.source("CIE-15-2018", "tables of illuminants at 5 nm")
@pytest.mark.parametrize("name", [name for name in illuminant_names() if name != "E"])
def test_illuminants(name):
    key = f"FL{name[1:]}" if name[0] == "F" else name
    wavelengths = np.arange(380.0, 781.0, 5.0)
    np.testing.assert_allclose(illuminant_power(name, wavelengths), colour.SDS_ILLUMINANTS[key][wavelengths], atol=1e-12)


def test_every_table_names_its_source():
    for file in _TABLES:
        assert load_table(f"{file}.csv").header["source"].split(",")[0] in KEYS
    letters = (Path(tables.__file__).parent / f"{_LETTERS}.csv").read_text("utf-8")
    assert "# source: from memory" in letters


def test_a_table_without_header_is_refused():
    with pytest.raises(InputError, match="header line"):
        parse_table("wavelength_nm,x\n380,1\n", "bad.csv")
    header = "# title: t\n# source: s\n# unit: u\n# entered: e\n"
    with pytest.raises(InputError, match="uneven length"):
        parse_table(header + "wavelength_nm,x\n380,1,2\n", "bad.csv")


@pytest.mark.source("CIE-15-2018", "components of daylight at 5 nm")
def test_daylight_components():
    table = load_table("daylight_components.csv")
    for column, name in enumerate(table.names):
        expected = colour.colorimetry.SDS_BASIS_FUNCTIONS_CIE_ILLUMINANT_D_SERIES[name]
        np.testing.assert_array_equal(table.wavelengths, expected.wavelengths)
        np.testing.assert_array_equal(table.values[:, column], expected.values)


@pytest.mark.source("ISO-5-3", "sums and peaks of the spectral products")
def test_density_products():
    table = load_table("density_status.csv")
    sums = dict(zip(table.names, table.values.sum(axis=0).round(2).tolist(), strict=True))
    peaks = dict(zip(table.names, table.wavelengths[table.values.argmax(axis=0)].tolist(), strict=True))
    assert (sums["T_red"], sums["T_green"], sums["T_blue"], sums["E_blue"], sums["visual"]) == (
        312.88,
        524.33,
        711.09,
        526.85,
        1057.33,
    )
    assert [peaks[f"T_{name}"] for name in ("red", "green", "blue")] == [600, 530, 460]
    assert [peaks[f"A_{name}"] for name in ("red", "green", "blue")] == [620, 530, 440]
    assert [peaks[f"M_{name}"] for name in ("red", "green", "blue")] == [640, 540, 450]
    assert (peaks["E_blue"], peaks["visual"]) == (440, 570)
    np.testing.assert_allclose(table.values.max(axis=0), 100)


@pytest.mark.source("SCAN-G-5", "weights of R457: sum, centroid 457 nm, and the limits of a white backing")
def test_brightness_weights_and_backing_limits():
    table = load_table("brightness_r457.csv")
    weights = table.values[:, 0]
    assert weights.sum() == 100_000
    assert table.wavelengths @ weights / weights.sum() == pytest.approx(457.16, abs=0.01)
    limits = load_table("backing_white.csv")
    assert limits.values.shape == (36, 2)
    assert np.all(limits.values[:, 0] < limits.values[:, 1])
