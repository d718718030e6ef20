"""What the blacks of the intents cost, said and shown. The effects in it are invented."""

import json
from dataclasses import replace

import pytest

from spectro.records.edge_effect import EdgeEffect, IntentEdge
from spectro.report.assessment_document import assessment_document, assessment_numbers
from spectro.report.render_html import render_html
from spectro.words.profile import blacks_words


def invented_edges(above):
    """Edges of invented tables whose blacks lie so far above a darkest colour of L* 16."""
    tables = {"perceptual": "B2A0", "colorimetric": "B2A1", "saturation": "B2A2"}
    return EdgeEffect(
        darkest=16.0,
        ramps=72,
        intents=tuple(
            IntentEdge(
                intent=name,
                table=tables[name],
                black=16.0 + rise,
                above=rise,
                stops=0.12 * rise,
                fall=0.2,
                falling=3,
                fall_place="from black to sRGB 0 0 255",
                turn=4.0,
                largest_turn=9.0,
                turn_place="Lab 50 20 20, printed as 50 20 18",
            )
            for name, rise in above.items()
        ),
        rule=None,
    )


@pytest.mark.common_practice("no source: a report says what an intent costs")
def test_the_intent_that_loses_most_is_named():
    edges = invented_edges({"perceptual": 2.8, "colorimetric": 0.1, "saturation": 2.0})
    said = blacks_words(edges, 1.0)
    assert said == (
        "Under the perceptual intent a picture's black prints at L* 18.8, 2.8 above the darkest colour of this paper: "
        "0.34 stops of its range are lost. Colorimetric reaches it."
    )


@pytest.mark.common_practice("no source: a report says what an intent costs")
def test_blacks_that_reach_the_paper_lose_nothing():
    said = blacks_words(invented_edges({"perceptual": 0.1, "colorimetric": 0.0}), 1.0)
    assert said.endswith("no range is lost.")
    assert "L* 16.0" in said


def test_page_and_numbers_hold_the_blacks(invented):
    """A row an intent with what it costs; the same in JSON."""
    edges = invented_edges({"perceptual": 2.8, "colorimetric": 0.1})
    assessment = replace(invented(40), edges=edges, blacks=blacks_words(edges, 1.0))
    page = render_html(assessment_document(assessment))
    section = page.split('<section id="blacks"')[1].split("</section>")[0]
    assert "0.34 stops of its range are lost" in section
    for words in ("perceptual", "18.8", "0.34", "colorimetric", "16.1", "3 of 72"):
        assert words in section, words
    numbers = json.loads(json.dumps(assessment_numbers(assessment), allow_nan=False))
    assert numbers["edges"]["intents"][0]["above"] == 2.8
    assert numbers["edges"]["words"] == assessment.blacks


def test_nothing_is_said_where_it_was_not_looked_at(invented):
    assert 'id="blacks"' not in render_html(assessment_document(invented(40)))
    assert assessment_numbers(invented(40))["edges"] is None
