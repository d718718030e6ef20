"""Real text files in every dialect met so far: each is read right, with cells asserted, or refused with its line."""

import pytest

from spectro.errors import MeasurementFileError
from spectro.files.cgats import read_cgats
from spectro.files.numeric_cells import numeric_columns

pytestmark = pytest.mark.common_practice("no source: cells as they stand in the check files, copied by eye")

# file: signature, header lines, rows, {(row, field): cell}
READ = {
    "blank_first_line_nm360_830.txt": (
        "", 8, 14,
        {(0, "SAMPLE_NAME"): "TCS01", (0, "Munsell"): "7.5R 6/4", (0, "ISCC_NBS_NAME"): "Light greyish red",
         (0, "nm360"): "0.12", (0, "nm365"): "0.14", (1, "nm360"): "0.05", (2, "Munsell"): "5GY 6/8"},
    ),
    "counts_before_format.txt": (
        "CGATS.17", 0, 126, {(0, "SAMPLE_ID"): "0", (0, "DE_2000"): "2.8063", (125, "DE_2000"): "6.5362"},
    ),
    "cr_cr_lf.txt": (
        "ISO28178", 5, 1485,
        {(0, "XYZ_X"): "85.45", (0, "LAB_B"): "-2.86", (2, "CMYK_M"): "20", (1484, "SAMPLE_ID"): "1485",
         (1484, "LAB_B"): "9.93", (1482, "CMYK_Y"): "40"},
    ),
    "decimal_comma_nm_dec_pairs_crlf.txt": (
        "CGATS.17", 7, 15, {(0, "SampleID"): "0", (0, "LAB_L"): "85,46", (1, "SampleID"): "5", (2, "LAB_A"): "-1,89"},
    ),
    "device_only_join_by_id_crlf.txt": (
        "LOGO_ECI2002", 6, 1504,
        {(0, "SampleID"): "810", (0, "SAMPLE_NAME"): "A1", (0, "CMYK_C"): "10.00", (1, "CMYK_K"): "0.00",
         (4, "CMYK_K"): "60.00", (1503, "SampleID"): "1", (1503, "SAMPLE_NAME"): "2U32"},
    ),
    "eurosb_no_device_values.txt": (
        "ECI2002", 7, 1485,
        {(0, "XYZ_X"): "39.55", (0, "LAB_B"): "2.75", (1484, "SampleID"): "313", (1484, "LAB_B"): "-25.53"},
    ),
    "icc_targ_trailing_tab_blank_lines_crlf.txt": (
        "ISO28178", 10, 1617,
        {(1616, "CMYK_C"): "100.00", (1616, "CMYK_K"): "10.00", (1616, "XYZ_Z"): "14.60", (1616, "LAB_B"): "-44.21"},
    ),
    "is126422_comment_in_header_crlf.txt": (
        "IS126422", 10, 1,
        {(0, "CMYK_C"): "100", (0, "LAB_L"): "45", (0, "nm380"): "0.072047", (0, "nm600"): "0.205281"},
    ),
    "junk_after_signature.tsv": (
        "CGATS.17", 0, 11, {(0, "SAMPLE_NAME"): "Cyan", (0, "CMYK_C"): "75", (9, "CMYK_M"): "29.5"},
    ),
    "measured_only_join_by_id_crlf.txt": (
        "LOGO_ECI2002", 10, 1504, {(0, "nm380"): "0.1562", (3, "nm430"): "0.8283", (5, "SampleID"): "1377"},
    ),
    "mixed_cr_lf.txt": (
        "ISO28178", 5, 928,
        {(927, "CMYK_K"): "80", (927, "XYZ_X"): "7.3", (927, "LAB_A"): "-0.06", (926, "LAB_L"): "34.13"},
    ),
    "no_counts_kcmy_column_order.tsv": (
        "CGATS.17", 0, 11, {(0, "CMYK_K"): "0", (0, "CMYK_C"): "100", (3, "CMYK_K"): "100", (9, "CMYK_Y"): "40"},
    ),
    "one_patch_lab_int_nmcolumns_crlf.txt": (
        "CGATS.17", 10, 1, {(0, "CMYK_K"): "100", (0, "LAB_L"): "43", (0, "nm380"): "0.061782", (0, "nm400"): "0.070489"},
    ),
    "sample_id_from_zero.tsv": (
        "CGATS.17", 0, 22, {(0, "SAMPLE_ID"): "0", (11, "CMYK_C"): "50", (20, "CMYK_Y"): "19", (21, "CMYK_K"): "25"},
    ),
    "sample_no_plus_sample_id.txt": (
        "ISO28178", 6, 1617,
        {(0, "SAMPLE_NO"): "1", (0, "SAMPLE_ID"): "722", (0, "LAB_L"): "44.994483", (1616, "SAMPLE_ID"): "1510"},
    ),
    "space_separated_header_duplicate_keywords_10deg.txt": (
        "CGATS.17", 19, 1617,
        {(0, "CMYK_C"): "0.0000", (0, "CMYK_M"): "100.0000", (0, "XYZ_X"): "36.266", (0, "LAB_B"): "-0.587",
         (0, "SPECTRAL_380"): "0.227030", (1, "LAB_L"): "60.157", (1, "SPECTRAL_390"): "0.168645"},
    ),
    "spot_reader_70_m0_crlf.txt": (
        "CGATS.17", 24, 70,
        {(0, "CMYK_Y"): "37.0000", (0, "SPECTRAL_380"): "0.197000", (1, "LAB_B"): "69.597", (2, "XYZ_Y"): "5.805"},
    ),
    "spreadsheet_export_unquoted_tabs_crlf.txt": (
        "CGATS.17", 19, 620, {(0, "CMYK_C"): "11.76", (0, "LAB_B"): "-7.76", (619, "SAMPLE_ID"): "620"},
    ),
    "tabs_in_names_nm_columns.txt": (
        "CGATS.17", 15, 24,
        {(0, "SAMPLE_NAME"): "dark skin", (0, "ISCC-NBS_Name"): "moderate brown", (0, "SPECTRAL_NM_380"): "0.05475",
         (1, "SAMPLE_ID"): "7", (2, "Munsell"): "7.5PB 2.9/12.7", (2, "SPECTRAL_NM_390"): "0.07864"},
    ),
    "unbalanced_quotes_comment.txt": (
        "CGATS.17", 10, 14,
        {(0, "nm360"): "0.116", (1, "nm365"): "0.055", (13, "ISCC-NBS_Name"): "Moderate olive green",
         (11, "nm360"): "0.189"},
    ),
}  # fmt: skip

