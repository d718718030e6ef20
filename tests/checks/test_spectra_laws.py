"""Laws of spectra: a column in a wrong place, values cut off or coarse, a paper that is the instrument's own white."""

import numpy as np
import pytest

from spectro.checks.gate import gate
from spectro.colour.tristimulus import spectra_to_lab
from spectro.readings.load import load_readings
from spectro.records.gate import GateCause, Law
from spectro.standards.limits import shipped_limits
from spectro.words.gate import gate_words

LIMITS = shipped_limits("gate")
PRINTS = (
    "photo-inkjet-glossy/chart-680-m0.txt",
    "photo-inkjet-matte/chart-a-2033-m0.txt",
    "offset-board/board-spectral.txt",
    "cmyk-10deg/it874-1617-m1.txt",
)
MISTAKEN = pytest.mark.common_practice("no source: what a mistake does to spectra follows from the mistake")


@pytest.fixture(params=PRINTS)
def print_(request, check_data):
    return load_readings([check_data / request.param])


def judged(one, spectra=None, device=None):
    spectra = one.reflectance if spectra is None else spectra
    lab = spectra_to_lab(spectra, one.wavelengths)
    device = one.device if device is None else device
    return gate(one.sample_ids, one.colour_space, device, lab, LIMITS, spectra=spectra, wavelengths=one.wavelengths)


def broken(report):
    return {one.law: one for one in report.broken}


@MISTAKEN
@pytest.mark.parametrize("band", [0, 17, 35])
def test_a_column_that_is_not_its_own_is_seen_and_named(print_, band):
    wrong = print_.reflectance.copy()
    wrong[:, band] = print_.reflectance[:, -1 if band < 20 else 3]
    report = judged(print_, wrong)
    law = broken(report)[Law.SMOOTH_SPECTRA]
    first, last = (float(part) for part in law.detail.removesuffix(" nm").split(" to "))
    assert first <= print_.wavelengths[band] <= last
    assert report.stops
    assert report.cause is GateCause.NOISE
    assert f"spectra jump at {law.detail}" in gate_words(report, "x.txt")


@MISTAKEN
def test_columns_moved_round_by_one_are_seen(print_):
    assert Law.SMOOTH_SPECTRA in broken(judged(print_, np.roll(print_.reflectance, 1, axis=1)))


@MISTAKEN
def test_an_instrument_calibrated_on_the_paper_is_asked_about(print_):
    ink = 1 - print_.device if print_.colour_space == "RGB" else print_.device
    paper = print_.reflectance[ink.sum(axis=1) <= ink.sum(axis=1).min() + 1e-6].mean(axis=0)
    assert Law.PAPER_ABSORBS in broken(judged(print_, print_.reflectance / paper))


@MISTAKEN
def test_values_that_were_cut_off_or_rounded_are_asked_about(print_):
    cut = judged(print_, np.minimum(print_.reflectance, 0.6))
    assert broken(cut)[Law.NOT_CUT_OFF].found > 0.05
    assert "cut off at the largest one, 0.6" in gate_words(cut, "x.txt")
    assert not cut.stops
    assert Law.FINE_VALUES in broken(judged(print_, print_.reflectance.round(2)))


@pytest.mark.source("Balci-2025", "RGB photo inkjet, matte paper")
def test_half_of_a_chart_under_another_condition_is_asked_about(check_data):
    one, other = (load_readings([check_data / f"photo-inkjet-matte/chart-b-2420-m{n}.txt"]) for n in (0, 2))
    half = np.arange(len(one)) < len(one) // 2
    report = judged(one, np.where(half[:, None], one.reflectance, other.reflectance))
    assert broken(report)[Law.ONE_PAPER].found == pytest.approx(6, abs=1)
    assert "two papers, conditions or backings" in gate_words(report, "x.txt")


@MISTAKEN
@pytest.mark.parametrize("place", [0, -1])
def test_one_channel_on_its_own_scale_or_turned_round_is_named(check_data, place):
    one = load_readings([check_data / PRINTS[3]])
    for change, cause in ((lambda ink: ink / 100, GateCause.CHANNEL_SCALE), (lambda ink: 1 - ink, GateCause.INVERTED)):
        device = one.device.copy()
        device[:, place] = change(device[:, place])
        report = judged(one, device=device)
        assert report.stops
        assert report.cause is cause, report
        assert f"the {('first', 'fourth')[place]} channel" in gate_words(report, "x.txt").replace("of the", "the")
