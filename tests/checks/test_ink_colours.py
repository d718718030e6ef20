"""What each ink prints, told by all readings together: on real prints without their solids."""

import itertools

import numpy as np
import pytest

from spectro.checks.gate import gate, inks_of
from spectro.checks.ink_colours import ink_colours
from spectro.colour.lab import D50_PCS, lab_to_xyz, xyz_to_lab
from spectro.colour.tristimulus import spectra_to_lab
from spectro.readings.load import load_readings
from spectro.records.gate import GateCause, Law
from spectro.standards.limits import shipped_limits

LIMITS = shipped_limits("gate")
RGB = ("photo-inkjet-glossy/chart-680-m0.txt", "photo-inkjet-matte/chart-a-2033-m0.txt")
CMYK = ("offset-coated-fogra51/fogra51-spectral.txt", "offset-board/board-spectral.txt", "cmyk-10deg/it874-1617-m1.txt")


@pytest.fixture(params=[*RGB, *CMYK])
def print_(request, check_data):
    """Colour space, device values and Lab of a real print."""
    found = load_readings([check_data / request.param])
    return found.colour_space, found.device, spectra_to_lab(found.reflectance, found.wavelengths)


def without_solids(ink, seed, count=60):
    """Rows of a chart without any patch near a full ink alone, nor near two of them. Invented."""
    full = np.sort(ink, axis=1)
    muted = np.flatnonzero(~((full[:, -1] > 0.7) & (full[:, :-2] < 0.3).all(axis=1)))
    return np.random.default_rng(seed).permutation(muted)[:count]


def hue(lab):
    return np.degrees(np.arctan2(lab[..., 2], lab[..., 1]))


@pytest.mark.common_practice("no source: the solids that the print itself holds are the judge")
def test_hues_of_inks_are_those_of_their_solids(print_):
    space, device, lab = print_
    ink = inks_of(space, device)
    rows = without_solids(ink, 1)
    told = ink_colours(ink[rows], lab[rows], LIMITS)
    paper = lab_to_xyz(lab[ink.sum(axis=1).argmin()])
    assert (told.unsure <= LIMITS["ink_known"]).all()
    for place in range(3):
        solid = lab[np.abs(ink - np.eye(ink.shape[1])[place]).max(axis=1).argmin()]
        solid = xyz_to_lab(lab_to_xyz(solid) * (D50_PCS / paper))
        away = abs((hue(told.lab[place]) - hue(solid) + 180) % 360 - 180)
        assert away < LIMITS["hue_away"] / 2, (place, away)
    if space == "CMYK":
        assert np.hypot(*told.lab[3, 1:]) < 15


@pytest.mark.common_practice("no source: columns of ink in any order but their own are a mistake")
def test_exchanged_channels_are_seen_without_solids(print_):
    space, device, lab = print_
    right = tuple(range(device.shape[1]))
    for number, order in enumerate(itertools.permutations(right)):
        rows = without_solids(inks_of(space, device), number)
        ids = tuple(map(str, rows))
        report = gate(ids, space, device[np.ix_(rows, order)], lab[rows], LIMITS)
        assert report.stops == (order != right), (order, report)
        if report.stops:
            assert report.cause is GateCause.CHANNELS, (order, report)


def test_black_in_the_place_of_cyan_prints_a_colour(check_data):
    found = load_readings([check_data / CMYK[0]])
    lab = spectra_to_lab(found.reflectance, found.wavelengths)
    report = gate(found.sample_ids, "CMYK", found.device[:, [3, 1, 2, 0]], lab, LIMITS)
    laws = {one.law: one.found for one in report.broken}
    assert laws[Law.BLACK_NEUTRAL] == pytest.approx(72, abs=5)
    assert report.cause_detail == "4231"


def test_an_ink_that_never_changes_is_not_told_of():
    ink = np.random.default_rng(3).random((50, 4)) * (1, 1, 1, 0)
    lab = np.stack([90 - 50 * ink.mean(axis=1), 40 * ink[:, 1], 60 * ink[:, 2]], axis=-1)
    told = ink_colours(ink, lab, LIMITS)
    assert np.isinf(told.unsure[3])
    assert np.isfinite(told.unsure[:3]).all()
