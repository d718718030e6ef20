"""Misread greys: one wrong patch of few is left out, kinks and turns of a right print are not."""

from dataclasses import replace

import numpy as np
import pytest

from spectro.checks.misread_greys import greys_apart, without_misread
from spectro.readings.greys import printed_recipes, read_greys
from spectro.readings.load import load_readings
from spectro.records.print_tones import GreySteps
from spectro.standards.limits import shipped_limits

LIMITS = shipped_limits("monochrome")


def steps(lightness, noise=0.1, seed=0):
    """Greys of evenly spaced values."""
    rng = np.random.default_rng(seed)
    count = len(lightness)
    lab = np.column_stack([lightness, np.zeros(count), np.zeros(count)]) + rng.normal(0, noise, (count, 3))
    return GreySteps(
        sent="grey",
        value=np.linspace(0, 1, count),
        lab=lab,
        reflectance=np.zeros((count, 0)),
        counts=np.ones(count),
        rows=np.arange(count),
        readings=count,
    )


TONES = {
    "even": lambda x: 5 + 90 * x,
    "gamma": lambda x: 5 + 90 * x**0.7,
    "gamma, light": lambda x: 16 + 80 * x**1.4,
    "blocked shadows": lambda x: 8 + 88 * np.clip((x - 0.12) / 0.88, 0, 1) ** 0.9,
    "kink": lambda x: np.where(x < 0.5, 10 + 60 * x, 40 + 112 * (x - 0.5)),
}


@pytest.mark.common_practice("no source: invented tone curves, noise 0.1, and single errors of 3 and more")
@pytest.mark.parametrize("name", TONES)
@pytest.mark.parametrize("count", [12, 21, 40])
def test_one_misread_grey_is_left_out_and_nothing_else(name, count):
    tones = TONES[name](np.linspace(0, 1, count))
    for seed in range(20):
        rng = np.random.default_rng([7, seed])
        greys = steps(tones, seed=seed)
        assert without_misread(greys, LIMITS)[1] == (), seed
        row = int(rng.integers(2, count - 2))
        lab = greys.lab.copy()
        lab[row, 0] += rng.choice([-1, 1]) * rng.uniform(5, 12)
        found, left_out = without_misread(
            GreySteps(
                sent="grey", value=greys.value, lab=lab, reflectance=greys.reflectance, counts=greys.counts, rows=greys.rows,
                readings=count,
            ),
            LIMITS,
        )  # fmt: skip
        if count >= 21:
            assert [one.value for one in left_out] == [greys.value[row]], seed
            assert np.abs(found.lab[:, 0] - np.delete(tones, row)).max() < 0.6


@pytest.mark.source("Balci-2025", "greys of real prints on a matte and a glossy paper")
@pytest.mark.parametrize("name", ["photo-inkjet-matte/chart-b-2420-m0.txt", "photo-inkjet-glossy/chart-680-m0.txt"])
def test_real_greys_are_kept(check_data, name):
    greys = read_greys(printed_recipes(load_readings([check_data / name])))
    assert without_misread(greys, LIMITS)[1] == ()


@pytest.mark.common_practice("no source: invented bands, an ink that lacks in every fourth grey of a ramp in printing order")
@pytest.mark.parametrize("count", [21, 31, 51])
def test_bands_leave_greys_that_do_not_agree_and_right_ramps_do(count):
    """Greys stand along the page: every fourth of them is lighter by 4 L*, which no single misread patch explains."""
    x = np.linspace(0, 1, count)
    for seed in range(10):
        right = steps(TONES["gamma"](x), seed=seed)
        assert greys_apart(right)[0] < LIMITS["apart"]
        assert greys_apart(right)[1] < LIMITS["tint_apart"]
        lacking = TONES["gamma"](x) + np.where((np.arange(count) % 4 == 1) & (x < 0.9) & (x > 0.05), 4.0, 0.0)
        assert greys_apart(without_misread(steps(lacking, seed=seed), LIMITS)[0])[0] > LIMITS["apart"]


@pytest.mark.common_practice(
    "no source: an invented band that takes yellow out of the darkest third of a ramp in printing order"
)
@pytest.mark.parametrize("count", [21, 51])
def test_a_band_over_a_part_of_the_ramp_shows_in_its_tint(count):
    """Without yellow greys are bluer and hardly lighter: L* runs on where the band ends, b* jumps."""
    for seed in range(10):
        greys = steps(TONES["gamma"](np.linspace(0, 1, count)), seed=seed)
        band = np.where(np.arange(count) < count // 3, 1.0, 0.0)[:, None] * (0.8, 0.0, -8.0)
        assert greys_apart(replace(greys, lab=greys.lab + band))[1] > LIMITS["tint_apart"]


@pytest.mark.parametrize("file", ["photo-inkjet-matte/chart-a-2033-m0.txt", "photo-inkjet-glossy/chart-680-m0.txt"])
@pytest.mark.source("Balci-2025", "greys of real prints on a matte and a glossy paper")
def test_greys_of_real_prints_agree(file, check_data):
    """Real ramps stay below the limit."""
    lightness, tint = greys_apart(read_greys(printed_recipes(load_readings([check_data / file]))))
    assert lightness < LIMITS["apart"]
    assert tint < LIMITS["tint_apart"]
