"""Names in any script go through chart, profile, report, PDF and shelf: nothing refused, nothing shown as question marks."""

import dataclasses

import pypdfium2
import pytest

from spectro.chart.fonts import drawable
from spectro.chart.page_text import footer, header
from spectro.chart.recipe import parse_recipe, read_recipe, recipe_text
from spectro.chart.recipe_limits import check_limits
from spectro.icc.profile_file import IccProfile
from spectro.icc.tag_types import TextDescription
from spectro.profile.assemble import description_tag
from spectro.profile.evidence import description
from spectro.profile.naming import LONGEST_ASCII, UNDATED, file_name, profile_name
from spectro.records.chart import ConditionStanza
from spectro.records.printing_condition import PrintingCondition
from spectro.records.profile_settings import NO_DATE
from spectro.report.pdf_report import PdfSection, pdf_report
from spectro.standards.scripts import plain_ascii
from spectro.workflow.shelf.list import shelf_list
from spectro.workflow.shelf.new import shelf_new
from spectro.workflow.shelf.pack import shelf_sheet

NAMES = {
    "cyrillic": "Фотобумага матовая",
    "greek": "Χαρτί ματ",
    "cjk": "写真用紙 マット",
    "korean": "사진 용지",
    "emoji": "📷 paper 👩\u200d🎨",
    "right-to-left": "\u200fورق مطفي",
    "hebrew": "נייר מט",
    "long": "Baryta " * 28 + "end.",
}
DRAWN = {
    NAMES["cjk"]: "[CJK] [Japanese]",
    NAMES["korean"]: "[Korean] [Korean]",
    NAMES["emoji"]: "[symbol] paper [symbol]",
    NAMES["right-to-left"]: "[Arabic] [Arabic]",
    NAMES["hebrew"]: "[Hebrew] [Hebrew]",
}
"""What stands on PDF pages where the typeface has no such letters, or they run the other way."""
given = pytest.mark.parametrize("name", NAMES.values(), ids=NAMES)


def undamaged(text: str) -> bool:
    return "?" not in text and "\ufffd" not in text and bool(text.strip())


@given
@pytest.mark.parametrize("version", [2, 4])
def test_a_profile_keeps_its_name_in_full_and_ascii_has_no_question_marks(name, version):
    full = profile_name((name, "Rag"), "", NO_DATE, ascii_only=False, separator=" - ")
    assert full.endswith(f" - {UNDATED}")
    tag = description_tag(full, version)
    again = type(tag).parse(tag.pack())
    assert again.pack() == tag.pack()
    header_free = object.__new__(IccProfile)
    object.__setattr__(header_free, "tags", {"desc": again})
    assert description(header_free) == full
    if isinstance(again, TextDescription):
        assert again.text.isascii()
        assert len(again.text) <= LONGEST_ASCII
        assert undamaged(again.text)
        assert again.text.endswith(UNDATED)


@given
def test_a_file_name_is_short_safe_and_not_empty(name):
    file = file_name(profile_name((name,), "", NO_DATE, ascii_only=False))
    assert file.isascii()
    assert len(file) <= 104
    assert file.endswith("undated.icc")
    assert set(file) <= set("abcdefghijklmnopqrstuvwxyz0123456789-.")


@given
def test_a_chart_takes_the_name_keeps_it_and_draws_what_its_typeface_has(name):
    name = "".join(letter for letter in name if letter != "\u200f")
    recipe = read_recipe("rgb-control-patch")
    recipe = dataclasses.replace(recipe, title=name, condition=ConditionStanza(printer=name, paper=name, settings=name))
    check_limits(recipe, "mine")
    assert parse_recipe(recipe_text(recipe).encode("utf-8"), "again") == recipe
    marks, _ = header(10, 10, 190, recipe.title, "page 1 of 1", "facts")
    more, _ = footer(10, 250, 190, recipe)
    words = [mark.text for mark in (*marks, *more) if hasattr(mark, "text")]
    assert all(drawable(text) == text for text in words)
    assert all(undamaged(text) for text in words)
    assert any(text.startswith(drawable(name)[:12]) for text in words)


@given
def test_the_shelf_keeps_the_name(name, tmp_path):
    stored, new = shelf_new({"printer": name, "paper": name}, shelf=tmp_path / "shelf")
    assert new
    kept = shelf_list(shelf=tmp_path / "shelf").conditions[0].stored.condition
    assert kept == PrintingCondition(printer=name, paper=name)
    assert kept.printer.replace(" ", "").startswith(name.replace("\u200f", "").replace(" ", "")[:30])
    assert stored.name.isascii()


@given
def test_a_pdf_is_made_with_the_name(name):
    data = pdf_report(name, name, name, [PdfSection(heading=name, paragraphs=(name,))], footer=name)
    document = pypdfium2.PdfDocument(data)
    words = " ".join(" ".join(page.get_textpage().get_text_bounded() for page in document).split())
    document.close()
    assert undamaged(words)
    shown = DRAWN.get(name, name)
    assert words.count(shown) >= 4  # verdict, subject, heading, paragraph, in two weights of the typeface
    assert words.endswith("page 1")
    foot = words.removesuffix(" page 1").rpartition(shown[:30])
    assert foot[1]  # at the foot too, shortened where it is long
    assert ("Words in brackets" in words) == ("[" in shown)
    assert undamaged(plain_ascii(name))


def test_the_sheet_of_settings_has_the_name(tmp_path):
    """What cannot be drawn is named; what can stands there as it is."""
    for key, name in NAMES.items():
        stored, _ = shelf_new({"printer": name, "paper": name}, shelf=tmp_path / key)
        file = tmp_path / f"{key}.pdf"
        shelf_sheet(stored.name, file, shelf=tmp_path / key)
        document = pypdfium2.PdfDocument(file.read_bytes())
        words = " ".join(document[0].get_textpage().get_text_bounded().split())
        document.close()
        assert undamaged(words)
        assert DRAWN.get(name, name)[:60] in words, key
