"""The page beside renders: text of files stays text, the same input gives the same bytes. The sheet is invented."""

import numpy as np

from spectro.records.render_sheet import Render, RenderSheet
from spectro.records.table_effect import TableEffect
from spectro.report.plot_source_gamuts import plot_source_gamuts
from spectro.report.render_html import render_html
from spectro.report.renders_document import renders_document


def invented_sheet(name="a <printer> & paper"):
    hues = np.radians(np.arange(0, 360, 4.0))
    circle = np.column_stack([np.cos(hues), np.sin(hues)])
    nothing = TableEffect(
        lightness=np.linspace(0, 100, 5),
        hues=np.zeros(0),
        full_lab=np.zeros((0, 3)),
        source_gamut="opRGB",
        black_lightness=18.0,
        intents=(),
        missing=("perceptual", "colorimetric", "saturation"),
        smoothness=(),
    )
    return RenderSheet(
        verdict="There is nothing to print with.",
        profile_file="<b>.icc",
        profile_name=name,
        icc_version="2.4",
        renders=(Render(picture="ramps", intent="before", png="r.png", tiff="r.tif", mean_change=0.0),),
        outside=float("nan"),
        effect=nothing,
        source_outlines={"sRGB": 80 * circle, "opRGB": 110 * circle},
        print_outline=60 * circle,
    )


def renders_html(sheet):
    return render_html(renders_document(sheet))


def test_text_of_files_is_escaped_and_bytes_repeat():
    html = renders_html(invented_sheet())
    assert "a &lt;printer&gt; &amp; paper" in html
    assert "<b>.icc" not in html
    assert html == renders_html(invented_sheet())
    assert "profile without a name" in renders_html(invented_sheet(""))


def test_the_page_itself_is_not_laid_out_as_its_row_of_pictures():
    """The name of the document is a class of the whole page: it may not be that of the row of pictures."""
    html = renders_html(invented_sheet())
    assert 'class="renders' in html
    assert '<main class="renders' not in html


def test_source_gamuts_are_told_apart_by_their_lines():
    axes = plot_source_gamuts(invented_sheet()).axes[0]
    named = [line for line in axes.lines if not line.get_label().startswith("_")]
    assert [line.get_label() for line in named] == ["sRGB", "opRGB"]
    assert len({line.get_linestyle() for line in named}) == 2
    np.testing.assert_array_equal(named[0].get_xydata()[0], named[0].get_xydata()[-1])
