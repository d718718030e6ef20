"""Strips judged as they are read, and anchors held against their first reading. Charts and mistakes are invented."""

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from spectro.chart.generic_printer import predict_lab
from spectro.checks.anchor_agreement import anchor_agreement
from spectro.checks.learned_prediction import learned
from spectro.checks.live_judging import ChartPlan, judge_afterwards, judge_patch, judge_strip
from spectro.checks.misread_findings import Offer, Seems
from spectro.colour.difference import delta_e_2000
from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import ShapeError
from spectro.readings.load import load_readings
from spectro.stand_in.demo import demo_readings
from spectro.words.sitting import anchors_sentence, strip_sentence

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "benchmarks"))
import sitting_shifts

INVENTED = pytest.mark.common_practice("no source: mistakes are invented")


def plan_and_strips(readings, length, most=24):
    count = min(len(readings) // length, most)
    rows = count * length
    device = np.array(readings.device)[:rows]
    lab = spectra_to_lab(readings.reflectance[:rows], readings.wavelengths)
    plan = ChartPlan(
        device=device, predicted=predict_lab(device), strip=np.arange(rows) // length, page=np.ones(rows, dtype=int),
        names=tuple(f"S{number}-" for number in range(count)), paper=predict_lab(np.ones(3)),
    )  # fmt: skip
    return plan, [lab[number * length : (number + 1) * length] for number in range(count)]


@pytest.fixture(scope="module")
def demo():
    return plan_and_strips(demo_readings(), 27)


@pytest.fixture(scope="module", params=["photo-inkjet-matte/chart-a-2033-m2.txt", "photo-inkjet-glossy/chart-680-m0.txt"])
def real(request):
    try:
        folder = request.getfixturevalue("check_data")
    except pytest.skip.Exception:
        return plan_and_strips(demo_readings(), 27)
    return plan_and_strips(load_readings([folder / request.param]), 20)


def before(plan, strips, count):
    return {int(row): lab for number in range(count) for row, lab in zip(plan.rows(number), strips[number], strict=True)}


@INVENTED
def test_the_first_strip_tells_by_itself(real):
    """Right, turned, or another one, against a generic printer: no strip is taken for what it is not."""
    plan, strips = real
    for number, strip in enumerate(strips):
        assert judge_strip(plan, number, strip, {}).seems == Seems.FITS
        turned = judge_strip(plan, number, strip[::-1], {})
        assert (turned.seems, turned.offer) == (Seems.REVERSED, Offer.TURN)
        other = (number + 5) % len(strips)
        found = judge_strip(plan, number, strips[other], {})
        assert (found.seems, found.partner) == (Seems.SWAPPED, other)
        assert judge_strip(plan, number, strip[1:], {}).seems == Seems.SKIPPED_PATCH


@INVENTED
def test_a_strip_of_another_page_is_told_where_it_belongs(real):
    """Before anything else was read, and among strips that were; the strip of a shuffled chart belongs nowhere."""
    plan, strips = real
    half = len(strips) // 2
    paged = replace(plan, page=1 + (plan.strip >= half))
    mixed = np.concatenate(strips)[np.random.default_rng(2).permutation(len(plan.device))][: len(strips[0])]
    for known in ({}, before(plan, strips, 5)):
        for number in (0, half // 2):
            found = judge_strip(paged, number, strips[half + 1], known)
            assert (found.seems, found.offer, found.partner) == (Seems.SWAPPED, Offer.SWAP, half + 1)
            assert judge_strip(paged, number, mixed, known).seems == Seems.UNSURE


@INVENTED
def test_a_first_strip_that_may_be_one_of_two_is_taken_for_neither(real):
    """Two other strips of a chart have the same colours: which of them was read cannot be told."""
    plan, strips = real
    device = np.array(plan.device)
    device[plan.rows(4)] = device[plan.rows(7)]
    two = replace(plan, device=device, predicted=predict_lab(device))
    assert judge_strip(two, 1, strips[7], {}).seems == Seems.UNSURE
    assert judge_strip(two, 7, strips[7], {}).seems == Seems.FITS


@INVENTED
def test_a_strip_among_those_that_were_read(real):
    plan, strips = real
    for number in range(3, len(strips), 4):
        known = before(plan, strips, number)
        assert judge_strip(plan, number, strips[number], known).seems == Seems.FITS
        assert judge_strip(plan, number, strips[number][::-1], known).seems == Seems.REVERSED
        doubled = judge_strip(plan, number, strips[number - 1], known)
        assert (doubled.seems, doubled.partner) == (Seems.REPEATED_STRIP, number - 1)
        if number + 1 < len(strips):
            skipped = judge_strip(plan, number, strips[number + 1], known)
            assert (skipped.seems, skipped.partner) == (Seems.SKIPPED_STRIP, number + 1)
        missing = judge_strip(plan, number, np.delete(strips[number], 7, axis=0), known)
        assert missing.seems == Seems.SKIPPED_PATCH
        assert "S" in strip_sentence(missing, plan.names)


@INVENTED
def test_looking_back_finds_what_was_let_through(real):
    plan, strips = real
    known = before(plan, strips, len(strips))
    results, findings = judge_afterwards(plan, 1, known)
    assert not findings
    assert all(result.seems == Seems.FITS for result in results)
    wrong = {**known, **dict(zip(plan.rows(2).tolist(), strips[2][::-1], strict=True))}
    results, _ = judge_afterwards(plan, 1, wrong)
    assert [(result.strip, result.seems) for result in results if result.seems != Seems.FITS] == [(2, Seems.REVERSED)]


@INVENTED
def test_single_patches(demo):
    plan, strips = demo
    lab = np.concatenate(strips)
    known = dict(enumerate(lab[:60]))
    fits = [judge_patch(plan, row, lab[row], {**known}).seems == Seems.FITS for row in range(60, 100)]
    assert all(fits)
    skipped = [judge_patch(plan, row, lab[row + 1], {**known}) for row in range(60, 100)]
    named = [result.partner == 61 + place for place, result in enumerate(skipped) if result.seems != Seems.FITS]
    assert len(named) >= 36
    assert np.mean(named) >= 0.9
    bad = judge_patch(plan, 60, np.array([50.0, 90, 90]), known)
    assert bad.offer == Offer.READ_AGAIN


def test_learning_comes_nearer_and_leaves_out_what_it_judges(demo):
    plan, strips = demo
    lab = np.concatenate(strips)
    rows = np.arange(27 * 8)
    found = learned(plan.device, plan.predicted, rows, lab[rows], plan.strip)
    rest = np.arange(27 * 8, len(lab))
    assert delta_e_2000(found.lab[rest], lab[rest]).mean() < 0.4 * delta_e_2000(plan.predicted[rest], lab[rest]).mean()
    without = rows[27:]
    other = learned(plan.device, plan.predicted, without, lab[without], plan.strip)
    np.testing.assert_allclose(found.lab[:27], other.lab[:27], atol=1e-6)


@INVENTED
def test_short_campaign_of_shifts(tmp_path):
    """0.5 ΔE00 between halves is caught in 99 %; a still instrument is left alone."""
    found = sitting_shifts.campaign(60, 3, tmp_path, patches=72)
    assert len(found) == 3
    for counts in found.values():
        caught = sum(counts[f"{kind} caught"] for kind in sitting_shifts.KINDS)
        assert caught >= 0.99 * sum(counts[f"{kind} of"] for kind in sitting_shifts.KINDS)
        assert counts["none caught"] <= 0.01 * counts["none of"]


@INVENTED
def test_anchors(demo):
    lab = demo[1][0]
    assert anchor_agreement(lab, lab).agree
    moved = anchor_agreement(lab, lab + np.array([1.0, 0, 0]))
    assert not moved.agree
    assert "moved" in anchors_sentence(moved.shift, moved.agree)
    assert anchor_agreement(lab, lab + np.array([1.0, 0, 0]), limit=2.0).agree
    with pytest.raises(ShapeError):
        anchor_agreement(lab[:4], lab[:4])
    with pytest.raises(ShapeError):
        anchor_agreement(lab, lab[:20])
