"""The comparison of papers as a page and as a PDF. Everything compared here is invented."""

import base64
import hashlib
import json
import re
from dataclasses import replace
from importlib import resources

import numpy as np
import pytest
from page_reader import Reader, check_figures, check_identifiers

from spectro.boundary.solid import HUES, LIGHTNESS, gamut_solid
from spectro.checks.gamut_difference import gamut_change
from spectro.checks.paper_ranking import criterion_values, rank_papers
from spectro.checks.profile_reuse import profile_reuse
from spectro.checks.statistics import difference_statistics
from spectro.checks.wall_black import wall_blacks
from spectro.records.paper_comparison import PairMetamerism, PaperComparison, PaperFacts, PaperPair
from spectro.report.comparison_document import comparison_document, region_lab
from spectro.report.gamut_mesh import view_data
from spectro.report.page_parts import css_colour
from spectro.report.plot_gamut_slices import hue_outline, plot_hue_slices
from spectro.report.render_html import render_html
from spectro.report.render_pdf import render_pdf

WALL = 0.01
SCRIPT = resources.files("spectro.report").joinpath("gamut_view.js").read_text("utf-8")


def printer(scale):
    """An invented printer: Lab of device values, the more colourful the larger scale."""

    def lab(device):
        mean = device.mean(axis=1)
        a, b = device[:, 0] - device[:, 1], device[:, 1] - device[:, 2]
        return np.column_stack([25 - 20 * scale + (70 + 20 * scale) * mean, 60 * scale * a + mean, 55 * scale * b - 3 * mean])

    return lab


def facts(name, scale):
    """Facts of a paper printed by it, and its gamut."""
    lab = printer(scale)
    white, black = lab(np.ones((1, 3)))[0], lab(np.zeros((1, 3)))[0]
    solid = gamut_solid(lab, 3)
    ramp = np.linspace(0, 1, 256)
    paper = PaperFacts(
        name=name, origin=f"{name}.txt", kind="readings", condition="M1", colour_space="RGB", recipes=300,
        white_lab=tuple(white.tolist()), whiteness=101.2, tint=0.3, whiteness_outside=(), brightener=None,
        black_lab=tuple(black.tolist()), contrast=wall_blacks(black, white, (0.0,))[0].contrast,
        wall=wall_blacks(black, white), volume=solid.volume, lightness=LIGHTNESS, hues=HUES, reach=solid.reach,
        faces=solid.faces, ramp_of="equal RGB", ramp_device=ramp, ramp_lab=lab(np.repeat(ramp[:, None], 3, axis=1)),
        grey_cast=0.5, first_shadow=None, last_highlight=None, shadow_separation=6.0, light_change={"A": 1.1, "D65": 0.3},
        light_rows={"paper": {"A": 0.4, "D65": 0.1}}, noise=0.1, noise_from="20 repeated readings", model_error=None, cost=None,
    )  # fmt: skip
    return paper, solid


@pytest.fixture(scope="module")
def compared():
    """Two invented papers with everything that can be told of them."""
    (old, old_solid), (new, new_solid) = facts("Rag", 0.8), facts("Gloss", 1.0)
    device = np.random.default_rng(6).random((200, 3))
    said, shown = printer(0.8)(device), printer(1.0)(device)
    reuse = profile_reuse(
        said, shown, device, np.array(old.white_lab), np.array(new.white_lab), new_errors=np.full(200, 0.3), basis="invented"
    )
    pair = PaperPair(
        old="Rag", new="Gloss", verdict="Gloss holds more. Profile it again.", white_apart=0.2, black_apart=4.0,
        joined="by device values", common=20, measured=difference_statistics(np.linspace(1, 5, 20)), predicted_on_common=3.1,
        gamut=gamut_change(old_solid, new_solid), reuse=reuse,
        metamerism=PairMetamerism(reference="D50", observer=10, colours=5, mean={"A": 0.4}, largest={"A": 0.9}),
    )  # fmt: skip
    values = [
        (paper.name, criterion_values(paper, next(row.contrast for row in paper.wall if row.reflected == WALL)))
        for paper in (old, new)
    ]
    return PaperComparison(
        verdict=pair.verdict, settings=False, papers=(old, new), pairs=(pair,),
        ranking=rank_papers(values, {"gamut": 2.0, "black": 1.0}), cautions=("Judge the surface by eye.",),
    )  # fmt: skip


@pytest.fixture(scope="module")
def page(compared):
    return render_html(comparison_document(compared, WALL))


def test_verdict_first_then_the_sections(page, compared):
    assert Reader(page).words().startswith(compared.verdict)
    assert page.startswith("<!doctype html>")
    assert re.findall(r'<section[^>]* id="([a-z0-9-]+)"', page) == ["numbers", "order", "pair-1", "together", "cautions"]
    assert page.count("<h1") == 1


