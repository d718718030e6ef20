"""The page code: read back, and every slip of the pen found."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from spectro.chart.page_code import MODULES, PageCode, code_runs, page_code_text, parse_page_code
from spectro.errors import InputError

ids = st.integers(0, 2**32 - 1).map(lambda number: f"{number:08x}")


@given(ids, st.integers(1, 9999))
def test_text_and_meaning_belong_together(chart_id: str, page: int) -> None:
    """Read → write is the identity, whatever the case and the blanks of the typed line."""
    text = page_code_text(chart_id, page)
    assert parse_page_code(text) == PageCode(chart_id, page)
    assert parse_page_code(f" {text[:17].lower()}\n{text[17:]} ") == PageCode(chart_id, page)


@settings(max_examples=200)
@given(ids, st.integers(1, 99), st.data())
def test_a_wrong_letter_is_found(chart_id: str, page: int, data: st.DataObject) -> None:
    """Any one letter changed is refused."""
    text = page_code_text(chart_id, page)
    place = data.draw(st.integers(0, len(text) - 1))
    letter = data.draw(st.sampled_from("0123456789ABCDEF:").filter(lambda other: other != text[place]))
    with pytest.raises(InputError):
        parse_page_code(text[:place] + letter + text[place + 1 :])


@pytest.mark.parametrize("text", ["", "SPECTRO1", "https://example.org", "SPECTRO1:XYZ:1:0000"])
def test_what_is_no_page_code_is_refused(text: str) -> None:
    """The message shows what one looks like."""
    with pytest.raises(InputError, match="a page code such as"):
        parse_page_code(text)


def test_a_newer_format_is_refused() -> None:
    """A version to come is named as such."""
    with pytest.raises(InputError, match="Install a newer version"):
        parse_page_code("SPECTRO2:0A1B2C3D:1:0000")


def test_the_square_has_a_size_that_layouts_can_count_on() -> None:
    """The longest text fits the same square as the shortest."""
    for text in (page_code_text("00000000", 1), page_code_text("ffffffff", 9999)):
        runs = code_runs(text)
        assert max(row for row, _, _ in runs) == MODULES - 1
        assert max(start + count for _, start, count in runs) == MODULES