REFUSED = {  # file: line, word of what was found, word of the fix
    "no_keywords_plain_tsv.tsv": (12, "BEGIN_DATA_FORMAT", "Export"),
    "wrong_counts_7clr.txt": (25, "NUMBER_OF_SETS 1624 and 3534 rows", "correct NUMBER_OF_SETS"),
}


def test_every_file_of_the_folder_is_named_here(check_data):
    assert {path.name for path in (check_data / "cgats-quirks").iterdir()} == {*READ, *REFUSED}


@pytest.mark.parametrize("name", READ)
def test_file_is_read_cell_by_cell(check_data, name):
    signature, header, rows, cells = READ[name]
    table = read_cgats(check_data / "cgats-quirks" / name)
    assert (table.signature, len(table.header), len(table.rows)) == (signature, header, rows)
    found = {key: table.rows[key[0]][table.fields.index(key[1])] for key in cells}
    assert found == cells


@pytest.mark.parametrize("name", REFUSED)
def test_file_is_refused_with_its_line(check_data, name):
    line, found, fix = REFUSED[name]
    with pytest.raises(MeasurementFileError) as caught:
        read_cgats(check_data / "cgats-quirks" / name)
    assert caught.value.line == line
    assert found in caught.value.found
    assert fix in caught.value.fix


def test_decimal_commas_become_numbers(check_data):
    table = read_cgats(check_data / "cgats-quirks" / "decimal_comma_nm_dec_pairs_crlf.txt")
    assert table.decimal_comma
    assert table.row_lines[0] == 15
    first = numeric_columns(table, range(1, 8), "x")[0]
    assert first.tolist() == [85.46, 1.38, 5.97, 380, 0.180005, 390, 0.233768]


def test_header_values_lose_quotes_and_comments_only(check_data):
    def value(name: str, keyword: str) -> str:
        return read_cgats(check_data / "cgats-quirks" / name).values(keyword)[0].value

    assert value("device_only_join_by_id_crlf.txt", "CREATED") == "9/6/2014"
    assert "#" not in value("is126422_comment_in_header_crlf.txt", "DEVCALSTD")
    assert value("is126422_comment_in_header_crlf.txt", "DEVCALSTD").isalpha()
    assert value("spreadsheet_export_unquoted_tabs_crlf.txt", "MEASUREMENT_CONDITION") == "M1"
    assert value("spreadsheet_export_unquoted_tabs_crlf.txt", "CREATED") == "2021-12-08"
    assert value("unbalanced_quotes_comment.txt", "COMMENT").endswith('In "Measuring Colour" by Hunt, it is 380nm to 780nm.')
    assert value("blank_first_line_nm360_830.txt", "MEASUREMENT_SOURCE").count("\t") == 3
    assert "40 l/cm \xb1 2 l/cm" in value("mixed_cr_lf.txt", "PRINT_CONDITIONS")
    double = read_cgats(check_data / "cgats-quirks" / "space_separated_header_duplicate_keywords_10deg.txt")
    assert [entry.value for entry in double.values("CREATED")] == [
        "Fri Mar 17 13:07:06 2017",
        "August 21, 2018  15:47",
    ]
