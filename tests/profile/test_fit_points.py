"""Every family of points earns its place: without it, the table is visibly worse where that family lies."""

from dataclasses import replace

import numpy as np
import pytest

from spectro.colour.difference import delta_e_2000
from spectro.colour.source_gamut import source_surface
from spectro.maths.lattice import n_linear
from spectro.profile import pcs_table
from spectro.profile.device_table import device_table, lattice_points
from spectro.profile.fit_points import FitPoints, PointSettings, sample_points
from spectro.profile.inversion import invert, prepare_inverse
from spectro.profile.outside_rule import outside_rule
from spectro.profile.pcs_table import fit_colorimetric, fitted_spacing

GRID = 17
FEWER = PointSettings(filling=60_000, darkened=22_000, greyed=8000, of_source=8000, dark_of_source=12_000)


def invented_lab(device):
    """Invented printer, absolute Lab: white 95 0.5 -3, a black of L* 16 with a tint of 4, no real device."""
    ink = 1 - device**1.4
    lightness = 95 - 79 * (0.25 * ink[:, 0] + 0.5 * ink[:, 1] + 0.25 * ink[:, 2]) ** 0.8
    a = 0.5 + 60 * (ink[:, 1] - 0.6 * ink[:, 0] - 0.4 * ink[:, 2])
    b = -3 + 65 * (ink[:, 2] - 0.5 * ink[:, 0] - 0.45 * ink[:, 1])
    dark = np.exp(-(((lightness - 16) / 8) ** 2))
    return np.column_stack([lightness, a + 1.2 * dark, b + 4 * dark])


@pytest.fixture(scope="module")
def table():
    return device_table(invented_lab(lattice_points(GRID)).reshape(GRID, GRID, GRID, 3), legacy=True)


@pytest.fixture(scope="module")
def rule(table):
    return outside_rule(prepare_inverse(table))


@pytest.fixture(scope="module")
def spacing(rule):
    return fitted_spacing(rule.inverse, GRID)


@pytest.fixture(scope="module")
def whole(rule, spacing):
    return fit_colorimetric(rule, spacing, FEWER)


def error(rule, spacing, nodes, lab, device):
    """ΔE00 (n,) of what the table prints of Lab against the print of device values."""
    found = np.clip(n_linear(nodes, spacing.positions(lab)), 0, 1)
    return delta_e_2000(rule.inverse.table.evaluate(device), rule.inverse.table.evaluate(found))


def inside(rule):
    device = sample_points(8000, seed=9)
    return rule.inverse.table.evaluate(device), device


def neutral(rule):
    lab = np.linspace(0, 100, 1001)[:, None] * (1.0, 0, 0)
    device, left = invert(rule.inverse, lab)
    return lab[left < 0.02], device[left < 0.02]


def shadow(rule):
    lab = np.linspace(0, rule.gamut.darkest - 1, 500)[:, None] * (1.0, 0, 0)
    return lab, rule.device(lab)[0]


def outside(rule):
    lab = source_surface("opRGB", np.random.default_rng(8).random((8000, 3)))
    device, left = rule.device(lab)
    return lab[left > 0.5], device[left > 0.5]


@pytest.mark.parametrize(
    ("place", "without"),
    [
        (inside, replace(FEWER, filling=500, darkened=0, greyed=0)),
        (neutral, replace(FEWER, neutral_weight=1e-9)),
        (shadow, replace(FEWER, shadow=2)),
        (outside, replace(FEWER, weight_shared=1e-9, weight_beyond=1e-9)),
    ],
)
def test_a_family_left_out_is_seen(rule, spacing, whole, place, without):
    """Half as large again at least, at the 95th percentile."""
    lab, device = place(rule)
    with_all = np.percentile(error(rule, spacing, whole, lab, device), 95)
    without_it = np.percentile(error(rule, spacing, fit_colorimetric(rule, spacing, without), lab, device), 95)
    assert without_it > 1.5 * with_all, (with_all, without_it)


def test_the_spacing_keeps_greys_from_tints(rule, spacing, monkeypatch):
    """Greys between nodes that hold the exact inverse, with the nodes as placed and without the move for greys."""

    def squared_tints(one):
        level = one.at(np.arange(GRID), 0)
        grey = np.linspace(level[one.pinned[0][-2]], 100, 800)
        device = invert(rule.inverse, np.column_stack([level, np.zeros((GRID, 2))]))[0]
        between = np.stack([np.interp(grey, level, channel) for channel in device.T], axis=-1)
        return (np.abs(rule.inverse.table.evaluate(between)[:, 1:]).max(axis=1) ** 2).mean()

    monkeypatch.setattr(pcs_table, "with_grey_nodes", lambda inverse, one: one)
    assert squared_tints(spacing) < 0.95 * squared_tints(fitted_spacing(rule.inverse, GRID))


def test_a_channel_at_its_end_may_go_beyond_it_and_no_farther_than_its_room():
    point = FitPoints(
        lab=np.zeros((3, 3)),
        device=np.array([[0.0, 1.0, 0.4]] * 3),
        weight=np.ones(3),
        room=0.2,
        tolerated=1.0,
        worst=93,
        most=2,
    )
    found = np.array([[-0.1, 1.1, 0.3], [-0.5, 1.5, 0.5], [0.1, 0.9, 0.4]])
    np.testing.assert_allclose(point.aims(found), [[-0.1, 1.1, 0.4], [-0.2, 1.2, 0.4], [0.0, 1.0, 0.4]])
    np.testing.assert_allclose(point.emphasis(np.array([0.5, 1.5, 9.0])), [1.0, 1.5, 2.0])
