"""The assessment as an HTML page."""

import re
from dataclasses import replace

import numpy as np
import pytest
from page_reader import Reader, check_figures, check_identifiers

from spectro.records.assessment import ErrorBudget
from spectro.report.assessment_document import assessment_document
from spectro.report.render_html import render_html

SECTIONS = ("numbers", "budget", "page-picture", "colours", "greys", "distribution", "groups", "worst", "round-trip",
            "method", "files")  # fmt: skip


def assessment_html(assessment):
    """The page of an assessment."""
    return render_html(assessment_document(assessment))


@pytest.fixture(scope="module")
def page():
    """One page that several tests look at."""
    return {}


@pytest.fixture
def usual(page, invented):
    """The page of 300 invented patches, made once."""
    if not page:
        page["html"] = assessment_html(invented(300))
    return page["html"]


def test_verdict_comes_first(usual, invented):
    """The first words on the page are the verdict, in the only first-level heading."""
    words = Reader(usual).words().strip()
    assert words.startswith(invented(300).verdict)
    assert "not yet proven in print" in words
    assert usual.count("<h1") == 1


def test_sections_in_order(usual):
    """All sections are there, in the order in which they are to be read."""
    found = re.findall(r'<section id="([a-z-]+)"', usual)
    assert tuple(found) == SECTIONS


def test_nothing_is_fetched(usual):
    """No address, no script, no outside file; the page itself forbids them."""
    assert "http:" not in usual
    assert "https:" not in usual
    assert "default-src 'none'" in usual
    for tag, attributes in Reader(usual).elements:
        assert tag not in {"script", "link", "iframe", "object", "embed", "img", "base", "form"}
        for name in ("src", "href"):
            assert attributes.get(name, "#").startswith(("#", "data:image/png;base64,"))
        assert not [name for name in attributes if name.startswith("on")]
    assert "@import" not in usual
    assert not re.search(r"url\((?!#)", usual)


def test_figures_have_names_and_captions(usual):
    """Every figure has a caption and a label for people who hear the page: five, and two a page of patches."""
    check_figures(usual, 7)


def test_identifiers_are_unique_and_found(usual):
    """No two elements share an id, and every reference inside a figure leads to one."""
    check_identifiers(usual)


def test_same_input_same_bytes(usual, invented):
    """Made again from an equal record, the page is the same."""
    assert assessment_html(invented(300)) == usual


def test_says_how_it_was_computed(usual):
    """Light, observer, condition, intent, percentile method, number of patches, and what a round trip is not."""
    words = Reader(usual).words()
    for text in ("D50, 2° observer", "M1", "ICC-absolute colorimetric", "linear interpolation", "300 patches",
                 "It is a table check, never print accuracy.", "invented-readings.txt", "2.4",
                 "0123456789abcdef0123456789abcdef", "CIEDE2000"):  # fmt: skip
        assert text in words


def test_numbers_on_the_page(usual, invented):
    """Key figures, groups and the worst patch stand there as rounded values of the record."""
    assessment = invented(300)
    words = Reader(usual).words()
    d = assessment.delta_e_2000
    for value in (d.mean, d.median, d.p95, d.p99, d.max, assessment.groups["greys"].mean, assessment.budget.total):
        assert f"{value:.2f}" in words
    page, row, column = assessment.worst[0].position
    assert f"page {page}, row {row}, column {column}" in words
    red, green, blue = (round(value * 255) for value in assessment.worst[0].device)
    assert f"{red} {green} {blue}" in words


@pytest.mark.parametrize("field", ["verdict", "profile_file", "profile_name", "profile_id", "readings_origin", "light",
                                   "measurement_condition", "intent", "icc_version"])  # fmt: skip
def test_text_of_files_is_escaped(invented, field):
    """Markup in any text stays text."""
    evil = "<script>alert('x')</script>\"'><img src=x onerror=y>&amp;"
    html = assessment_html(replace(invented(3), **{field: evil}))
    assert "<script" not in html
    assert "<img" not in html
    assert "&lt;script&gt;" in html
    Reader(html)


