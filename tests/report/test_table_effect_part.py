"""The part of pages that says what the tables do to pictures. The effects in it are invented."""

import json
import re
from dataclasses import replace

import numpy as np
import pytest

from spectro.records.smoothness import Smoothness
from spectro.records.table_effect import IntentEffect, TableEffect
from spectro.report.assessment_document import assessment_document, assessment_numbers
from spectro.report.plot_table_effect import plot_chroma_kept, plot_neutral_axis
from spectro.report.render_html import render_html
from spectro.report.table_effect_part import effect_rows


def invented_effect(intents=("perceptual", "colorimetric", "saturation")):
    level, hues = np.linspace(0, 100, 101), np.arange(0, 360, 15.0)
    full = np.stack([60 + 0 * hues, 90 * np.cos(np.radians(hues)), 90 * np.sin(np.radians(hues))], axis=-1)
    curves = {"perceptual": 20 + 0.8 * level, "colorimetric": np.maximum(level, 20), "saturation": 20 + 0.8 * level}
    tables = {"perceptual": "B2A0", "colorimetric": "B2A1", "saturation": "B2A2"}
    return TableEffect(
        lightness=level,
        hues=hues,
        full_lab=full,
        source_gamut="opRGB",
        black_lightness=20.0,
        intents=tuple(
            IntentEffect(
                intent=name,
                table=tables[name],
                neutral_lab=np.stack([curves[name], 0 * level, 0 * level], axis=-1),
                full_lab=full * [1, 0.5, 0.5],
                leaves_black=None if name == "saturation" else 2.0,
                reaches_paper=99.0,
            )
            for name in intents
        ),
        missing=tuple(name for name in tables if name not in intents),
        smoothness=(
            Smoothness(table="A2B1", rms=0.02, p99=0.1, worst=0.7, worst_place="device <values>", ramps=200, steps=129),
        ),
    )


def test_curves_are_drawn_with_the_black_and_equal_ones_share_a_line():
    axes = plot_neutral_axis(invented_effect()).axes
    assert [line.get_label() for line in axes[0].lines][:3] == ["unchanged", "perceptual, saturation", "colorimetric"]
    assert axes[0].lines[3].get_ydata()[0] == 20
    assert "black of the print L* 20.0" in [text.get_text() for text in axes[0].texts]
    styles = [(line.get_linestyle(), line.get_linewidth()) for line in axes[0].lines[:3]]
    assert len(set(styles)) == 3  # told apart without colour


def test_chroma_is_drawn_all_around():
    axes = plot_chroma_kept(invented_effect()).axes[0]
    assert [line.get_label() for line in axes.lines] == ["printed, perceptual", "printed, colorimetric"]
    place, chroma = axes.lines[0].get_data()
    assert place[0] == 0
    assert place[-1] == 360
    np.testing.assert_allclose(chroma, 45)


@pytest.mark.parametrize("intents", [("colorimetric",), ("perceptual", "colorimetric", "saturation")])
def test_the_section_on_the_page(invented, intents):
    html = render_html(assessment_document(replace(invented(40), effect=invented_effect(intents))))
    assert '<section id="tables">' in html
    assert len(re.findall(r'<svg[^>]* aria-label="[^"]{40,}"', html)) >= 4
    assert "device &lt;values&gt;" in html
    assert ("No table of its own: perceptual, saturation." in html) == (len(intents) == 1)
    assert not re.search(r"\b(nan|None)\b", re.sub(r"base64,[^\"]*", "", html))
    assert '<section id="tables">' not in render_html(assessment_document(invented(40)))


def test_numbers_for_programs(invented):
    numbers = json.loads(json.dumps(assessment_numbers(replace(invented(40), effect=invented_effect())), allow_nan=False))
    tables = numbers["tables"]
    assert tables["smoothness"][0]["worst"] == 0.7
    assert len(tables["neutral_lab_printed"]["perceptual"]) == len(tables["lightness_in"]) == 101
    assert len(tables["full_colours"]["lab_printed"]["colorimetric"]) == 24
    assert tables["summary"][0]["chroma_kept"] == pytest.approx(50)
    assert tables["summary"][2]["leaves_black"] is None
    assert assessment_numbers(invented(40))["tables"] is None


def test_rows_say_where_the_middle_goes():
    assert [round(row["middle"]) for row in effect_rows(invented_effect())] == [60, 50, 60]
