"""CSV and spreadsheets: which cells mean what, and what is refused."""

import io
import zipfile

import pytest

from spectro.errors import MeasurementFileError
from spectro.files.column_mapping import guessed_names, renamed
from spectro.files.delimited import parse_delimited
from spectro.files.spreadsheet import _letters_of, parse_spreadsheet

NM = range(400, 710, 20)
NAMES = ["no", "red", "green", "blue", *(f"{nm} nm" for nm in NM)]
ROWS = [[str(k + 1), str(255 - k), "0", str(k), *(f"0.{k + 1}{nm}" for nm in NM)] for k in range(4)]


def text(names=NAMES, rows=ROWS, separator=",", above=()):
    return "\n".join([*above, *(separator.join(row) for row in [names, *rows]), ""]).encode()


def refused(data, **options):
    with pytest.raises(MeasurementFileError) as caught:
        parse_delimited(data, "a.csv", **options)
    return caught.value


def test_names_are_guessed_and_said():
    table = parse_delimited(text(), "a.csv")
    assert table.fields == ("SAMPLE_ID", "RGB_R", "RGB_G", "RGB_B", *(f"SPECTRAL_NM{nm}" for nm in NM))
    assert table.rows[1][1] == "254"
    assert table.row_lines == (2, 3, 4, 5)
    assert "RGB_R = red" in table.notes[0]
    assert "16 spectral columns, 400 nm to 700 nm" in table.notes[0]


@pytest.mark.parametrize("separator", [",", ";", "\t", "|"])
def test_separators(separator):
    assert parse_delimited(text(separator=separator), "a.csv").rows[3][4] == "0.4400"


def test_decimal_commas_and_lines_above():
    data = text(separator=";", above=["Measurement condition;M0", "", "anything"]).replace(b"0.", b"0,")
    table = parse_delimited(data, "a.csv")
    assert table.decimal_comma
    assert table.values("MEASUREMENT_CONDITION")[0].value == "M0"
    assert table.row_lines[0] == 5


def test_columns_given_count_first():
    names = ["no", "a1", "a2", "a3", *NAMES[4:]]
    given = {"RGB_R": "a3", "RGB_G": "a2", "RGB_B": "a1"}
    table = parse_delimited(text(names), "a.csv", given)
    assert table.texts(table.column("RGB_R")) == ("0", "1", "2", "3")
    assert "RGB_R=red" in refused(text(["no", "a1", "a2", "a3", *(f"b{nm}" for nm in NM)])).fix
    with pytest.raises(MeasurementFileError, match="no column of the name 'a9'"):
        renamed(table, {"RGB_R": "a9"}, "a.csv")
    with pytest.raises(MeasurementFileError, match="the field red"):
        renamed(table, {"red": "a1"}, "a.csv")


def test_letters_that_could_be_two_things_are_told_by_case_or_refused():
    both = ["id", "R", "G", "B", "L", "a", "b", *NAMES[4:]]
    assert guessed_names(both, {}, "a.csv", 1)[:7] == ("SAMPLE_ID", "RGB_R", "RGB_G", "RGB_B", "LAB_L", "LAB_A", "LAB_B")
    shared = ["id", "r", "g", "b", "l", "a", *NAMES[4:]]
    with pytest.raises(MeasurementFileError, match="could be RGB_B or LAB_B"):
        guessed_names(shared, {}, "a.csv", 1)
    with pytest.raises(MeasurementFileError, match="several columns"):
        guessed_names(["red", "red", "green", "blue"], {}, "a.csv", 1)


@pytest.mark.parametrize(
    ("line", "change"),
    [
        (3, lambda row: row[:-1]),
        (3, lambda row: [*row, "7"]),
        (3, lambda row: [*row[:5], "", *row[6:]]),
        (3, lambda row: [*row[:5], "x", *row[6:]]),
        (3, lambda row: [*row[:5], "1e400", *row[6:]]),
        (3, lambda row: [*row[:5], '"0.5', *row[6:]]),
    ],
)
def test_rows_that_do_not_fit_are_refused_with_their_line(line, change):
    rows = [*ROWS[:1], change(ROWS[1]), *ROWS[2:]]
    error = refused(text(rows=rows))
    assert error.line in (line, 1)
    assert error.fix


def test_names_twice_or_almost_understood_are_refused():
    assert "again" in refused(text(["no", "red", "green", "blue", "400 nm", *NAMES[4:-1]])).found
    assert "1_000 nm" in refused(text([*NAMES[:-1], "1_000 nm"])).found
    assert "without a name" in refused(text([*NAMES[:2], "", *NAMES[3:]]), columns={"RGB_R": "red"}).found


MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
RELATED = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"


