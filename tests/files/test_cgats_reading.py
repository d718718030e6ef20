"""Encodings, line ends, separators, quotes, counts: one invented table in many dresses is the same table."""

import logging
from dataclasses import replace

import pytest

from spectro.errors import MeasurementFileError
from spectro.files.cgats import parse_cgats, parse_cgats_tables, read_cgats

LINES = [
    "CGATS.17",
    'ORIGINATOR\t"Prüfstelle"',
    "# a comment",
    "NUMBER_OF_FIELDS\t5",
    "BEGIN_DATA_FORMAT",
    "SAMPLE_ID\tSAMPLE_NAME\tRGB_R\tRGB_G\tRGB_B",
    "END_DATA_FORMAT",
    "NUMBER_OF_SETS\t2",
    "BEGIN_DATA",
    "1\tdark red\t120\t0.5\t-0",
    "2\tgrey\t1e2\t100\t100.",
    "END_DATA",
]
ROWS = (("1", "dark red", "120", "0.5", "-0"), ("2", "grey", "1e2", "100", "100."))


def joined(end: str = "\n") -> str:
    return end.join(LINES) + end


def refusal(text: str | bytes) -> MeasurementFileError:
    with pytest.raises(MeasurementFileError) as caught:
        parse_cgats_tables(text.encode() if isinstance(text, str) else text, "table.txt")
    assert caught.value.fix
    assert "table.txt" in str(caught.value)
    return caught.value


def changed(line: int, text: str | None) -> str:
    lines = list(LINES)
    lines[line - 1 : line] = [] if text is None else [text]
    return "\n".join(lines) + "\n"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "latin-1"])
def test_encodings(encoding):
    table = parse_cgats(joined().encode(encoding), "t")
    assert table.rows == ROWS
    assert table.header[0].value == "Prüfstelle"


@pytest.mark.parametrize("end", ["\n", "\r", "\r\n", "\r\r\n"])
def test_line_ends(end):
    table = parse_cgats(joined(end).encode(), "t")
    assert table.rows == ROWS
    assert table.row_lines == (10, 11)


def test_line_ends_mixed_blank_lines_and_old_end_mark():
    data = joined("\r\n").replace("END_DATA_FORMAT\r\n", "END_DATA_FORMAT\r\n\t\t\r \n") + "\x1a"
    assert parse_cgats(data.encode(), "t").rows == ROWS


def test_blanks_between_cells_and_quotes_around_names():
    text = joined().replace("\tdark red\t", '\t"dark red"\t').replace("\t", "   ")
    assert parse_cgats(text.encode(), "t").rows == ROWS


def test_quoted_cells_keep_tabs_and_doubled_quotes():
    text = joined().replace("dark red", '"dark\t""red"""')
    assert parse_cgats(text.encode(), "t").rows[0][1] == 'dark\t"red"'


def test_trailing_tabs_on_every_line():
    assert parse_cgats(joined("\t\t\t\n").encode(), "t").rows == ROWS


def test_missing_counts_and_signature_are_noted():
    lines = [line for line in LINES[1:] if not line.startswith("NUMBER")]
    table = parse_cgats("\n".join(lines).encode(), "t")
    assert table.rows == ROWS
    assert len(table.notes) == 2


def test_wrong_number_of_fields_is_noted(caplog):
    with caplog.at_level(logging.INFO, logger="spectro"):
        table = parse_cgats(changed(4, "NUMBER_OF_FIELDS 7").encode(), "t")
    assert table.rows == ROWS
    assert "NUMBER_OF_FIELDS is 7" in table.notes[0]
    assert "NUMBER_OF_FIELDS is 7" in caplog.text


def test_several_tables_share_header_and_names():
    text = joined() + "BEGIN_DATA\n3\tx\t1\t2\t3\nEND_DATA\n"
    first, second = parse_cgats_tables(text.encode(), "t")
    assert second.fields == first.fields
    assert second.header == first.header
    assert second.row_lines == (14,)
    twice = parse_cgats_tables((joined() + joined()).encode(), "t")
    assert twice[0].rows == twice[1].rows
    assert twice[1].header == (replace(twice[0].header[0], line=14),)
    with pytest.raises(MeasurementFileError, match="2 tables"):
        parse_cgats(text.encode(), "t")


