"""Written tables: the same words come back, the same bytes every time, no file lost."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from spectro.errors import InputError, OutputExistsError, OutputFileError
from spectro.files.cgats import pack_cgats, parse_cgats, read_cgats, write_cgats
from spectro.files.cgats_table import CgatsKeyword, CgatsTable

WORDS = st.text(st.characters(min_codepoint=32, exclude_categories=("Cs",)) | st.just("\t"), max_size=12)
KEYWORDS = st.text("ABCDEFGHIJKLMNOPQRSTUVWXYZ_", min_size=1, max_size=8).map(lambda word: f"X{word}")
NAMES = st.lists(st.text("ABCDEFGHIJKLMNOPQRSTUVWXYZ_", min_size=2, max_size=8).map(lambda word: f"X{word}"),
                 min_size=1, max_size=4, unique_by=lambda name: name.replace("_", ""))  # fmt: skip


@st.composite
def tables(draw):
    fields = tuple(draw(NAMES))
    rows = draw(st.lists(st.tuples(*[WORDS] * len(fields)), min_size=1, max_size=4))
    header = draw(st.lists(st.builds(CgatsKeyword, KEYWORDS, WORDS), max_size=3))
    return CgatsTable(signature="CGATS.17", header=tuple(header), fields=fields, rows=tuple(rows), row_lines=(0,) * len(rows))


@given(tables())
def test_parse_of_pack_is_the_same_table(table):
    text = pack_cgats(table)
    again = parse_cgats(text.encode("utf-8"), "t")
    assert (again.signature, again.fields, again.rows) == (table.signature, table.fields, table.rows)
    assert [(entry.keyword, entry.value) for entry in again.header] == [(entry.keyword, entry.value) for entry in table.header]
    assert pack_cgats(again) == text


def one_cell(cell: str = "1", name: str = "XA", value: str = "x") -> CgatsTable:
    return CgatsTable(
        signature="CGATS.17", header=(CgatsKeyword("KEY", value),), fields=(name,), rows=((cell,),), row_lines=(0,)
    )


@pytest.mark.parametrize("cell", ["END_DATA", "end_data", "#1", "", " a ", '"', "a b", "NUMBER_OF_SETS", "\ufeff"])
def test_words_that_could_be_taken_for_structure_come_back(cell):
    assert parse_cgats(pack_cgats(one_cell(cell)).encode(), "t").rows == ((cell,),)


@pytest.mark.parametrize(
    "table", [one_cell("a\nb"), one_cell("a\x00"), one_cell("\ud800"), one_cell(name="A B"), one_cell(value="a\rb")]
)
def test_what_could_not_be_read_back_is_not_written(table):
    with pytest.raises(InputError):
        pack_cgats(table)


def test_a_file_is_never_overwritten_unasked(tmp_path):
    path = tmp_path / "t.txt"
    write_cgats(one_cell("1"), path)
    with pytest.raises(OutputExistsError):
        write_cgats(one_cell("2"), path)
    assert read_cgats(path).rows == (("1",),)
    write_cgats(one_cell("2"), path, replace=True)
    assert read_cgats(path).rows == (("2",),)
    assert b"\r" not in path.read_bytes()
    with pytest.raises(OutputFileError):
        write_cgats(one_cell(), tmp_path / "no" / "t.txt")
