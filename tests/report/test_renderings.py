"""One document, four outputs: the same headings, sentences and numbers in each."""

import json
import subprocess
import sys

import pytest
from invented_document import every_block, figure_spec
from page_reader import Reader

from spectro.records.document import Section, Shown
from spectro.report.render_html import render_html
from spectro.report.render_json import render_json
from spectro.report.render_pdf import render_pdf
from spectro.report.render_text import render_text

TEXT = """\
Fine: ΔE00 0.30 <b>.
Nothing to do.

  name           value
  a longer name  other (quiet)

Tables & lists

Inner heading
  colour        ΔE00  said
  red           1.50  plain
  grün < blau  −0.25
  Percentiles: linear interpolation.
  None was read.
  1. first point
  2. second point"""


def test_a_terminal_sees_verdict_and_aligned_columns():
    assert render_text(every_block()) == TEXT


def test_json_holds_the_data_and_its_own_format():
    numbers = render_json(every_block())
    assert numbers == {
        "verdict": "Fine: ΔE00 0.30 <b>.",
        "values": [0.5, None],
        "level": "good",
        "next": "spectro drift",
        "format": 2,
    }
    json.dumps(numbers, allow_nan=False)


def test_a_page_is_whole_escaped_and_runs_no_script_but_ours():
    page = render_html(every_block())
    read = Reader(page)
    words = read.words()
    for said in ("Fine: ΔE00 0.30 <b>.", "Tables & lists", "grün < blau", "None was read.", "of 12 patches", "hidden words"):
        assert said in words
    assert "a longer name" not in words  # for the terminal alone
    assert [attributes.get("id") for tag, attributes in read.elements if tag == "section"] == ["numbers", "tables", "screen"]
    assert "<b>." not in page.replace("<b>0", "")
    assert '"</script><b>"' not in page
    scripts = [attributes for tag, attributes in read.elements if tag == "script"]
    assert len(scripts) == 2
    policy = next(attributes["content"] for tag, attributes in read.elements if attributes.get("http-equiv"))
    assert policy.startswith("default-src 'none'")
    assert "script-src 'sha256-" in policy
    assert render_html(every_block()) == page


def test_page_and_pdf_have_the_same_headings():
    import pypdfium2

    document = every_block()
    data = render_pdf(document)
    pages = [page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(data)]
    text = " ".join(" ".join(pages).split())
    for section in document.sections:
        if section.heading:
            assert (section.heading in text) == (Shown.PDF in section.shown)
            assert (f"<h2>{section.heading.replace('&', '&amp;')}</h2>" in render_html(document)) == (
                Shown.HTML in section.shown
            )
    for said in ("Nothing to do.", "red", "−0.25", ["1.", "first", "point"][1], "of 12 patches", "below 1: 3"):
        assert said in text
    assert render_pdf(every_block()) == data


def test_a_figure_is_drawn_by_the_function_that_its_specification_names(monkeypatch):
    import types

    from spectro.report.style import figure_style, new_figure

    def line():
        with figure_style():
            figure = new_figure(1.0)
            figure.subplots().plot([0, 1], [0, 1])
        return figure

    monkeypatch.setitem(sys.modules, "spectro.report.plot_invented", types.SimpleNamespace(line=line))
    document = every_block(figure_spec("plot_invented:line"))
    page = Reader(render_html(document))
    drawings = [attributes for tag, attributes in page.elements if tag == "svg"]
    assert [one["aria-label"] for one in drawings] == ["A line."]
    assert "Figure caption." in page.words()
    assert len(render_pdf(document)) > len(render_pdf(every_block())) + 1000


def test_text_and_json_need_no_plotting_library():
    code = (
        "import sys\n"
        "from spectro.records.document import Document, Level, Verdict, FigureSpec, Section\n"
        "from spectro.report.render_text import render_text\n"
        "from spectro.report.render_json import render_json\n"
        "spec = FigureSpec(draw='plot_assessment:plot_greys', data=(), key='k', title='', caption='', label='')\n"
        "one = Document(kind='k', title='t', verdict=Verdict(text='v', level=Level.GOOD), subject='s',\n"
        "               sections=(Section(key='a', heading='h', blocks=(spec,)),), data={})\n"
        "render_text(one), render_json(one)\n"
        "sys.exit('matplotlib' in sys.modules)\n"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_sections_that_the_terminal_does_not_show_leave_nothing_there():
    document = every_block()
    assert all(isinstance(section, Section) for section in document.sections)
    assert "The numbers" not in render_text(document)


@pytest.mark.parametrize("wide", ["ab", "漢字", "e\u0301a"])
def test_columns_stay_aligned_with_wide_and_combining_characters(wide):
    from spectro.records.document import Document, Facts, Level, Verdict

    document = Document(
        kind="k",
        title="t",
        verdict=Verdict(text="v", level=Level.GOOD),
        subject="s",
        data={},
        sections=(
            Section(
                key="a", heading="", shown=Shown.TEXT, blocks=(Facts(rows=((wide, "value"), ("abcdef", "value")), width=8),)
            ),
        ),
    )
    first, second = render_text(document).split("\n")[-2:]
    room = {"ab": 2, "漢字": 4, "e\u0301a": 2}[wide]
    assert first == f"  {wide}{' ' * (8 - room)}value"
    assert second == "  abcdef  value"


def test_a_headline_takes_its_part_of_the_verdict_and_no_more():
    from dataclasses import replace

    document = every_block()
    verdict = replace(document.verdict, text="Set it so. Then read again on 2026-01-31.", headline="Set it so.")
    parts = replace(document, verdict=verdict)
    page = render_html(parts)
    assert '<h1 id="verdict">Set it so.</h1>' in page
    assert '<p class="lead">Then read again on <span class="whole">2026-01-31</span>.</p>' in page
    assert render_text(parts).startswith("Set it so.\nThen read again on 2026-01-31.\n")


def test_bars_leads_stacks_and_cells_that_lie_as_places():
    from dataclasses import replace

    from spectro.records.document import Beside, Cell, Column, Points, Stack, Table, Words

    bars = Table(columns=(Column(name="cause"), Column(name="share", words=True)), rows=(("wet", Cell(text="50 %", bar=0.5)),))
    places = Table(columns=(Column(name=""), Column(name="")), rows=(("1.0", Cell(text="2.0 !", strong=True)),), places=True)
    blocks = (
        Beside(blocks=(Words(text="first"), Stack(blocks=(bars, Words(text="below"))))),
        Beside(blocks=(places,)),
        Points(texts=(Cell(lead="White.", text="Set it.", quiet="Because."),), shown=Shown.ALL),
    )
    document = replace(every_block(), sections=(Section(key="one", heading="", blocks=blocks, shown=Shown.ALL),))
    page = render_html(document)
    assert '<span class="bar" style="width:3.00rem"></span>50 %' in page
    assert '<div class="maps' in page
    assert '<table class=" places">' in page
    assert '<b>White.</b> Set it. <span class="quiet">Because.</span>' in page
    assert Reader(page).words().index("50 %") < Reader(page).words().index("below")
    assert render_text(document).endswith("  White. Set it. Because.")
    assert len(render_pdf(document)) > 1000
