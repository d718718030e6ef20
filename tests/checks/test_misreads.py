"""Misread recognition: the short form of the campaign, and the parts it is made of."""

import sys
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from spectro.checks.colour_faults import reference_hypotheses
from spectro.checks.misread_findings import Offer, Seems
from spectro.checks.misreads import judge_sheet
from spectro.checks.percent_mix import without_percent
from spectro.checks.strip_alignment import align, strip_costs
from spectro.errors import InputError, ShapeError

BENCHMARKS = Path(__file__).resolve().parents[2] / "benchmarks"
sys.path.insert(0, str(BENCHMARKS))

import misread_charts  # noqa: E402
import misreads  # noqa: E402

INVENTED = pytest.mark.common_practice("no source: strips and mistakes are invented")
PAPER = np.array([95.0, 0, -2])


@pytest.fixture(scope="module")
def strips():
    """Twelve invented strips of twenty patches, Lab."""
    rng = np.random.default_rng(1)
    return [np.column_stack([rng.uniform(15, 95, 20), rng.uniform(-50, 50, (20, 2))]) for _ in range(12)]


def as_read(strips, seed=2, noise=0.25):
    rng = np.random.default_rng(seed)
    return [strip + noise * rng.standard_normal(strip.shape) for strip in strips]


def judged(read, strips, **options):
    return judge_sheet(read, strips, noise=0.4, paper=PAPER, **options)


def flagged(found):
    return {result.strip: result.seems for result in found.strips if result.seems != Seems.FITS}


@pytest.fixture(scope="module")
def short_campaign(check_data_or_none):
    sources = misread_charts.all_sources(None)
    if check_data_or_none is not None:
        sources += misread_charts.glossy_sources(check_data_or_none)
    return misreads.campaign(120, 1, None, sources=sources)


@pytest.fixture(scope="module")
def check_data_or_none(request):
    try:
        return request.getfixturevalue("check_data")
    except pytest.skip.Exception:
        return None


@INVENTED
def test_short_campaign(short_campaign):
    """120 charts with one mistake each and 120 without, stand-in and (with check data) the real glossy chart."""
    rates = misreads.rates(short_campaign)
    named, count = rates["reading"]
    assert count > 60
    assert named >= 0.995 * count
    named, count = rates["printing"]
    assert count > 18
    assert named >= 0.97 * count
    assert rates["false alarms"] == (0, 120)


@INVENTED
def test_a_clean_sheet_is_clean(strips):
    found = judged(as_read(strips), strips, hypotheses=reference_hypotheses(np.concatenate(strips)))
    assert found.clean
    assert all(result.offer == Offer.KEEP and result.confidence > 0.8 for result in found.strips)


@INVENTED
def test_reversed_and_swapped_strips_are_told_and_nothing_is_changed(strips):
    read = as_read(strips)
    read[3] = read[3][::-1]
    read[5], read[8] = read[8], read[5]
    found = judged(read, strips)
    assert flagged(found) == {3: Seems.REVERSED, 5: Seems.SWAPPED, 8: Seems.SWAPPED}
    assert found.strips[3].offer == Offer.TURN
    assert (found.strips[5].offer, found.strips[5].partner) == (Offer.SWAP, 8)
    assert "Strip 4" in found.strips[3].sentence


@INVENTED
@settings(max_examples=30, deadline=None, derandomize=True)
@given(st.integers(0, 11), st.integers(1, 18), st.booleans())
def test_a_patch_missed_or_read_twice_is_placed(strip, patch, missed):
    strips = [np.random.default_rng(k).uniform([15, -50, -50], [95, 50, 50], (20, 3)) for k in range(12)]
    read = as_read(strips)
    read[strip] = np.delete(read[strip], patch, axis=0) if missed else np.insert(read[strip], patch, read[strip][patch], axis=0)
    found = judged(read, strips)
    assert flagged(found) == {strip: Seems.SKIPPED_PATCH if missed else Seems.REPEATED_PATCH}
    assert abs(found.strips[strip].patches[0] - patch) <= 1