def workbook(sheet_rows, *, parts=None, relations="", target="worksheets/sheet1.xml"):
    made = {
        "[Content_Types].xml": "<Types/>",
        "xl/workbook.xml": f'<workbook xmlns="{MAIN}" xmlns:r="{RELATED}">'
        '<sheets><sheet name="a" r:id="r1"/></sheets></workbook>',
        "xl/_rels/workbook.xml.rels": '<Relationships xmlns="p"><Relationship Id="r1" '
        f'Type="{RELATED}/worksheet" Target="{target}"{relations}/></Relationships>',
        "xl/worksheets/sheet1.xml": f'<worksheet xmlns="{MAIN}"><sheetData>{sheet_rows}</sheetData></worksheet>',
    }
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in {**made, **(parts or {})}.items():
            archive.writestr(name, data)
    return stream.getvalue()


def letters(column):
    return chr(64 + column) if column <= 26 else f"A{chr(64 + column - 26)}"


def sheet(rows=ROWS, change=lambda address: address):
    made = []
    for number, row in enumerate([NAMES, *rows], start=1):
        cells = []
        for column, value in enumerate(row, start=1):
            address = change(f"{letters(column)}{number}")
            if number == 1:
                cells.append(f'<c r="{address}" t="inlineStr"><is><t>{value}</t></is></c>')
            else:
                cells.append(f'<c r="{address}"><v>{value}</v></c>')
        made.append(f'<row r="{number}">{"".join(cells)}</row>')
    return "".join(made)


def refused_book(data):
    with pytest.raises(MeasurementFileError) as caught:
        parse_spreadsheet(data, "a.xlsx")
    return caught.value


def test_numbers_of_a_spreadsheet_are_those_written():
    table = parse_spreadsheet(workbook(sheet()), "a.xlsx")
    assert table.rows[2][4:6] == ("0.3400", "0.3420")
    assert table.row_lines == (2, 3, 4, 5)


def test_cells_at_another_address_are_refused():
    assert "address" in refused_book(workbook(sheet(change=lambda a: "E4" if a == "E3" else a))).found
    assert "address" in refused_book(workbook(sheet(change=lambda a: "" if a == "E3" else a))).found
    assert "after row" in refused_book(workbook(sheet().replace('row r="3"', 'row r="2"'))).found


def test_what_else_stands_in_cells_is_not_taken_for_their_value():
    """Formulas, values out of place, runs and phonetic hints; the same sheet without addresses."""
    plain = parse_spreadsheet(workbook(sheet()), "a.xlsx").rows
    odd = sheet().replace("<v>0.3400</v>", "<f>A1*<v>9</v>2</f><v>0.3400</v>").replace("<v>0.3420</v>", "<v>0.3420<v>7</v></v>")
    odd = odd.replace("<is><t>no</t></is>", "<is><r><t>n</t></r><rPh><t>x</t></rPh><r><t>o</t></r></is>")
    odd += "</sheetData><sheetData><row><c><v>5</v></c></row>"
    assert parse_spreadsheet(workbook(odd), "a.xlsx").rows == plain
    assert parse_spreadsheet(workbook(sheet(change=lambda a: "").replace(' r=""', "")), "a.xlsx").rows == plain
    assert "two values" in refused_book(workbook(sheet().replace("<v>0.3400</v>", "<v>0.3</v><v>4</v>"))).found


@pytest.mark.parametrize("addresses", [True, False])
def test_sheets_have_a_widest_row(addresses):
    named = [f' r="{_letters_of(column)}9"' if addresses else "" for column in range(1, 2002)]
    cells = "".join(f"<c{name}><v>1</v></c>" for name in named)
    assert "2000 columns" in refused_book(workbook(f'{sheet()}<row r="9">{cells}</row>')).expected


def test_archives_that_lead_out_or_swell_are_refused():
    assert "relation" in refused_book(workbook(sheet(), target="../../secret.xml")).found
    assert "relation" in refused_book(workbook(sheet(), relations=' TargetMode="External"')).found
    assert "named" in refused_book(workbook(sheet(), parts={"../evil.xml": "x"})).found
    assert "bytes" in refused_book(workbook(sheet(), parts={"xl/big.bin": b"0" * 40_000_000})).found
    assert "bytes" in refused_book(workbook(sheet(), parts={"xl/big.bin": b"0" * 60_000_000})).found
    book = f'<!DOCTYPE a [<!ENTITY b "c">]><workbook xmlns="{MAIN}"/>'
    assert "document type" in refused_book(workbook(sheet(), parts={"xl/workbook.xml": book})).found
    assert "damaged" in refused_book(workbook(sheet())[:-40]).found
    other = workbook(sheet()).replace(b"xl/workbook.xml", b"xl/workbook.xmm")
    assert "no spreadsheet" in refused_book(other).found


def test_what_to_do_about_a_wrong_row_names_nothing_that_the_file_has_not(tmp_path):
    file = tmp_path / "readings.csv"
    file.write_text("SAMPLE_ID,RGB_R,RGB_G,RGB_B,400,410,420\n1,0,0,0,0.1,0.1,0.1\n2,1,1,x,0.2,0.2,0.2\n")
    with pytest.raises(MeasurementFileError) as refused:
        parse_delimited(file.read_bytes(), file)
    assert "Measure this row again, or delete it." in str(refused.value)
    assert "NUMBER_OF_SETS" not in str(refused.value)
