"""Dates and field names as files spell them."""

import pytest

from spectro.files.dates import iso_date, newest_date
from spectro.files.field_names import device_field, is_numeric_field, spectral_field

pytestmark = pytest.mark.common_practice("no source: spellings met in files, and invented ones")


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("2013-11-21 17:56:43", "2013-11-21T17:56:43Z"),
        ("2025-06-29T00:24:42", "2025-06-29T00:24:42Z"),
        ("2025-06-29T00:24:42.125+02:00", "2025-06-28T22:24:42Z"),
        ("2025-06-29T23:24:42-0130", "2025-06-30T00:54:42Z"),
        ("2013/10/29", "2013-10-29T00:00:00Z"),
        ("August 21, 2018  15:47", "2018-08-21T15:47:00Z"),
        ("November 27, 2024  12:11", "2024-11-27T12:11:00Z"),
        ("Fri Mar 17 13:07:06 2017", "2017-03-17T13:07:06Z"),
        ("17 March 2017", "2017-03-17T00:00:00Z"),
        ("17-Mar-2017 1:05 PM", "2017-03-17T13:05:00Z"),
        ("30.06.2004", "2004-06-30T00:00:00Z"),
        ("5.6.2004", "2004-06-05T00:00:00Z"),
        ("11/21/2013 12:30 am", "2013-11-21T00:30:00Z"),
        ("21/11/2013", "2013-11-21T00:00:00Z"),
        ("9/9/2014", "2014-09-09T00:00:00Z"),
        ("9/6/2014", None),
        ("7/5/2004", None),
        ("May 2015", None),
        ("September 2003", None),
        ("2015", None),
        ("31.02.2015", None),
        ("2015-13-01", None),
        ("2015-00-10", None),
        ("2015-01-01 25:00", None),
        ("2015-01-01 13:00 pm", None),
        ("21/11/13", None),
        ("0001-01-01", None),
        ("yesterday", None),
        ("", None),
    ],
)
def test_dates(text, expected):
    assert iso_date(text) == expected


def test_the_newest_of_those_understood():
    assert newest_date(["9/6/2030", "2013-11-21", "August 21, 2018"]) == "2018-08-21T00:00:00Z"
    assert newest_date(["9/6/2030"]) is None


@pytest.mark.parametrize(
    "name",
    ["SPECTRAL_NM380", "SPECTRAL_NM_380", "SPECTRAL_380", "nm380", "NM_380", "NM380", "R_380", "380", "380nm",
     "SPECTRAL_DEC_380", "SPECTRAL_NM380.0", "REFLECTANCE_380"],
)  # fmt: skip
def test_spellings_of_a_spectral_field(name):
    assert spectral_field(name) == (380.0, False, None)
    assert is_numeric_field(name)


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("SPECTRAL_PCT380", (380.0, True, None)),
        ("M0_SPECTRAL_NM380", (380.0, False, "M0")),
        ("m2_nm400", (400.0, False, "M2")),
        ("SPECTRAL_NM730_M1", (730.0, False, "M1")),
        ("LAB_L", None),
        ("SPECTRAL_NM", None),
        ("NM_38", None),
        ("NM_9999", None),
        ("M4_NM380", None),
    ],
)
def test_conditions_and_percent_in_names(name, expected):
    assert spectral_field(name) == expected


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("CMYK_K", ("CMYK", "K")), ("cmy_y", ("CMY", "Y")), ("GRAY", ("GRAY", "K")), ("GRAY_K", ("GRAY", "K")),
        ("7CLR_7", ("7CLR", "7")), ("7CLR_8", None), ("12CLR_12", ("12CLR", "12")), ("RGB_K", None),
        ("SAMPLE_ID", None), ("CMYK", None),
    ],
)  # fmt: skip
def test_device_fields(name, expected):
    assert device_field(name) == expected
