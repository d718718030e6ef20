"""Colours carried over to another paper, against a worked example and an independent reckoning."""

import colour
import numpy as np
import pytest

from spectro.colour.difference import delta_e_2000
from spectro.colour.paper_measures import on_another_paper
from spectro.errors import InputError

PAPER, OTHER, DARKEST = [95, 1.5, -6.0], [92, 0.5, 2.0], [23.26, -1.43, -1.68]


@pytest.mark.source("Colour-check-values", "substrate correction, worked example: published solids carried to 92 .5 2")
def test_a_worked_example(check_data):
    from spectro.workflow.aim.check import read_aim

    aim = read_aim(check_data / "offset-coated-fogra51" / "fogra51-published.txt")
    rows = {tuple(np.round(100 * row).astype(int)): lab for row, lab in zip(aim.device, aim.lab, strict=True)}
    paper, darkest = rows[0, 0, 0, 0], rows[100, 100, 100, 0]
    assert float(delta_e_2000(paper, OTHER)) == pytest.approx(7.547, abs=0.001)
    worked = {
        (100, 0, 0, 0): (54.415, -34.002, -43.879),
        (0, 100, 0, 0): (46.673, 71.793, -1.328),
        (0, 0, 100, 0): (86.129, -4.798, 90.630),
        (0, 0, 0, 50): (60.775, -0.339, 0.748),
        (50, 40, 40, 0): (54.800, -0.073, 1.563),
    }
    for recipe, expected in worked.items():
        if recipe not in rows:
            continue
        np.testing.assert_allclose(on_another_paper(rows[recipe], paper, OTHER, darkest), expected, atol=0.01)
    assert sum(recipe in rows for recipe in worked) >= 4
    np.testing.assert_allclose(on_another_paper(darkest, paper, OTHER, darkest), darkest, atol=1e-9)


@pytest.mark.source("ISO-13655-2017", "tristimulus correction, reckoned by a general colour-science library's XYZ")
def test_an_independent_reckoning():
    white = np.array([0.96422, 1.0, 0.82521])
    illuminant = white[:2] / white.sum()
    rng = np.random.default_rng(5)
    lab = np.column_stack([rng.uniform(20, 95, 50), rng.uniform(-60, 60, (50, 2))])

    def xyz(one):
        return colour.Lab_to_XYZ(np.asarray(one, dtype=float), illuminant)

    before, after, least = xyz(PAPER), xyz(OTHER), xyz(DARKEST)
    share = (after - before) / (before - least)
    expected = colour.XYZ_to_Lab(xyz(lab) * (1 + share) - least * share, illuminant)
    np.testing.assert_allclose(on_another_paper(lab, PAPER, OTHER, DARKEST), expected, atol=0.01)


@pytest.mark.common_practice("no source: nothing can be carried over where paper and black are one colour")
def test_paper_and_darkest_must_differ():
    with pytest.raises(InputError, match="darker"):
        on_another_paper(PAPER, PAPER, OTHER, PAPER)
