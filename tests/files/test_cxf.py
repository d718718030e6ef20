"""Colour exchange files: values as they stand in the sample files, pairing of targets, places, what is refused."""

import pytest

from spectro.errors import MeasurementFileError
from spectro.files import xml_nodes
from spectro.files.cxf import parse_cxf
from spectro.files.cxf_tables import cxf_tables
from spectro.files.xml_nodes import parse_xml

SPACE = "http://colorexchangeformat.com/CxF3-core"
AS_WRITTEN = pytest.mark.common_practice("no source: values as they stand in the check files, copied by eye")


def spectrum(values="0.1 0.2 0.3 0.4", reference="s"):
    body = f'<ReflectanceSpectrum StartWL="400" ColorSpecification="{reference}">{values}</ReflectanceSpectrum>'
    return f"<ColorValues>{body}</ColorValues>"


def rgb(red, green=2, blue=3):
    return f"<DeviceColorValues><ColorRGB><R>{red}</R><G>{green}</G><B>{blue}</B></ColorRGB></DeviceColorValues>"


def place(row, column, identity=None):
    tags = f'<Tag Name="Page" Value="1"/><Tag Name="Row" Value="{row}"/><Tag Name="Column" Value="{column}"/>'
    tags += f'<Tag Name="SampleID" Value="{identity}"/>' if identity is not None else ""
    return f'<TagCollection Name="Location">{tags}</TagCollection>'


def document(*objects, specification='<WavelengthRange StartWL="400" Increment="20"/>', about="", kinds=None):
    kinds = kinds or ["Standard"] * len(objects)
    made = "".join(
        f'<Object ObjectType="{kind}" Name="n{k}" Id="i{k}">{body}</Object>'
        for k, (kind, body) in enumerate(zip(kinds, objects, strict=True))
    )
    return (
        f'<CxF xmlns="{SPACE}">{about}<Resources><ObjectCollection>{made}</ObjectCollection><ColorSpecificationCollection>'
        f'<ColorSpecification Id="s"><MeasurementSpec>{specification}</MeasurementSpec></ColorSpecification>'
        "</ColorSpecificationCollection></Resources></CxF>"
    ).encode()


def tables(data):
    return cxf_tables(parse_cxf(data, "a.cxf"), "a.cxf")


def column(table, name):
    return table.texts(table.column(name))


def refused(data):
    with pytest.raises(MeasurementFileError) as caught:
        tables(data)
    return caught.value


@AS_WRITTEN
def test_irregular_spectra_are_kept_as_written_and_refused_as_readings(check_data):
    """Steps of up to 50 nm, doubled and unsorted wavelengths: the values are read, no profile is made from them."""
    data = (check_data / "cxf-samples" / "custom_spectrum_irregular.cxf").read_bytes()
    objects = parse_cxf(data, "irregular").objects
    assert [len(item.spectra[0][1].values) for item in objects] == [13, 8, 9, 7]
    assert objects[0].spectra[0][1].wavelengths[:3] == ("380.5", "381.7", "385")
    assert objects[0].spectra[0][1].values[-1] == "0.72"
    assert objects[1].spectra[0][1].wavelengths[:2] == ("450", "400")
    assert "nothing between 450 and 500 nm" in refused(data).found


@AS_WRITTEN
def test_sample_values(check_data):
    (table,) = tables((check_data / "cxf-samples" / "sample.cxf").read_bytes())
    assert len(table.rows) == 144
    assert [column(table, name)[1] for name in ("SAMPLE_ID", "LAB_L", "LAB_A", "LAB_B", "SRGB_R")] == [
        "2", "47.83558", "63.29078", "36.27213", "255",
    ]  # fmt: skip
    assert column(table, "SPECTRAL_NM380")[1] == "0.0394959"
    assert column(table, "SPECTRAL_NM680")[143] == "0.3208834"
    assert "FileInformation" in table.notes[0]


@AS_WRITTEN
def test_specifications_are_told_apart_by_case(check_data):
    first, second = tables((check_data / "cxf-samples" / "id_reference_validation.cxf").read_bytes())
    assert (len(first.rows), len(second.rows)) == (8, 1)
    assert [entry.value for entry in second.values("WEIGHTING_FUNCTION")] == ["ILLUMINANT, D50", "OBSERVER, 10 degree"]
    assert column(second, "LAB_B") == ("-15.0",)
    (letters,) = tables((check_data / "cxf-samples" / "unicode_special_characters.cxf").read_bytes())
    assert column(letters, "SAMPLE_ID")[2] == "Αλφα Βήτα Γάμμα"


def test_targets_are_paired_by_place_whatever_their_order():
    data = document(spectrum() + place(0, 0), spectrum() + place(1, 0), rgb(20) + place(1, 0), rgb(10) + place(0, 0))
    (table,) = tables(data)
    assert column(table, "RGB_R") == ("10", "20")
    assert [column(table, name) for name in ("PAGE", "ROW", "COLUMN")] == [("1", "1"), ("1", "2"), ("1", "1")]


def test_targets_without_places_and_ids_are_paired_by_order_with_a_note():
    (table,) = tables(document(spectrum(), spectrum(), rgb(10), rgb(20)))
    assert column(table, "RGB_R") == ("10", "20")
    assert "by order" in table.notes[0]
    assert "as many targets" in refused(document(spectrum(), spectrum(), rgb(10))).expected


