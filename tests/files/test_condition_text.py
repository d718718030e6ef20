"""Printing conditions: known by their content, written as TOML and read strictly."""

import dataclasses

import pytest
from hypothesis import given
from hypothesis import strategies as st

from spectro.errors import InputError, RecipeError
from spectro.files.condition_text import pack_condition, parse_condition
from spectro.files.shelf_folder import CONDITION_FOLDER, folder_name
from spectro.records.printing_condition import LABELS, LONGEST, PrintingCondition

words = st.text(st.characters(exclude_categories=("Cc", "Cs", "Cf")), max_size=40)
conditions = st.builds(
    PrintingCondition,
    printer=words.filter(str.strip),
    paper=words.filter(str.strip),
    reminder_weeks=st.integers(0, 520),
    **{name: words for name in LABELS if name not in ("printer", "paper")},
)


@given(conditions)
def test_written_and_read_it_is_the_same(condition):
    data = pack_condition(condition).encode("utf-8")
    assert parse_condition(data, "c.toml") == condition
    assert pack_condition(parse_condition(data, "c.toml")).encode("utf-8") == data


@given(conditions)
def test_its_folder_has_a_name_for_every_file_system(condition):
    name = folder_name(condition)
    assert CONDITION_FOLDER.fullmatch(name)
    assert len(name) <= 90
    assert name.endswith(condition.id[:8])


@given(conditions, st.sampled_from(sorted(LABELS)), st.text("abc", min_size=1, max_size=5))
def test_a_changed_field_is_another_condition(condition, field, text):
    changed = dataclasses.replace(condition, **{field: text})
    assert (changed.id == condition.id) == (getattr(condition, field) == text)


def test_the_reminder_and_blanks_are_no_part_of_what_it_is():
    one = PrintingCondition(printer="Printer", paper="Rag 310")
    other = PrintingCondition(printer=" Printer\n", paper="Rag  310", reminder_weeks=1)
    assert one.id == other.id
    assert other.printer == "Printer"


def test_both_spellings_of_a_letter_are_one():
    assert PrintingCondition(printer="Bu\u0308ro", paper="x").id == PrintingCondition(printer="B\u00fcro", paper="x").id


def test_fields_are_told_apart():
    """The same words in another field are another condition."""
    assert PrintingCondition(printer="a", paper="b", quality="c").id != PrintingCondition(printer="a", paper="b", feed="c").id


@pytest.mark.parametrize(
    ("fields", "part"),
    [
        ({"printer": "", "paper": "x"}, "`printer`"),
        ({"printer": "x", "paper": "  "}, "`paper`"),
        ({"printer": "x", "paper": "y" * (LONGEST + 1)}, f"at most {LONGEST}"),
        ({"printer": "x\u0007", "paper": "y"}, "cannot be printed"),
        ({"printer": "x", "paper": "y", "reminder_weeks": -1}, "0 (none) to 520"),
        ({"printer": "x", "paper": "y", "ink_set": "\u202e"}, "`ink_set`"),
    ],
)
def test_what_cannot_stand_on_a_page_is_refused(fields, part):
    with pytest.raises(InputError) as error:
        PrintingCondition(**fields)
    assert part in str(error.value)


@pytest.mark.parametrize(
    ("text", "key", "part"),
    [
        ('printer = "x"\npaper = "y"', "format", "no such key"),
        ('format = 2\nprinter = "x"\npaper = "y"', "format", "newer"),
        ('format = true\nprinter = "x"\npaper = "y"', "format", "True"),
        ('format = 1\nprinter = "x"', "paper", "nothing"),
        ('format = 1\nprinter = "x"\npaper = 3', "paper", "text in quotes"),
        ('format = 1\nprinter = "x"\npaper = "y"\nmedia_seting = "z"', "media_seting", "Did you mean media_setting?"),
        ('format = 1\nprinter = "x"\npaper = "y"\nreminder_weeks = "4"', "reminder_weeks", "whole number"),
        ('format = 1\nprinter = "x"\npaper = "y"\nreminder_weeks = 1000', "file", "520"),
        ("format = 1\nprinter = x", "file", "no TOML"),
        ("format = 1\nprinter = 'x'\npaper = '\udcff'", "file", "UTF-8"),
    ],
)
def test_a_condition_file_that_cannot_be_used_says_why(text, key, part):
    with pytest.raises(RecipeError) as error:
        parse_condition(text.encode("utf-8", "surrogateescape"), "c.toml")
    assert error.value.key == key
    assert part in str(error.value)
    assert str(error.value).startswith("c.toml: ")


def test_deep_nesting_is_refused():
    with pytest.raises(RecipeError):
        parse_condition(("format = " + "[" * 5000 + "]" * 5000).encode(), "c.toml")