def test_nothing_is_fetched_and_only_our_script_may_run(page):
    assert "http:" not in page
    assert "https:" not in page
    digest = base64.b64encode(hashlib.sha256(SCRIPT.encode("utf-8")).digest()).decode("ascii")
    assert f"default-src 'none'; style-src 'unsafe-inline'; img-src data:; script-src 'sha256-{digest}'" in page
    scripts = re.findall(r"<script>(.*?)</script>", page, flags=re.DOTALL)
    assert scripts == [SCRIPT]
    for tag, attributes in Reader(page).elements:
        assert tag not in {"link", "iframe", "object", "embed", "base", "form"}
        for name in ("src", "href"):
            assert attributes.get(name, "#").startswith(("#", "data:image/png;base64,"))
        assert not [name for name in attributes if name.startswith("on")]
    for word in ("fetch(", "XMLHttpRequest", "import(", "eval(", "innerHTML", "WebSocket"):
        assert word not in SCRIPT


def test_every_figure_has_a_caption_and_words_for_those_who_hear_it(page):
    check_figures(page, 8)
    check_identifiers(page)


def test_the_view_can_be_reached_by_keys_and_rests_where_motion_is_not_wanted(page):
    canvas = next(attributes for tag, attributes in Reader(page).elements if tag == "canvas")
    assert canvas["tabindex"] == "0"
    assert "arrow keys turn" in canvas["aria-label"]
    buttons = {attributes["data-act"] for tag, attributes in Reader(page).elements if tag == "button"}
    does = set(re.findall(r"^      (\w+): \(\) =>|, (\w+): \(\) =>", SCRIPT, flags=re.MULTILINE))
    assert buttons <= {name for pair in does for name in pair if name}
    script = SCRIPT
    for key in ("ArrowLeft", "ArrowRight", "ArrowUp", "ArrowDown", "Home", '" "'):
        assert key in script
    assert "prefers-reduced-motion: reduce" in script
    assert "if (still.matches)" in script


def test_the_data_of_the_view_is_whole_and_safe(compared):
    old = replace(compared.papers[0], name="</script><b>")
    text = view_data(old, compared.papers[1])
    assert "<" not in text
    first, second = json.loads(text)
    assert first["name"] == "</script><b>"
    assert np.shape(second["faces"]) == (6, 9, 9, 3)
    assert np.shape(second["colours"]) == (6, 8, 8)
    assert all(re.fullmatch(r"#[0-9a-f]{6}", colour) for face in second["colours"] for row in face for colour in row)


def test_words_from_files_are_escaped_everywhere(compared):
    evil = "<script>$x^"
    papers = (replace(compared.papers[0], name=evil, origin=evil), compared.papers[1])
    pair = replace(compared.pairs[0], old=evil, verdict=evil)
    found = replace(compared, papers=papers, pairs=(pair,), verdict=evil, cautions=(evil,), ranking=None)
    html = render_html(comparison_document(found, WALL))
    assert html.count("<script>") == 1
    assert html.count("&lt;script&gt;$x^") > 8
    Reader(html)
    assert render_pdf(comparison_document(found, WALL)).startswith(b"%PDF")


def test_without_gamuts_and_spectra_a_page_is_still_a_page(compared):
    bare = [
        replace(paper, volume=None, reach=np.zeros((0, 0)), faces=np.zeros((0, 0, 0, 3)), ramp_of="", ramp_lab=np.zeros((0, 3)),
                ramp_device=np.zeros(0), grey_cast=None, shadow_separation=None, light_change={}, light_rows={}, noise=None)
        for paper in compared.papers
    ]  # fmt: skip
    pair = replace(compared.pairs[0], gamut=None, reuse=None, metamerism=None, measured=None, predicted_on_common=None)
    found = replace(compared, papers=tuple(bare), pairs=(pair,), ranking=None)
    html = render_html(comparison_document(found, WALL))
    assert "<script" not in html
    assert "<canvas" not in html
    words = Reader(html).words()
    assert not re.search(r"\b(None|nan|inf)\b", words)
    assert render_pdf(comparison_document(found, WALL)).startswith(b"%PDF")


def test_settings_are_shown_side_by_side(compared):
    found = replace(compared, settings=True, pairs=(), ranking=replace(compared.ranking))
    words = Reader(render_html(comparison_document(found, WALL))).words()
    assert "The settings side by side" in words
    assert "The gamuts cut along hues" in words


def test_same_input_same_bytes(page, compared):
    assert render_html(comparison_document(compared, WALL)) == page
    assert render_pdf(comparison_document(compared, WALL)) == render_pdf(comparison_document(compared, WALL))


def test_slices_show_every_paper_closed(compared):
    x, y = hue_outline(compared.papers[0], 60)
    assert (x[0], y[0]) == (x[-1], y[-1])
    assert x.max() > 20
    assert x.min() < -20
    axes = plot_hue_slices(compared.papers).axes
    assert len(axes) == 6
    assert [line.get_label() for line in axes[0].lines][:2] == ["Rag", "Gloss"]


def test_a_region_has_a_colour_of_its_own_hue(compared):
    for row in compared.pairs[0].gamut.regions:
        assert re.fullmatch(r"#[0-9a-f]{6}", css_colour(region_lab(row)))