@pytest.mark.parametrize(
    "objects",
    [
        (spectrum() + place(0, 0), spectrum() + place(1, 0), rgb(1) + place(0, 0), rgb(2) + place(2, 0)),  # no such place
        (spectrum() + place(0, 0), spectrum() + place(1, 0), rgb(1) + place(0, 0), rgb(2) + place(0, 0)),  # twice
        (spectrum() + place(0, 0), spectrum(), rgb(1) + place(0, 0), rgb(2) + place(1, 0)),  # one has none
        (spectrum() + place(0, 0), rgb(1) + place(0, 0), rgb(2) + place(1, 0)),  # a target without reading
        (
            spectrum() + place(0, 0, 7),
            spectrum() + place(1, 0, 8),
            rgb(1) + place(0, 0, 8),
            rgb(2) + place(1, 0, 7),
        ),  # ids differ
        (spectrum() + rgb(1), spectrum()),  # device values in some
        (spectrum() + rgb("1,5"),),
        (spectrum() + rgb(""),),
        (spectrum() + "<DeviceColorValues><ColorRGB><R>1</R><G>2</G></ColorRGB></DeviceColorValues>",),
        (spectrum() + "<DeviceColorValues><ColorCMYKPlusN/></DeviceColorValues>",),
        (spectrum("0.1 0.2 x 0.4"),),
        (spectrum("0.1 nan 0.2 0.4"),),
        (spectrum(reference="other"),),
        (spectrum().replace('StartWL="400"', 'StartWL="410"'),),
    ],
)
def test_what_does_not_pair_or_is_no_number_is_refused(objects):
    error = refused(document(*objects))
    assert error.line
    assert error.fix


def test_conditions_come_from_the_specification_and_must_agree_with_the_object():
    said = (
        '<WavelengthRange StartWL="400" Increment="20"/><Device><DeviceIllumination>M2_UVExcluded</DeviceIllumination></Device>'
    )
    (table,) = tables(document(spectrum() + rgb(1), specification=said, kinds=["M2_Measurement"]))
    assert table.values("MEASUREMENT_SOURCE")[0].value == "MeasurementCondition=M2"
    assert "one measurement condition" in refused(document(spectrum(), specification=said, kinds=["M0_Measurement"])).expected
    filtered = said.replace("M2_UVExcluded", "M1_Daylight").replace(
        "<Device>", "<Device><DeviceFilter>Filter_UVExcluded</DeviceFilter>"
    )
    assert "Filter_UVExcluded" in refused(document(spectrum(), specification=filtered)).found


def test_uneven_wavelengths_are_resampled_and_said_so():
    """A straight line stays one, whatever the interpolation; each value at its own wavelength."""
    nm = [400, 405, 417, 430, 444, 460]
    points = "".join(f'<SpectralPoint WL="{value}">{value / 1000}</SpectralPoint>' for value in reversed(nm))
    (table,) = tables(
        document(f'<ColorValues><CustomSpectrum ColorSpecification="s">{points}</CustomSpectrum></ColorValues>' + rgb(1))
    )
    values = {name: float(table.rows[0][k]) for k, name in enumerate(table.fields) if name.startswith("SPECTRAL")}
    assert values == pytest.approx({f"SPECTRAL_NM{value}": value / 1000 for value in range(400, 461, 10)})
    assert "resampled" in table.notes[0]


def test_a_damaged_header_is_left_out_but_nothing_else_is():
    data = document(spectrum() + rgb(1), about="<FileInformation><Creator>a<Description/></FileInformation>")
    (table,) = tables(data)
    assert "not well formed" in table.notes[0]
    refused(data.replace(b"</Object>", b""))
    refused(data.replace(b"<Resources>", b"").replace(b"<FileInformation>", b"<FileInformation><Resources>"))


def test_objects_out_of_place_are_not_passed_over():
    data = document(spectrum() + rgb(1))
    outside = data.replace(b"</ObjectCollection>", b'</ObjectCollection><Object Id="x"/>')
    assert "out of its place" in refused(outside).found


@pytest.mark.parametrize(
    "data",
    [
        b'<!DOCTYPE a [<!ENTITY b "x">]><CxF>&b;</CxF>',
        b'<!DOCTYPE a SYSTEM "file:///etc/passwd"><CxF/>',
        b'<!DOCTYPE a [<!ENTITY b SYSTEM "file:///etc/passwd">]><CxF>&b;</CxF>',
        b"<CxF>" + b"<a>" * 100 + b"</a>" * 100 + b"</CxF>",
        b"<CxF><a></CxF>",
        b"<CxF>&undefined;</CxF>",
        b'<?xml version="1.0" encoding="no-such-encoding"?><CxF/>',
        b"",
        b"<a " + b" ".join(b'b%d="1"' % k for k in range(100)) + b"/>",
    ],
)
def test_hostile_or_broken_xml_is_refused(data):
    with pytest.raises(MeasurementFileError) as caught:
        parse_xml(data, "bad.xml")
    assert caught.value.fix


def test_limits_of_size(monkeypatch):
    monkeypatch.setattr(xml_nodes, "MAX_ELEMENTS", 10)
    with pytest.raises(MeasurementFileError, match="elements"):
        parse_xml(b"<a>" + b"<b/>" * 10 + b"</a>", "many.xml")
    monkeypatch.setattr(xml_nodes, "MAX_XML_BYTES", 10)
    with pytest.raises(MeasurementFileError, match="bytes"):
        parse_xml(b"<a>" + b"<b/>" * 10 + b"</a>", "large.xml")