def test_ids_names_and_groups_are_escaped(invented, named):
    """Ids and names of patches, names of groups and the source of the noise stay text too, inside figures as well."""
    evil = "<script>$x^"
    assessment = named(invented(12), evil)
    budget = replace(assessment.budget, repeat_noise_from=evil)
    html = assessment_html(replace(assessment, groups={evil: None}, budget=budget))
    assert "<script" not in html
    assert html.count("&lt;script&gt;$x^") > 10
    Reader(html)


@pytest.mark.parametrize("patches", [1, 2, 11, 118])
@pytest.mark.parametrize("positions", [True, False])
def test_any_number_of_patches(invented, patches, positions):
    """Few patches or many, with places or without: a whole page without a number that is none."""
    html = assessment_html(invented(patches, positions=positions))
    assert not re.search(r"\b(nan|inf)\b", re.sub(r"base64,[^\"]*", "", html), re.IGNORECASE)
    assert ("file order" in html) is not positions
    assert not re.search(r"\bNone\b", Reader(html).words())


def test_six_thousand_patches_stay_small(invented):
    """Dense parts are pictures, so that a large chart's page stays below one and a half megabytes."""
    html = assessment_html(invented(6000))
    assert len(html.encode()) < 1_500_000
    assert html.count("measured colours</b>") == 8


def test_what_is_not_known_is_said(invented):
    """Missing groups and parts of the error are words, not gaps."""
    unknown = ErrorBudget(repeat_noise=None, repeat_noise_from="", model=None, table=0.04, total=None)
    assessment = invented(60, budget=unknown)
    words = Reader(assessment_html(replace(assessment, groups={"skin-like": None}))).words()
    assert words.count("not known from these readings") == 5  # the key figure, three parts, the total
    assert "not known from these readings: a part" in words
    assert "no such patch in these readings" in words


def test_all_errors_zero(invented):
    """A profile that says exactly what was measured gives a page too."""
    html = assessment_html(invented(50, error=0.0))
    assert "at their true length" in html
    Reader(html)


def test_values_that_are_not_numbers_become_dashes(invented):
    """A damaged reading does not spoil the page."""
    assessment = invented(80)
    lab, delta_e = assessment.measured_lab.copy(), assessment.delta_e.copy()
    lab[5], delta_e[5] = np.nan, np.nan
    broken = replace(assessment.worst[0], measured_lab=(np.nan,) * 3, delta_e_2000=np.nan)
    html = assessment_html(replace(assessment, measured_lab=lab, delta_e=delta_e, worst=(broken,)))
    assert "– – –" in html
    assert not re.search(r"\bnan\b", re.sub(r"base64,[^\"]*", "", html), re.IGNORECASE)


def test_nothing_to_list(invented):
    """Without worst patches the section says so."""
    assert "No patch to list." in assessment_html(replace(invented(5), worst=()))


def test_other_channels_in_per_cent(invented):
    """Four channels are shown in per cent, and have no grey made of equal values."""
    assessment = invented(20)
    device = np.full((20, 4), 0.25)
    worst = tuple(replace(patch, device=(0.25, 0.5, 0.0, 1.0)) for patch in assessment.worst)
    words = Reader(assessment_html(replace(assessment, device=device, worst=worst))).words()
    assert "25 50 0 100" in words
    assert "0 measured patches" in words


def test_caller_settings_are_left_alone(invented):
    """The plotting library's settings are the same afterwards, and another person's settings change nothing."""
    import matplotlib

    before = assessment_html(invented(9))
    with matplotlib.rc_context({"font.size": 30, "svg.fonttype": "path", "lines.linewidth": 9}):
        assert assessment_html(invented(9)) == before
        assert matplotlib.rcParams["font.size"] == 30
