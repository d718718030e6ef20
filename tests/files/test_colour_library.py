"""Libraries of colours written as CxF3: what is read back is what was written."""

import re

import numpy as np
import pytest

from spectro.errors import InputError
from spectro.files.colour_library import pack_library, with_recipes
from spectro.files.xml_nodes import parse_xml
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


SECTION = b"""
\t<cc:CustomResources xmlns:own="http://example.org/own">
\t\t<own:Ink name="House blue"><own:Tint of="c1">1</own:Tint><own:Object>c2</own:Object></own:Ink>
\t</cc:CustomResources>
</cc:CxF>
"""
"""A section that refers to objects, as extensions of the standard have; its form is invented."""


@pytest.mark.common_practice("no source: a file that gets recipes keeps all else that stands in it, word for word")
def test_a_library_keeps_what_it_holds_and_gets_recipes(tmp_path):
    text = pack_library(NAMES, np.array([[50.0, 20, -30], [60, 1, 2], [70, 3, 4]])).encode("utf-8")
    given = text.replace(b"</cc:CxF>\n", SECTION.replace(b"<own:Object>c2</own:Object>", b"").lstrip())
    recipes = [[("C", "10.0"), ("M & Y", "5.0")], [("C", "20.0")], [("C", "30.0")]]
    found = with_recipes(given, recipes)
    added = re.findall(rb'<cc:TagCollection Name="Recipe">.*?</cc:TagCollection>', found)
    assert [one.count(b"<cc:Tag ") for one in added] == [2, 1, 1]
    assert b'<cc:Tag Name="M &amp; Y" Value="5.0"/>' in added[0]
    left = found
    for one in added:
        left = left.replace(one, b"", 1)
    assert left == given
    (tmp_path / "library.cxf").write_bytes(found)
    assert np.array_equal(load_colours([tmp_path / "library.cxf"]).stated_lab, [[50, 20, -30], [60, 1, 2], [70, 3, 4]])
    assert parse_xml(found, "library.cxf").first("CustomResources") is not None


@pytest.mark.common_practice("no source: where it is not sure which object is which, nothing is added")
@pytest.mark.parametrize(
    "change",
    [
        lambda text: text.replace(b"</cc:CxF>\n", SECTION.lstrip()),  # an element of another space that is called Object too
        lambda text: text.replace(b"<cc:Resources>", b"<!-- </cc:Object> --><cc:Resources>"),
        lambda text: text.replace(b"UTF-8", b"iso-8859-1"),
        lambda text: with_recipes(text, [[("C", "1")]] * 3),
    ],
)
def test_a_library_that_is_not_clear_is_left(change):
    text = pack_library(NAMES, np.zeros((3, 3))).encode("utf-8")
    assert with_recipes(change(text), [[("C", "1")]] * 3) is None