@pytest.mark.parametrize(
    ("text", "line", "found"),
    [
        ("", 0, "an empty file"),
        ("\n \n", 0, "blank lines"),
        ("some words\nthat are no table\n", 2, "no BEGIN_DATA_FORMAT"),
        ("\n".join(LINES[:8]), 8, "no BEGIN_DATA"),
        ("\n".join(LINES[:6]), 6, "the end of the file"),
        ("\n".join(LINES[:9]), 9, "after 0 rows"),
        ("\n".join(LINES[:11]), 11, "after 2 rows"),
        (changed(7, None), 7, "NUMBER_OF_SETS"),
        (changed(12, "BEGIN_DATA"), 12, "BEGIN_DATA among the rows"),
        (changed(9, None), 11, "END_DATA without BEGIN_DATA"),
        (changed(8, "NUMBER_OF_SETS 3"), 8, "NUMBER_OF_SETS 3 and 2 rows"),
        (changed(8, "NUMBER_OF_SETS 1"), 8, "NUMBER_OF_SETS 1 and 2 rows"),
        (changed(8, "NUMBER_OF_SETS two"), 8, "'two'"),
        (changed(8, "NUMBER_OF_SETS"), 8, "''"),
        (changed(8, "NUMBER_OF_SETS 2\nNUMBER_OF_SETS 3"), 9, "NUMBER_OF_SETS 3 after 2"),
        (changed(11, "2\tgrey\t100\t100"), 11, "4 values"),
        (changed(11, "2\tgrey\t100\t100\t100\t7"), 11, "6 values"),
        (changed(11, "2\tgrey\t100\t\t100"), 11, "no RGB_G"),
        (changed(11, "2\tgrey\t100\tn/a\t100"), 11, "'n/a' as RGB_G"),
        (changed(11, "2\tgrey\t100\tnan\t100"), 11, "'nan' as RGB_G"),
        (changed(11, "2\tgrey\t100\tinf\t100"), 11, "'inf' as RGB_G"),
        (changed(11, "2\tgrey\t100\t1e999\t100"), 11, "'1e999' as RGB_G"),
        (changed(11, "2\tgrey\t100\t1_0\t100"), 11, "'1_0' as RGB_G"),
        (changed(11, "2\tgrey\t100\t٣\t100"), 11, "'٣' as RGB_G"),
        (changed(11, "2\tgrey\t100\t0,5\t100"), 11, "'0,5' as RGB_G"),
        (changed(11, "2\tgrey\t100\t1.2.3\t100"), 11, "'1.2.3' as RGB_G"),
        (changed(11, '2\t"grey\t100\t1\t100'), 11, "a quote that nothing closes"),
        (changed(6, "SAMPLE_ID\tSAMPLE_NAME\tRGB_R\tRGB_R\tRGB_B"), 6, "RGB_R twice"),
        (changed(6, None), 5, "no field names"),
        (joined() + 'CGATS.17\nORIGINATOR "x"\n', 14, "lines behind END_DATA"),
        (joined() + "NUMBER_OF_SETS 5\n", 13, "lines behind END_DATA"),
    ],
)  # fmt: skip
def test_what_is_not_certain_is_refused_with_its_line(text, line, found):
    error = refusal(text)
    assert error.line == line
    assert found in error.found


def test_a_name_with_a_blank_does_not_heal_a_missing_value():
    """Cut at blanks, this row would have the right number of cells, all of them shifted."""
    error = refusal(changed(10, "1\tdark red\t120\t0.5"))
    assert error.line == 10
    assert error.found == "4 values"


@pytest.mark.parametrize(
    "data", [b"%PDF-1.7\n\x00\x01\x02", bytes(range(256)), b"\x89PNG\r\n\x1a\n\x00\x00", "x".encode("utf-32")]
)
def test_no_text(data):
    assert refusal(data).found


def test_a_comment_that_may_be_a_row_needs_a_count():
    lines = list(LINES)
    lines.insert(10, "#3\tgrey\t1\t2\t3")
    assert parse_cgats("\n".join(lines).encode(), "t").rows == ROWS
    assert refusal("\n".join(line for line in lines if not line.startswith("NUMBER"))).line == 9


def test_places_that_are_no_file(tmp_path):
    with pytest.raises(MeasurementFileError, match="no such file"):
        read_cgats(tmp_path / "none.txt")
    with pytest.raises(MeasurementFileError, match="a folder"):
        read_cgats(tmp_path)
    large = tmp_path / "large.txt"
    large.write_text(joined())
    with pytest.raises(MeasurementFileError, match="at most 20 bytes"):
        read_cgats(large, max_bytes=20)


def test_a_file_above_256_megabytes_is_refused_unread(tmp_path):
    large = tmp_path / "large.txt"
    with large.open("wb") as stream:
        stream.truncate(256 * 1024 * 1024 + 1)
    with pytest.raises(MeasurementFileError, match="268435457 bytes"):
        read_cgats(large)
