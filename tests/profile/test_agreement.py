"""The colorimetric tables of a profile agree better than a PCS-to-device table alone can make them, and stay near the model."""

import numpy as np
import pytest

from spectro.colour.difference import delta_e_2000
from spectro.maths.lattice import n_linear, tetrahedral
from spectro.profile.agreement import EXPANSION, AgreementSettings, agreeing_table
from spectro.profile.assemble import source_spacing
from spectro.profile.compression import expansion_table, mapped_table
from spectro.profile.device_table import device_table, lattice_points
from spectro.profile.gamut_mapping import REFERENCE_BLACK_Y, gamut_mapping
from spectro.profile.inversion import darkest_neutral, prepare_inverse
from spectro.profile.outside_rule import outside_rule
from spectro.profile.pcs_table import fit_colorimetric, fitted_spacing
from tests.profile.test_fit_points import FEWER, invented_lab

GRID, PATH = 17, 9


@pytest.fixture(scope="module")
def tables():
    """An invented printer whose path reads a table of 9 nodes with errors of their own; its tables of 17 nodes."""
    errors = np.random.default_rng(2).normal(0, 0.5, (PATH, PATH, PATH, 3))
    device = lattice_points(GRID)
    lab = invented_lab(device) + tetrahedral(errors, device * (PATH - 1))
    table = device_table(lab.reshape(GRID, GRID, GRID, 3), legacy=True)
    inverse = prepare_inverse(table)
    spacing = fitted_spacing(inverse, GRID)
    return table, spacing, fit_colorimetric(outside_rule(inverse), spacing, FEWER), darkest_neutral(inverse)


def came_back(table, spacing, nodes, lab):
    """ΔE00 (n,) between colours and what they come back as."""
    return delta_e_2000(lab, table.evaluate(np.clip(n_linear(nodes, spacing.positions(lab)), 0, 1)))


@pytest.mark.common_practice("no source: the tables of one profile should say the same")
def test_tables_agree_and_stay_near_the_model(tables):
    """Colours come back a fifth nearer at least, and have moved by less than they were off by."""
    table, spacing, nodes, darkest = tables
    agreed = agreeing_table(table, spacing, nodes, darkest, legacy=True)
    device = np.random.default_rng(3).random((8000, 3))
    before = came_back(table, spacing, nodes, table.evaluate(device))
    after = came_back(agreed, spacing, nodes, agreed.evaluate(device))
    moved = delta_e_2000(table.evaluate(device), agreed.evaluate(device))
    assert after.mean() < 0.8 * before.mean()
    assert np.percentile(after, 95) < 0.8 * np.percentile(before, 95)
    assert moved.mean() < 0.7 * before.mean()
    np.testing.assert_array_equal(agreed.lab[-1, -1, -1], (100, 0, 0))


@pytest.mark.common_practice("no source: greys show the smallest tint")
def test_greys_count_when_tables_are_brought_together(tables):
    """With greys, the greys of the tables together are less tinted than without, and than before."""
    table, spacing, nodes, darkest = tables
    lab = np.linspace(darkest, 100, 400)[:, None] * (1.0, 0, 0)
    sent = np.clip(n_linear(nodes, spacing.positions(lab)), 0, 1)

    def tint(one):
        return np.abs(one.evaluate(sent)[:, 1:]).max()

    without = agreeing_table(table, spacing, nodes, darkest, legacy=True, settings=AgreementSettings(grey_weight=0.0))
    found = agreeing_table(table, spacing, nodes, darkest, legacy=True)
    assert tint(found) < 0.7 * min(tint(without), tint(table))


@pytest.mark.source("ICC.1-2022", "AToB0Tag: the way back of the perceptual table")
def test_the_way_back_of_a_perceptual_table_is_nearer_to_its_inverse(tables):
    """Colours of the source that are printed come back a fifth nearer at least; greys no farther off than before."""
    table, _, _, _ = tables
    mapping = gamut_mapping(table, "opRGB", REFERENCE_BLACK_Y)
    spacing = source_spacing(table, "opRGB")
    nodes = mapped_table(prepare_inverse(table), spacing, mapping)
    plain = expansion_table(table, mapping, legacy=False)
    found = agreeing_table(plain, spacing, nodes, float(plain.lab[..., 0].min()), legacy=False, settings=EXPANSION)
    device = np.random.default_rng(4).random((8000, 3))
    grey = np.linspace(5, 100, 300)[:, None] * (1.0, 0, 0)
    before, after = (came_back(one, spacing, nodes, one.evaluate(device)) for one in (plain, found))
    assert after.mean() < 0.8 * before.mean()
    assert np.percentile(after, 99) < 0.9 * np.percentile(before, 99)
    assert came_back(found, spacing, nodes, grey).max() <= came_back(plain, spacing, nodes, grey).max()


@pytest.mark.common_practice("no source: a table held to its model stays there")
def test_what_is_held_stays(tables):
    """Held a million times as strongly, nothing moves by more than an entry's rounding."""
    table, spacing, nodes, darkest = tables
    still = agreeing_table(table, spacing, nodes, darkest, legacy=True, settings=AgreementSettings(hold=1e6))
    np.testing.assert_allclose(still.lab, table.lab, atol=0.006)