@INVENTED
def test_skipped_and_repeated_strips_and_shifts(strips):
    read = as_read(strips)
    assert set(flagged(judged(read[:4] + read[5:], strips)).items()) == {(k, Seems.SKIPPED_STRIP) for k in range(4, 11)}
    assert flagged(judged([*read[:5], read[4], *read[6:]], strips)) == {5: Seems.REPEATED_STRIP}
    assert set(flagged(judged(read[1:], strips)).values()) == {Seems.SHIFTED_STRIPS}


@INVENTED
def test_the_page_as_a_whole(strips):
    read = as_read(strips)
    other = [np.random.default_rng(k + 50).uniform([15, -50, -50], [95, 50, 50], (20, 3)) for k in range(12)]
    turned = judged([strip[::-1] for strip in reversed(read)], strips)
    assert [finding.seems for finding in turned.findings] == [Seems.UPSIDE_DOWN]
    page = judged(as_read(other), strips, others={"page 2": other})
    assert [(finding.seems, finding.detail) for finding in page.findings] == [(Seems.WRONG_PAGE, "page 2")]
    chart = judged(as_read(other), strips)
    assert [finding.seems for finding in chart.findings] == [Seems.WRONG_CHART]
    assert all(result.seems == Seems.UNSURE and result.offer == Offer.READ_AGAIN for result in chart.strips)


@INVENTED
@pytest.mark.parametrize(("patch", "off"), [(0, 9.0), (10, 8.0), (19, 12.0)])
def test_one_bad_patch_is_named_with_its_place(strips, patch, off):
    read = as_read(strips)
    read[2][patch] += [0, off * 2, off * 2]
    found = judged(read, strips)
    assert flagged(found) == {2: Seems.BAD_PATCH}
    assert found.strips[2].patches == (patch,)


@INVENTED
def test_a_smooth_difference_hides_no_order(strips):
    """A print that is lighter and duller throughout: its reversed strip is found all the same."""
    read = [strip * [0.8, 0.7, 0.7] + [15, 2, 5] for strip in as_read(strips)]
    read[7] = read[7][::-1]
    assert flagged(judged(read, strips)) == {7: Seems.REVERSED}


def test_percentages_are_brought_down():
    lab = np.column_stack([np.linspace(20, 95, 20), np.zeros((20, 2))])
    from spectro.colour.lab import lab_to_xyz, xyz_to_lab

    large = xyz_to_lab(lab_to_xyz(lab) * 100)
    small = xyz_to_lab(lab_to_xyz(lab) / 100)
    strips, flags = without_percent([lab, large, small], [lab, lab, lab])
    assert [flag.all() for flag in flags] == [False, True, True]
    assert not flags[0].any()
    for strip in strips:
        np.testing.assert_allclose(strip, lab, atol=1e-9)


def test_costs_are_zero_on_the_diagonal_and_agree_with_the_line_up(strips):
    costs = strip_costs(strips, strips)
    assert np.allclose(np.diagonal(costs[:, :, 0]), 0, atol=1e-9)
    line_up = align(strips[0], strips[0], PAPER)
    assert (line_up.cost, line_up.missed, line_up.extra) == (pytest.approx(0), (), ())
    assert line_up.pairs == tuple((k, k) for k in range(20))
    shifted = align(np.concatenate([strips[0][1:], PAPER[None]]), strips[0], PAPER)
    assert (shifted.missed, shifted.extra) == ((0,), (19,))


def test_bad_input_is_refused(strips):
    with pytest.raises(InputError):
        judge_sheet([], strips, noise=0.4, paper=PAPER)
    with pytest.raises(InputError):
        judge_sheet(strips, strips, noise=0, paper=PAPER)
    with pytest.raises(ShapeError):
        judge_sheet([np.zeros((3, 2))], strips, noise=0.4, paper=PAPER)
    with pytest.raises(ShapeError):
        judge_sheet([np.full((3, 3), np.nan)], strips, noise=0.4, paper=PAPER)
