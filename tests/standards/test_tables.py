"""The tables of standards against the tables of a general colour-science library."""

import colour
import numpy as np
import pytest

from spectro.errors import InputError
from spectro.standards.tables import illuminant_names, illuminant_power, load_table, observer_table, parse_table


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
    for file in ("observer_2", "observer_10", "illuminants_standard", "illuminants_fluorescent", "illuminants_led"):
        assert load_table(f"{file}.csv").header["source"].startswith("CIE-")


def test_a_table_without_header_is_refused():
    with pytest.raises(InputError, match="header line"):
        parse_table("wavelength_nm,x\n380,1\n", "bad.csv")
    header = "# title: t\n# source: s\n# unit: u\n# entered: e\n"
    with pytest.raises(InputError, match="uneven length"):
        parse_table(header + "wavelength_nm,x\n380,1,2\n", "bad.csv")
