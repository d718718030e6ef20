"""Strips can be told from each other: what chart.json states, and a plain reader on the stand-in that is never wrong."""

import dataclasses

import numpy as np
import pytest
from chart_strip_reader import strips_of, wrong_names

from spectro.chart.design import design_chart
from spectro.chart.generic_printer import predicted_lab
from spectro.chart.recipe import read_recipe
from spectro.chart.separation import strip_separations
from spectro.colour.difference import delta_e_2000
from spectro.records.chart import Chart


def plain_separation(chart: Chart) -> float:
    """The smallest mean difference over all pairs of strips, both ways round and shifts, written out."""
    lab = predicted_lab(chart.recipe, chart.device)
    strips = [lab[rows] for rows in strips_of(chart)]
    least = np.inf
    for first, one in enumerate(strips):
        for second, other in enumerate(strips):
            for turned in (False, True):
                there = other[::-1] if turned else other
                for shift in (-1, 0, 1):
                    if first == second and not turned and shift == 0:
                        continue
                    here, beside = one[max(-shift, 0) :], there[max(shift, 0) :]
                    count = min(len(here), len(beside))
                    if count > abs(shift):
                        least = min(least, float(delta_e_2000(here[:count], beside[:count]).mean()))
    return least


def test_the_stated_separation_is_that_of_the_pages(small_chart: Chart) -> None:
    """Found again from positions and device values alone, short last strips included."""
    assert small_chart.separation == pytest.approx(plain_separation(small_chart), abs=1e-3)
    odd = design_chart(dataclasses.replace(small_chart.recipe, patches=163))
    assert len({len(rows) for rows in strips_of(odd)}) > 1
    assert odd.separation == pytest.approx(plain_separation(odd), abs=1e-3)


def test_ordering_makes_the_smallest_separation_larger(small_chart: Chart) -> None:
    """Strips of a ready chart stand further apart than those of the same patches shuffled ten times."""
    chart = design_chart(dataclasses.replace(read_recipe("rgb-a4-strip"), patches=459))
    lab = predicted_lab(chart.recipe, chart.device)
    starts = np.arange(18) * 27
    generator = np.random.default_rng(0)
    shuffles = [strip_separations(generator.permutation(lab), starts).min() for _ in range(10)]
    assert chart.separation > max(shuffles) + 1


def test_no_strip_is_too_short_to_be_told() -> None:
    """Where the last strip would be short, it shares with the one before."""
    recipe = read_recipe("rgb-a4-strip")
    for patches in (28, 109, 500):
        lengths = [len(rows) for rows in strips_of(design_chart(dataclasses.replace(recipe, patches=patches)))]
        assert sum(lengths) == patches
        assert min(lengths) >= max(lengths) / 2


@pytest.mark.common_practice("no source: a plain reader on invented data; 2000 strips are read in benchmarks/charts.py")
@pytest.mark.parametrize(("name", "patches"), [("rgb-a4-strip", 918), ("rgb-large-strip", 312)])
def test_a_plain_reader_names_every_strip(name: str, patches: int) -> None:
    """Clean, reversed, swapped, shifted and doubled strips, printed and read on the stand-in with its noise."""
    chart = design_chart(dataclasses.replace(read_recipe(name), patches=patches, pages=None))
    assert list(wrong_names(chart, seed=1)) == []


def test_strips_of_two_patches_are_held_against_others_whole() -> None:
    """Two patches shifted by one would lie side by side with one of themselves, whatever their colours."""
    lab = np.array([[50.0, 0, 0], [60.0, 40, 0], [30.0, 0, -40], [80.0, 0, 60]])
    apart = strip_separations(lab, np.array([0, 2, 4]))
    own = delta_e_2000(lab, lab[[1, 0, 3, 2]])
    np.testing.assert_allclose(np.diag(apart), [own[0], own[2]], atol=5.1e-7)  # to six decimals
    across = min(delta_e_2000(lab[:2], lab[2:]).mean(), delta_e_2000(lab[:2], lab[[3, 2]]).mean())
    assert apart[0, 1] == pytest.approx(across, abs=5.1e-7)
